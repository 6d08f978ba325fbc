"""What `ledger learn` tells, as records; none of them needs a data base to be read or shown."""

from __future__ import annotations

from dataclasses import dataclass

LEVEL = 0.9
"""Share of the intervals round a figure that was learnt."""
PROPOSED = 0.99
"""Share of the interval that must leave the book's figure out before another is proposed: of the
many figures some are outside of the narrower one by chance alone."""
FEWEST_TOLD = 5.0
"""A figure of which the cases tell less than so many whole ones would is left alone."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure of the book and what the cases make of it.

    It says how often `cause` makes `of`; without a cause, how often `of` starts by itself. `word`
    and `book` are what the book has. `shop`, between `low` and `high` (`LEVEL`), is what comes of
    it with the cases. It was put to the test in `tried` cases and held in `held`, as far as can be
    expected; that tells as much as `told` cases with nothing hidden. `outside`: what the book has
    is even outside the wide interval (`PROPOSED`).
    """

    of: str
    cause: str
    title: str
    word: str
    book: float
    shop: float
    low: float
    high: float
    tried: float
    held: float
    told: float
    outside: bool

    @property
    def moved(self) -> bool:
        """Whether another figure than the book's is proposed."""
        return self.told >= FEWEST_TOLD and self.outside


@dataclass(frozen=True, slots=True)
class Passed:
    """Cases that nothing is learnt from, by why: brought in from a sheet, come back, not readable.

    `silent` are those without an answer that a figure hangs on.
    """

    imported: int = 0
    came_back: int = 0
    unreadable: int = 0
    silent: int = 0


@dataclass(frozen=True, slots=True)
class Learning:
    """What the cases of a shop make of the book's figures; `rows` are the best known first.

    The book's word counts as `link_worth` cases for a link and `origin_worth` for an origin.
    `written` are the files of the pack that was asked for.
    """

    cases: int
    last: str
    passed: Passed
    link_worth: float
    origin_worth: float
    rows: tuple[FigureRow, ...]
    written: tuple[str, ...] = ()

    @property
    def moved(self) -> tuple[FigureRow, ...]:
        """The figures that are proposed anew."""
        return tuple(row for row in self.rows if row.moved)
