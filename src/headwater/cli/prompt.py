"""Reads what a person types, or a file of answers; the same either way."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import IO

from headwater.cli.console import Screen
from headwater.errors import HeadwaterError
from headwater.yamltext import read_file


class EndOfInput(HeadwaterError):  # noqa: N818 - it names an event, as EOFError does
    """The input ended in the middle of a session."""


class Prompt:
    """Asks for a line on a screen; empty lines count, '#' lines of a file do not."""

    def __init__(self, screen: Screen, stdin: IO[str], answers: Path | None = None) -> None:
        """Read from `answers` if given, else from `stdin`."""
        self.screen = screen
        self._echo = answers is not None or not stdin.isatty()
        self._lines = _from_file(answers) if answers else iter(stdin.readline, "")
        self._kept: list[str] = []

    def ask_if_any(self, mark: str = "> ") -> str:
        """Return the next line, stripped; nothing where the input has ended."""
        try:
            return self.ask(mark)
        except EndOfInput:
            return ""

    def ask(self, mark: str = "> ") -> str:
        """Return the next line, stripped. Raises EndOfInput when there is none."""
        if self._kept:
            return self._kept.pop()
        self.screen.blank = False
        self.screen.typed(mark)
        try:
            line = next(self._lines).strip()
        except StopIteration:
            self.screen.typed("\n")
            raise EndOfInput("the input ended") from None
        except UnicodeDecodeError:
            raise EndOfInput("the input is not UTF-8 text; save it as UTF-8") from None
        if self._echo:
            self.screen.typed(line + "\n")
        return line

    def keep(self, line: str) -> None:
        """Give a line back: it was the answer to what is asked next."""
        self._kept.append(line)


def _from_file(path: Path) -> Iterator[str]:
    lines = read_file(path).splitlines()
    return iter([line for line in lines if not line.lstrip().startswith("#")])
