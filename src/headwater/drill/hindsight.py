"""With hindsight: the cheapest looks that would have proved what is true, each opening paid once.

They are found by leaving out: of all looks that proved it, the dearest goes first as long as the
rest still names every origin, and none that is not there. So no look of the set can be spared; a
cheaper set of other looks is not ruled out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from headwater.drill.run import Run, begin
from headwater.verdict.reach import minutes_to_open, still_to_open

TRIED_AT_MOST = 24
"""Looks to begin with, at most: each costs a verdict."""


@dataclass(frozen=True, slots=True)
class Hindsight:
    """Looks that prove it, in the order they are made, and their minutes with all opening."""

    checks: tuple[str, ...]
    minutes: float


def cheapest(runs: Sequence[Run]) -> Hindsight | None:
    """Return the cheapest looks found that prove the truth; None where no run proved it.

    The runs are on one unit: their looks are tried each by themselves, and all together.
    """
    looks = [[order.check for order in run.orders] for run in runs]
    if len(looks) > 1:
        together = [*looks[0], *(c for more in looks[1:] for c in more if c not in looks[0])]
        looks += [together] if len(together) <= TRIED_AT_MOST else []
    found = [_spared(runs[0], some) for some in looks if _proves(runs[0], some)]
    return min(found, key=lambda one: (one.minutes, one.checks), default=None)


def _spared(run: Run, looks: Sequence[str]) -> Hindsight:
    """Return the looks without those that can be spared, the dearest tried first."""
    kept = list(range(len(looks)))

    def those(numbers: Iterable[int]) -> list[str]:
        return [looks[number] for number in numbers]

    whole = minutes_of(run, looks)
    saved = {n: whole - minutes_of(run, those(k for k in kept if k != n)) for n in kept}
    for look in sorted(saved, key=lambda n: (-saved[n], looks[n], n)):
        without = [one for one in kept if one != look]
        if _proves(run, those(without)):
            kept = without
    return Hindsight(tuple(those(kept)), minutes_of(run, those(kept)))


def minutes_of(run: Run, looks: Iterable[str]) -> float:
    """Return the minutes of looks at the unit of a run, from the start, each opening paid once."""
    start = begin(run.session.reasoner, run.unit).session
    removed, minutes = set(start.stand.removed), 0.0
    for look in looks:
        check = start.book.checks[look]
        opens = still_to_open(start.book, check, removed)
        minutes += check.minutes + minutes_to_open(start.book, opens)
        removed |= set(opens)
    return minutes


def _proves(run: Run, looks: Iterable[str]) -> bool:
    """Say whether looks at the unit, answered as it answers, name its origins and no other."""
    again = begin(run.session.reasoner, run.unit)
    for look in looks:
        again.answered(again.session.book.checks[look])
    return again.explained() and set(again.named()) == set(run.unit.origins)
