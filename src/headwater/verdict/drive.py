"""May the vehicle be driven? Always answered, never held back; errs on the safe side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from headwater.book.load import Book
from headwater.book.tables import DRIVE_RANK, Drive
from headwater.rules.status import Status

DANGER_FROM = 0.20
"""A danger at least this probable, and not ruled out, sets the advice ..."""
RISE_FROM = 1.5
"""... if the findings have raised it at least this much over what it was before any of them."""


@dataclass(frozen=True, slots=True)
class DriveAdvice:
    """The advice, the danger behind it, and the condition it comes from (None when there is none)."""

    advice: Drive
    because: str
    limits: str = ""
    condition: str | None = None
    sure: bool = True


def drive_advice(
    book: Book,
    statuses: Mapping[str, Status],
    present: Mapping[str, float],
    before: Mapping[str, float],
) -> DriveAdvice:
    """Return the worst advice of all dangers found or live.

    `present` is P(condition present) now, `before` the same with nothing known.
    """
    worst: tuple[int, bool, float, str] | None = None
    for cid, record in book.conditions.items():
        if not record.danger:
            continue
        status = statuses.get(cid, Status.UNKNOWN)
        sure = status in (Status.CONFIRMED, Status.DISPUTED)
        chance = 1.0 if sure else present.get(cid, 0.0)
        risen = sure or chance >= RISE_FROM * before.get(cid, 0.0)
        if status is Status.RULED_OUT or chance < DANGER_FROM or not risen:
            continue
        rank = (DRIVE_RANK[record.danger.advice], sure, chance, cid)
        if worst is None or rank[:3] > worst[:3]:
            worst = rank
    if worst is None:
        return DriveAdvice(Drive.OK, "nothing dangerous was found or is likely from what is known")
    record = book.conditions[worst[3]]
    assert record.danger is not None
    return DriveAdvice(
        record.danger.advice, record.danger.because, record.danger.limits, worst[3], worst[1]
    )
