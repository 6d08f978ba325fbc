"""May the vehicle be driven? Always answered, never held back; errs on the safe side.

A danger counts while it is found, disputed, or likely and not ruled out. One that is only likely,
not found, stops the vehicle from two in five on; below that the vehicle may limp to the shop within
limits, for a stop on every possible danger would soon be a stop that nobody heeds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from headwater.belief.figures import Figures
from headwater.book.records import Book
from headwater.book.tables import DRIVE_RANK, Drive
from headwater.rules.status import Status

DANGER_FROM = 0.20
"""A danger at least this probable, and not ruled out, sets the advice ..."""
RISE_FROM = 1.5
"""... if the findings have raised it at least this much over what it was before any of them."""
STOP_FROM = 0.40
"""A danger to stop for does so unfound from this probability on; below, the vehicle limps."""
LINES = (DANGER_FROM, STOP_FROM)
LIMP_LIMITS = (
    "only as far as the shop or a safe place, gently, in two-wheel drive and high range, "
    "no trailer; stop at once if it gets louder, rough, hot, or smells"
)


@dataclass(frozen=True, slots=True)
class DriveAdvice:
    """The advice, the danger behind it, and the condition that it comes from, if any."""

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

    `present` is P(condition present) now, `before` the same with nothing known; where they are not
    known exactly, the most and the least that they may be, so that what is not surely below a line
    counts as above it.
    """
    worst: tuple[tuple[int, bool, float], DriveAdvice] | None = None
    for cid, danger in ((c, r.danger) for c, r in book.conditions.items() if r.danger):
        status = statuses.get(cid, Status.UNKNOWN)
        sure = status in (Status.CONFIRMED, Status.DISPUTED)
        chance = 1.0 if sure else present.get(cid, 0.0)
        risen = sure or chance >= RISE_FROM * before.get(cid, 0.0)
        if status is Status.RULED_OUT or chance < DANGER_FROM or not risen:
            continue
        advice = DriveAdvice(danger.advice, danger.because, danger.limits, cid, sure)
        if danger.advice is Drive.STOP and chance < STOP_FROM:
            advice = replace(advice, advice=Drive.LIMP, limits=LIMP_LIMITS)
        rank = (DRIVE_RANK[advice.advice], sure, chance)
        if worst is None or rank > worst[0]:
            worst = rank, advice
    if worst is None:
        return DriveAdvice(Drive.OK, "nothing dangerous was found or is likely from what is known")
    return worst[1]


def chances_of_dangers(
    book: Book, statuses: Mapping[str, Status], figures: Figures
) -> tuple[dict[str, float], dict[str, float]]:
    """Return what `drive_advice` goes by: the most that each open danger may be, and before it.

    Sums are made only for what could make the advice worse than it surely is.
    """
    dangers = {c: r.danger.advice for c, r in book.conditions.items() if r.danger}
    told = {c: statuses.get(c, Status.UNKNOWN) for c in dangers}
    found = [c for c, status in told.items() if status in (Status.CONFIRMED, Status.DISPUTED)]
    surely = max((DRIVE_RANK[dangers[c]] for c in found), default=0)
    most: dict[str, float] = {}
    before: dict[str, float] = {}
    for cid in (c for c in dangers if c not in found and told[c] is not Status.RULED_OUT):
        figure, was = figures.glance(cid, LINES), figures.glance_before(cid)
        if figure.high >= max(DANGER_FROM, RISE_FROM * was.low):
            most[cid], before[cid] = figure.high, was.low
            if figure.low >= RISE_FROM * was.high:
                surely = max(surely, _rank(dangers[cid], figure.low))
    worse = [c for c in most if _rank(dangers[c], most[c]) > surely]
    sums = _most(worse, figures)
    before |= {c: figures.before(c, p / RISE_FROM).low for c, p in sums.items()}
    return most | sums, before


def _most(dangers: list[str], figures: Figures) -> dict[str, float]:
    """Return the most that some dangers may be, as sure as the lines and the rise need it."""
    now = figures.presence_of(dangers, LINES)
    for cid in dangers:
        middle = (now[cid].low + now[cid].high) / 2.0
        was = figures.before(cid, middle / RISE_FROM)
        if now[cid].high >= DANGER_FROM and now[cid].low < RISE_FROM * was.high:
            rise = RISE_FROM * (was.low + was.high) / 2.0
            now |= figures.presence_of([cid], (RISE_FROM * was.low, rise, RISE_FROM * was.high))
    return {cid: now[cid].high for cid in dangers}


def _rank(advice: Drive, chance: float) -> int:
    """Return how bad the advice is that a danger not found calls for, at a chance."""
    if chance < DANGER_FROM:
        return 0
    limps = advice is Drive.STOP and chance < STOP_FROM
    return DRIVE_RANK[Drive.LIMP if limps else advice]
