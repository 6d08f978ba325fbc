"""Acts: what one person did at once. Proof hangs on no single one.

Answers that share an act are one look: a check however often it is repeated, the checks that one
look or one reading answers (`act` in the book), and everything that the owner told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.rules.evidence import Pair, Weighed

OWNER = "(owner's word)"


def act_of(check: Check, seat: Seat | None = None) -> str:
    """Return the act that answers a check, asked at a seat."""
    if seat is Seat.CALL or set(check.seats) == {Seat.CALL}:
        return OWNER
    return check.act or check.id


def acts(book: Book, weighed: Weighed) -> dict[str, tuple[str, ...]]:
    """Return the checks of each act that weighs something."""
    found: dict[str, list[str]] = {}
    for name in weighed.pairs:
        told = weighed.looks[name].told
        found.setdefault(act_of(book.checks[name], told[-1].seat), []).append(name)
    return {act: tuple(checks) for act, checks in found.items()}


def at_most_changed(pairs: Iterable[Mapping[str, Pair]]) -> float:
    """Return by what factor some likelihoods change odds at most, whatever world is true."""
    factor = 1.0
    for by_condition in pairs:
        for there, not_there in by_condition.values():
            factor *= max(there, not_there) / min(there, not_there)
    return factor
