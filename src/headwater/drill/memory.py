"""A reasoner that remembers: runs on one unit meet the same findings again and again.

The planner, whoever solves the unit, the search for the cheapest looks and the score share what
each set of answers comes to. It lives as long as the exercise does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from headwater.measure.answer import Judged
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.reach import Stand

Key = tuple[object, ...]


@dataclass(slots=True)
class Memory(Reasoner):
    """A reasoner for one unit on one bench: of a stand, only what is off and what is unplaced vary.

    It belongs to one thread.
    """

    verdicts: dict[Key, Assessment] = field(default_factory=dict)
    beliefs: dict[Key, dict[str, float]] = field(default_factory=dict)

    def assess(self, findings: Iterable[Judged], stand: Stand | None = None) -> Assessment:
        """Return what the findings come to, worked out once."""
        told, here = tuple(findings), stand or Stand()
        key = _key(told, here)
        if key not in self.verdicts:
            self.verdicts[key] = Reasoner.assess(self, told, here)
        return self.verdicts[key]

    def believe(self, findings: Iterable[Judged], stand: Stand) -> dict[str, float]:
        """Return how probable the findings make each origin, worked out once."""
        told = tuple(findings)
        key = _key(told, stand)
        if key not in self.beliefs:
            self.beliefs[key] = Reasoner.believe(self, told, stand)
        return self.beliefs[key]


def _key(told: tuple[Judged, ...], stand: Stand) -> Key:
    """Return what a verdict hangs on: answers to different checks may come in any order."""
    in_order = sorted(told, key=lambda judged: judged.check)
    return (stand.removed, stand.unplaced, *in_order)


def remembering(reasoner: Reasoner) -> Memory:
    """Return a reasoner that remembers, with nothing to remember yet."""
    return Memory(
        reasoner.book,
        reasoner.rules,
        reasoner.graph,
        reasoner.worlds,
        reasoner.deciders,
        reasoner.touching,
        reasoner.cheap,
        reasoner.by_design,
    )
