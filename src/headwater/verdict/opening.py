"""What must come off to get at a part, what that uses up, and how deep within the unit it lies.

Nobody writes down what stands before a part. The checks that decide a condition say what must be
off before it is seen, and to work on it no less must be off.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.verdict.reach import minutes_to_open, still_to_open

Deciders = Mapping[str, Sequence[Check]]
"""For each condition the checks that decide it."""


def deciders_of(book: Book) -> dict[str, tuple[Check, ...]]:
    """Return for each condition of a book the checks that decide it."""
    found: dict[str, list[Check]] = {cid: [] for cid in book.conditions}
    for check in book.checks.values():
        for condition in check.decides() & book.conditions.keys():
            found[condition].append(check)
    return {cid: tuple(checks) for cid, checks in found.items()}


def way_in(
    book: Book,
    deciders: Deciders,
    part: str,
    conditions: Iterable[str] = (),
    *,
    bare: bool = False,
) -> tuple[str, ...]:
    """Return the removals from a closed unit to a part, in the order they are done.

    What the easiest look at each of the conditions on it needs; where none of them can be looked
    at, what the easiest look at the part needs. A part that is to lie `bare` needs what all looks
    at it need, and one outside the unit nothing.
    """
    looks = [_ways(book, deciders, [c]) for c in conditions if _on(book, c, part)]
    ways = [_shortest(book, some) for some in looks if some]
    every = looks_at(book, deciders, part)
    if bare:
        ways = every
    elif every and not ways:
        ways = [_shortest(book, every)]
    inside = part in book.parts and not book.parts[part].outside
    return tuple(dict.fromkeys(removal for way in ways for removal in way)) if inside else ()


def looks_at(book: Book, deciders: Deciders, part: str) -> list[list[str]]:
    """Return what each look at a part needs off, on the bench."""
    return _ways(book, deciders, [c for c in book.conditions if _on(book, c, part)])


def _on(book: Book, condition: str, part: str) -> bool:
    return condition in book.conditions and book.conditions[condition].part == part


def _ways(book: Book, deciders: Deciders, conditions: Iterable[str]) -> list[list[str]]:
    checks = {check.id: check for c in conditions for check in deciders.get(c, ())}
    benched = (check for check in checks.values() if Seat.BENCH in check.seats)
    return [still_to_open(book, check, ()) for check in benched]


def _shortest(book: Book, ways: Iterable[list[str]]) -> list[str]:
    return min(ways, key=lambda way: minutes_to_open(book, way))


def depth(book: Book, removals: Iterable[str]) -> int:
    """Return how deep removals lead: the longest row of them that come one after the other."""

    def level(rid: str, above: frozenset[str]) -> int:
        if rid not in book.removals or rid in above:
            return 0
        before = book.removals[rid].after
        return 1 + max((level(str(one), above | {rid}) for one in before), default=0)

    return max((level(rid, frozenset()) for rid in removals), default=0)


def going_back(book: Book, removals: Iterable[str]) -> list[str]:
    """Return removals in the order in which they are undone: last off, first back on."""
    off = [rid for rid in book.removals if rid in set(removals)]
    return sorted(off, key=lambda rid: -depth(book, [rid]))


def closing_minutes(book: Book, removal: str) -> float:
    """Return the minutes that it takes to undo a removal: as many as to do it, if not said."""
    record = book.removals[removal]
    return record.minutes if record.closing is None else record.closing


def used_up(book: Book, removals: Iterable[str]) -> dict[str, str]:
    """Return the parts that removals use up, each with the removal, in the order of fitting.

    What more than one of them uses up goes in last: oil is filled when all is closed.
    """
    found: dict[str, str] = {}
    for rid in going_back(book, removals):
        for part in book.removals[rid].consumes:
            if part in book.parts:
                found.pop(str(part), None)
                found[str(part)] = rid
    return found
