"""Which checks can still be made: from a seat, with what is off and what was answered."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import GONE, POSSIBLE_AT, Seat
from headwater.measure.answer import Judged

LATER: dict[Seat, tuple[Seat, ...]] = {
    Seat.CALL: (Seat.HOIST, Seat.BENCH),
    Seat.HOIST: (Seat.BENCH,),
    Seat.BENCH: (),
}


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the person stands: the seat, what is already removed, and what was answered."""

    seat: Seat = Seat.BENCH
    removed: frozenset[str] = frozenset()
    answered: Mapping[str, Judged] = field(default_factory=dict)


def torn_down(book: Book) -> frozenset[str]:
    """Return every removal: the state of a unit that lies in pieces."""
    return frozenset(book.removals)


def within_reach(check: Check, stand: Stand) -> bool:
    """Say whether a check can be made at this seat now, disassembly allowed."""
    here = POSSIBLE_AT[stand.seat]
    return any(seat in here for seat in check.seats) and not too_late(check, stand)


def too_late(check: Check, stand: Stand) -> bool:
    """Say whether something is off that had to be on."""
    return any(removal in stand.removed for removal in check.before)


def reachable_later(check: Check, stand: Stand) -> bool:
    """Say whether a check can be made here or at a later seat."""
    if within_reach(check, stand):
        return True
    later = {seat for at in LATER[stand.seat] for seat in POSSIBLE_AT[at]}
    return any(seat in later for seat in check.seats) and not too_late(check, stand)


def cannot_be_seen(check: Check, stand: Stand) -> bool:
    """Say whether what the check looks for cannot be seen any more."""
    answer = stand.answered.get(check.id)
    if answer is not None and answer.special == GONE:
        return True
    told = answer is not None and answer.special is None
    return not told and not reachable_later(check, stand)


def still_to_open(book: Book, check: Check, removed: Collection[str]) -> list[str]:
    """Return the removals that a check still needs, in the order they are done."""
    needed: list[str] = []

    def visit(ids: Iterable[str]) -> None:
        for rid in ids:
            if rid in removed or rid in needed or rid not in book.removals:
                continue
            visit(book.removals[rid].after)
            needed.append(str(rid))

    visit(check.after)
    return needed


def minutes_to_open(book: Book, removals: Iterable[str]) -> float:
    """Return the minutes that removals take."""
    return sum(book.removals[rid].minutes for rid in removals)
