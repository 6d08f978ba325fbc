"""What corrects an origin, and whether something that is done, or proposed, does so.

Nothing here is advice: advice comes from the plan, which takes every action from the gate. These
functions only compare a repair with what the book would have.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from headwater.book.load import Book
from headwater.book.model import Action
from headwater.book.tables import VERB_RANK, Verb
from headwater.rules.status import Status
from headwater.verdict.gate import acts_on

RENEWED = frozenset({Verb.REPLACE, Verb.SCRAP})
"""A part that is scrapped has another put in its place: for what it corrects, both are one."""


@dataclass(frozen=True, slots=True)
class Deed:
    """Something done to a part, or proposed; `claims` are the conditions it is said to correct."""

    action: Verb
    part: str
    claims: frozenset[str] = frozenset()


def remedies(
    book: Book, statuses: Mapping[str, Status], condition: str
) -> list[tuple[str, Action]]:
    """Return (part, action) of everything in the book that mends a condition, best first.

    Where every action is withdrawn because something worse was found (`unless`), what mends the
    worse thing mends this as well.
    """
    record = book.conditions[condition]
    own = record.origin.corrections if record.origin else record.dispositions
    found = [
        (acts_on(record, action), action)
        for action in own
        if not any(statuses.get(str(c)) is Status.CONFIRMED for c in action.unless)
    ]
    if found:
        return found
    worse = {
        str(c)
        for action in own
        for c in action.unless
        if statuses.get(str(c)) is Status.CONFIRMED and str(c) != condition
    }
    for cid in (c for c in book.conditions if c in worse):
        other = book.conditions[cid]
        actions = other.origin.corrections if other.origin else other.dispositions
        found += [(acts_on(other, action), action) for action in actions[:1]]
    return found


def mends(deed: Deed, part: str, action: Action, condition: str) -> bool:
    """Say whether a deed is an action of the book, or a stronger one that is said to include it."""
    if deed.part != part:
        return False
    if deed.action is action.action or {deed.action, action.action} <= RENEWED:
        return True
    stronger = VERB_RANK[deed.action] >= VERB_RANK[action.action]
    return stronger and condition in deed.claims


def corrected_by(
    book: Book, statuses: Mapping[str, Status], deeds: Iterable[Deed], condition: str
) -> bool:
    """Say whether one of the deeds corrects a condition."""
    known = list(deeds)
    return any(
        mends(deed, part, action, condition)
        for part, action in remedies(book, statuses, condition)
        for deed in known
    )


def corrected_by_exchange(book: Book, statuses: Mapping[str, Status], condition: str) -> bool:
    """Say whether another unit corrects a condition: all that mends it is done inside the unit."""
    found = remedies(book, statuses, condition)
    return bool(found) and not any(
        part in book.parts and book.parts[part].outside for part, _ in found
    )
