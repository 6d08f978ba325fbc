"""The questions that a page carries ahead, for when the network is gone.

An answer decides what is asked next, and nobody can be asked about it while the network is gone. So
those are carried that make sense whatever the answers before them turn out to be.
"""

from __future__ import annotations

from collections.abc import Collection

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.session.session import Session
from headwater.verdict.reach import still_to_open

MOST_AHEAD = 5


def checks_ahead(session: Session, now: str, passed: Collection[str] = ()) -> tuple[str, ...]:
    """Return checks that may be answered after the one put `now`, without its answer; best first.

    `passed` are those that somebody put off or does not know.
    """
    book = session.book
    chosen = [book.checks[now]]
    for item in session.next():
        if len(chosen) > MOST_AHEAD:
            break
        if item.check == now or item.check in passed:
            continue
        check = book.checks[item.check]
        if all(_stands_alone(session, check, other) for other in chosen):
            chosen.append(check)
    return tuple(check.id for check in chosen[1:])


def _stands_alone(session: Session, check: Check, other: Check) -> bool:
    """Say whether a check makes sense, and tells something, whatever another one's answer is."""
    opened = still_to_open(session.book, other, session.stand.removed)
    said = set(other.speaks_of())
    return not (
        check.driving
        or check.act_at(session.stand.seat) == other.act_at(session.stand.seat)
        or said.intersection(map(str, check.presumes))
        or check.decides() & other.decides()
        or set(map(str, check.before)) & set(opened)
        or _in_conflict(session.book, {check.id, other.id})
    )


def _in_conflict(book: Book, checks: Collection[str]) -> bool:
    """Say whether some of the answers of two checks cannot both be true."""
    return any(set(checks) <= set(map(str, item.answers)) for item in book.conflicts.values())
