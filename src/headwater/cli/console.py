"""The screen: the only module that imports rich. It lays lines out; it decides nothing."""

from __future__ import annotations

from collections.abc import Iterable
from shutil import get_terminal_size
from typing import IO

from rich.console import Console
from rich.text import Text

from headwater.render.clean import fit_rows
from headwater.render.line import Line, wrapped

_STYLES = {
    "plain": "",
    "head": "bold",
    "good": "green",
    "bad": "bold red",
    "quiet": "dim",
}
NARROWEST, WIDEST = 20, 100
"""Columns: a text is laid out for no fewer and no more, whatever the terminal says it has."""


class Screen:
    """Prints lines, wrapped to the width of the terminal."""

    def __init__(self, file: IO[str], width: int | None = None, colour: bool | None = None) -> None:
        """Print to `file`; width and colour are the terminal's unless given."""
        plain = None if colour is None else not colour
        self.console = Console(
            file=file,
            width=width or get_terminal_size().columns,
            height=24,
            no_color=plain,
            highlight=False,
            markup=False,
            emoji=False,
            soft_wrap=True,
        )
        self.width = max(NARROWEST, min(self.console.width, WIDEST))
        self.blank = False

    def show(self, lines: Iterable[Line]) -> None:
        """Print paragraphs, never two empty ones in a row."""
        for line in lines:
            self.line(line)

    def line(self, line: Line) -> None:
        """Print one paragraph with its indent; what wraps hangs further in."""
        if not line.text:
            if not self.blank:
                self.console.print()
            self.blank = True
            return
        self.blank = False
        style = _STYLES[line.style] if self.console.is_terminal else ""
        for text in wrapped(line, self.width):
            if style:
                self.console.print(Text(text, style=style))
            else:
                self.console.file.write(f"{text}\n")

    def say(self, text: str = "", style: str = "plain", indent: int = 0, hang: int = 2) -> None:
        """Print one paragraph."""
        self.line(Line(text, style, indent, hang))

    def raw(self, text: str) -> None:
        """Print text of several lines as it is, but for what a terminal would obey."""
        self.typed(text if text.endswith("\n") else text + "\n")

    def typed(self, text: str) -> None:
        """Print text without ending the line after it: a mark to type behind, what was typed."""
        self.console.file.write(fit_rows(text))
        self.console.file.flush()
