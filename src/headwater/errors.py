"""The one family of errors a user can cause: each says what, where and how to mend it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


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
        super().__init__(message)
        self.message = message
        self.place = place

    @property
    def lines(self) -> tuple[str, ...]:
        """Every fault as its line."""
        return (str(self), *(str(other) for other in self.others))

    def __str__(self) -> str:
        """Return the one line a user reads."""
        return f"{self.place}: {self.message}" if self.place else self.message


def refuse_all(faults: Sequence[HeadwaterError]) -> None:
    """Raise the first of some faults with the others behind it; nothing if there is none."""
    if faults:
        first, *others = faults
        first.others = tuple(others)
        raise first
