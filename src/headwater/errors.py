"""The one family of errors a user can cause: each says what, where and how to mend it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

LONGEST = 280
"""Signs of a message; its line on a terminal, which names the program, stays below 300."""
LONGEST_PLACE = 160
"""Signs of those that name the place: an editor wants it whole."""
MOST_FAULTS = 50
"""Faults of one file that are told at once; whoever has found more need not look for others."""


def short(text: str, longest: int = LONGEST) -> str:
    """Return a text of a message's length: what is too long loses its middle.

    What it is about stands at its start, how to mend it at its end: both stay.

    >>> len(short("x" * 4_000_000))
    280
    """
    if len(text) <= longest:
        return text
    end = longest // 2 - 3
    return f"{text[: longest - end - 3]}...{text[-end:]}"


class Place(NamedTuple):
    """A spot in a text file: path as the user gave it, line and column counted from 1."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        """Return `file:line:column`, leaving out what is not known."""
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


class HeadwaterError(Exception):
    """A fault in what the user gave; shown as one line, exit status 2.

    `message` says what is wrong and how to mend it; `place` says where, when it is known. `others`
    are further faults of the same file, each a line of its own.
    """

    others: tuple[HeadwaterError, ...] = ()

    def __init__(self, message: str, place: Place | None = None) -> None:
        """Keep the message and the place apart, so that front ends can lay them out."""
        self.message = short(message)
        super().__init__(self.message)
        self.place = place

    @property
    def every(self) -> tuple[HeadwaterError, ...]:
        """This fault and the others of the same file."""
        return (self, *self.others)

    @property
    def lines(self) -> tuple[str, ...]:
        """Every fault as its line."""
        return tuple(map(str, self.every))

    @property
    def file(self) -> Place | None:
        """The file alone, where the place is known."""
        return Place(self.place.file) if self.place else None

    def __str__(self) -> str:
        """Return the one line a user reads."""
        if self.place is None:
            return self.message
        where = short(str(self.place), LONGEST_PLACE)
        return f"{where}: {short(self.message, LONGEST - len(where) - 2)}"


def enough(faults: Sequence[object]) -> bool:
    """Say whether so many faults were found that no more are told."""
    return len(faults) > MOST_FAULTS


def refuse_all(faults: Sequence[HeadwaterError]) -> None:
    """Raise the first of some faults with the others behind it; nothing if there is none."""
    if faults:
        first, *others = faults[:MOST_FAULTS]
        if enough(faults):
            others.append(HeadwaterError("and more; mend these first", first.file))
        first.others = tuple(others)
        raise first
