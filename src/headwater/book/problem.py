"""A problem found in the book or a case: small, located, sortable."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from headwater.errors import HeadwaterError, Place, short


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One problem: where, how bad (`error`, `warning`, `note`), which check, what and the mend."""

    place: Place
    severity: str
    check: str
    message: str

    def __post_init__(self) -> None:
        """Keep a message to its length, whatever a file put into it."""
        object.__setattr__(self, "message", short(self.message))

    def __str__(self) -> str:
        """Return `file:line:column: severity [check] message`."""
        return f"{self.place}: {self.severity} [{self.check}] {self.message}"


Faults = Iterator[tuple[Place, str]]
"""What a rule of the checker yields: where, and what is wrong with the mend."""

Works = Mapping[str, Collection[str]]
"""Bench arithmetic by name, with the names of its inputs."""


class BookError(HeadwaterError):
    """The book cannot be used; carries every problem that was found."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Show the first problem and count the others."""
        self.problems = sorted(problems)
        first = self.problems[0]
        others = len(self.problems) - 1
        more = f" (and {others} more: run 'headwater book check')" if others else ""
        super().__init__(first.message + more, first.place)


LONGEST_WORD = 80
"""Signs from which on nobody meant a word of the book; comparing a long text takes for ever."""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return `; did you mean 'x'?` for the closest known word, or nothing.

    >>> nearest("frnt-bore", ["front-bore", "rear-bore"])
    "; did you mean 'front-bore'?"
    """
    if len(word) > LONGEST_WORD:
        return ""
    close = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"; did you mean '{close[0]}'?" if close else ""
