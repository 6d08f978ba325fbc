"""Runs the real program as a process of its own, as a shop does."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

LISTENING = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.SIG_DFL)
os.execv(sys.executable, [sys.executable, *sys.argv[1:]])
"""
"""Starts a program that hears Ctrl-C: a shell lets its background jobs ignore it, and their
children inherit that."""


def environment(**more: str) -> dict[str, str]:
    """Return an environment in which the program is found."""
    keep = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    return {**keep, "PYTHONPATH": str(ROOT / "src"), "COLUMNS": "80", **more}


def command(*words: str | Path) -> list[str]:
    """Return the command line of the program."""
    return [sys.executable, "-m", "headwater", *map(str, words)]


def run(*words: str | Path, typed: str = "", **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    return subprocess.run(
        command(*words),
        input=typed,
        capture_output=True,
        text=True,
        env=environment(**more),
        timeout=60,
        check=False,
    )


def session(*words: str | Path) -> subprocess.Popen[str]:
    """Start a command that goes on asking and hears Ctrl-C; the caller ends it."""
    python, *rest = command(*words)
    return subprocess.Popen(
        [python, "-c", LISTENING, *rest],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(),
    )


def wait_for(true: Callable[[], bool], seconds: float = 30) -> None:
    """Wait until something is so, or fail."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)


def say(process: subprocess.Popen[str], line: str) -> None:
    """Type one line."""
    assert process.stdin is not None
    process.stdin.write(line + "\n")
    process.stdin.flush()
