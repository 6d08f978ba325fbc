"""Which checks can still be made: from a seat, with what is off and what was answered."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE, POSSIBLE_AT, Seat
from headwater.measure.answer import Judged

LATER: dict[Seat, tuple[Seat, ...]] = {
    Seat.CALL: (Seat.HOIST, Seat.BENCH),
    Seat.HOIST: (Seat.BENCH,),
    Seat.BENCH: (),
}
ASKED_AGAIN = 2
"""Times that a look which nobody could make, or was unsure of, is offered."""


class LookState(StrEnum):
    """How a check stands. Only *told* and *gone* use it up."""

    UNASKED = "unasked"
    NOT_NOW = "not now"
    UNSURE_ONCE = "unsure once"
    UNSURE_TWICE = "unsure twice"
    GONE = "gone"
    TOLD = "told"


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the person stands: the seat, what is already removed, and what was answered.

    `answered` has the answer that stands for each check, or its last special one; `states` how each
    check that was put stands, `put` how often it was without an answer that tells something;
    `accepted` are findings whose probable origin a person takes, though looks are left; `unplaced`
    is true while something told is in no answer, `not_understood` while that is words said at a
    seat, `to_see` are conditions that somebody spoke of and nobody looked at; `left_aside` is true
    where words were struck, `left_telling` where one of them is a word of complaints; `outside` are
    signs of danger, troubles outside and wishes, by id.
    """

    seat: Seat = Seat.BENCH
    removed: frozenset[str] = frozenset()
    answered: Mapping[str, Judged] = field(default_factory=dict)
    states: Mapping[str, LookState] = field(default_factory=dict)
    put: Mapping[str, int] = field(default_factory=dict)
    unplaced: bool = False
    not_understood: bool = False
    to_see: tuple[str, ...] = ()
    left_aside: bool = False
    left_telling: bool = False
    outside: tuple[str, ...] = ()
    accepted: frozenset[str] = frozenset()

    def state(self, check: str) -> LookState:
        """Return how a check stands."""
        return self.states.get(check, LookState.UNASKED)


def state_of(given: Iterable[Judged]) -> LookState:
    """Return how a check stands after the answers given to it, in order.

    What was said to be gone and is not known or cannot be checked now, later, may be there yet.
    """
    specials = [one.special for one in given]
    if None in specials:
        return LookState.TOLD
    if specials[-1:] == [GONE]:
        return LookState.GONE
    unsure = specials.count(DONT_KNOW)
    if unsure:
        return LookState.UNSURE_ONCE if unsure < ASKED_AGAIN else LookState.UNSURE_TWICE
    return LookState.NOT_NOW if CANNOT_CHECK in specials else LookState.UNASKED


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


def is_left(check: Check, stand: Stand) -> bool:
    """Say whether a look is left: it may still be made and tell something, here or later."""
    used_up = (LookState.TOLD, LookState.GONE)
    return stand.state(check.id) not in used_up and reachable_later(check, stand)


def is_fresh(check: str, stand: Stand) -> bool:
    """Say whether a look that is left was never put."""
    return stand.put.get(check, 0) == 0


def is_offered(check: Check, stand: Stand) -> bool:
    """Say whether a look that is left may be put to somebody: not for the third time."""
    return stand.put.get(check.id, 0) < ASKED_AGAIN


def cannot_be_seen(check: Check, stand: Stand) -> bool:
    """Say whether what the check looks for cannot be seen any more."""
    return stand.state(check.id) is not LookState.TOLD and not is_left(check, stand)


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
