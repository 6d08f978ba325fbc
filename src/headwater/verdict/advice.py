"""What may be done with the vehicle, and what signs of danger and trouble elsewhere call for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from headwater.book.records import Book
from headwater.book.tables import Drive


@dataclass(frozen=True, slots=True)
class DriveAdvice:
    """The advice, the danger behind it, and the condition that it comes from, if any.

    `now` is what to do at once. `outside` is the sign of danger, the trouble outside the driveline
    or the wish that it comes from, by id.
    """

    advice: Drive
    because: str
    limits: str = ""
    condition: str | None = None
    sure: bool = True
    now: tuple[str, ...] = ()
    outside: str | None = None


def together(signs: Sequence[DriveAdvice]) -> DriveAdvice:
    """Return what several signs of danger call for, the worst first: none may hide another."""
    now = tuple(dict.fromkeys(sentence for one in signs for sentence in one.now))
    return replace(signs[0], because="; ".join(one.because for one in signs), now=now)


def outside_advice(book: Book, oid: str) -> DriveAdvice:
    """Return what a sign of danger, a trouble outside the driveline or a wish calls for."""
    if sign := book.emergencies.get(oid):
        return DriveAdvice(Drive.STOP, sign.title, now=sign.now, outside=oid)
    trouble = book.elsewhere[oid]
    now = (trouble.caution,) if trouble.caution else ()
    return DriveAdvice(trouble.advice, trouble.tell, now=now, outside=oid)
