"""The one family of errors a user can cause: each says what, where and how to mend it."""

from __future__ import annotations

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

    `message` says what is wrong and how to mend it; `place` says where, when it is known.
    """

    def __init__(self, message: str, place: Place | None = None) -> None:
        """Keep the message and the place apart, so that front ends can lay them out."""
        super().__init__(message)
        self.message = message
        self.place = place

    def __str__(self) -> str:
        """Return the one line a user reads."""
        return f"{self.place}: {self.message}" if self.place else self.message
