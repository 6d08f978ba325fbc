"""The tools that keep the code in order run with the tests, so that one command checks all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize(
    "tool",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
    ],
    ids=["ruff-lint", "ruff-format", "mypy-strict"],
)
def test_tool_is_content(tool: list[str]) -> None:
    command = [sys.executable, "-m", *tool]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert found.returncode == 0, found.stdout + found.stderr
