"""The README's transcripts are what the program prints, and CI runs the README's test command.

They are documentation on the shipped book, refreshed with HEADWATER_REFRESH=1: the digest of the
book, percentages and where lines break may have moved since, the words may not.
"""

from __future__ import annotations

import os
import re
import shlex
from io import StringIO
from pathlib import Path

import pytest

from headwater.cli.main import Terminal, run

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"<!-- run: headwater (?P<command>.*?) -->\n```text\n(?P<text>.*?)```", re.S)


def printed(command: str) -> str:
    words = shlex.split(command.replace("{examples}", str(ROOT / "examples")))
    out, err = StringIO(), StringIO()
    run(words, Terminal(out, err, StringIO(), width=80))
    assert err.getvalue() == ""
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def words_of(text: str) -> str:
    """Return a transcript without what changes with every change of the book."""
    told = re.sub(r"digest \w+", "digest", " ".join(text.split()))
    return re.sub(r"\b\d+ %", "some %", told)


def test_transcripts_are_real(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    text = README.read_text(encoding="utf-8")
    blocks = list(BLOCK.finditer(text))
    assert blocks
    for block in blocks:
        shown = printed(block["command"])
        if os.environ.get("HEADWATER_REFRESH"):
            text = text.replace(
                block[0], f"<!-- run: headwater {block['command']} -->\n```text\n{shown}```"
            )
        else:
            assert words_of(block["text"]) == words_of(shown)
    if os.environ.get("HEADWATER_REFRESH"):
        README.write_text(text, encoding="utf-8")


def test_ci_runs_the_readmes_test_command() -> None:
    commands = re.findall(r"```sh\n(.*?)\n```", README.read_text(encoding="utf-8"), re.S)
    assert len(commands) == 2
    assert commands[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
