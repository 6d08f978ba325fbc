"""The arithmetic of an exercise's score: 100 points, stated here and nowhere else.

Origin 40: each right name earns 40 / (true and wrong names together); one that the findings at hand
do not name yet was a guess and earns half. Parts 30: the share of the true origins that the plan
corrects, less 10 for each part that the unit gives no reason to touch. Minutes 20 and needless
checks 10 count in proportion to the origin points: a quick wrong answer saves nothing. Minutes earn
the planner's minutes over the apprentice's, at most the whole; a check that could not have mattered
costs 2.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from headwater.drill.exercise import Exercise, Run, justified_parts, needed_parts

ORIGIN, PARTS, MINUTES, CHECKS = 40, 30, 20, 10
GUESSED = 0.5
WRONG_PART = 10
NEEDLESS = 2


@dataclass(frozen=True, slots=True)
class Score:
    """The points of each kind, and what they were taken for."""

    origin: int
    parts: int
    minutes: int
    checks: int
    right: tuple[str, ...]
    guessed: tuple[str, ...]
    wrong: tuple[str, ...]
    left: tuple[str, ...]
    wrong_parts: tuple[str, ...]
    uncorrected: tuple[str, ...]

    @property
    def total(self) -> int:
        """The points out of 100."""
        return self.origin + self.parts + self.minutes + self.checks

    @property
    def missed(self) -> bool:
        """True when an origin was missed, guessed, or wrongly named."""
        return self.origin < ORIGIN


def score_run(
    exercise: Exercise, run: Run, origins: Collection[str], parts: Collection[str]
) -> Score:
    """Return the score of a run that ends in these origins and a plan on these parts."""
    true = exercise.unit.origins
    book = exercise.book
    right = [o for o in true if o in origins]
    wrong = sorted(set(origins) - set(true))
    guessed = [o for o in right if o not in run.verdict.origins]
    left = [o for o in true if o not in origins]
    needs = {o: needed_parts(book, o) for o in true}
    uncorrected = [o for o in true if needs[o] and not needs[o] & set(parts)]
    wrong_parts = sorted(set(parts) - justified_parts(book, exercise.unit))
    share = (len(right) - (1.0 - GUESSED) * len(guessed)) / (len(true) + len(wrong))
    pace = min(1.0, exercise.planner.minutes / run.minutes) if run.minutes else 1.0
    corrected = 1.0 - len(uncorrected) / len(true)
    return Score(
        origin=round(ORIGIN * share),
        parts=max(0, round(PARTS * corrected) - WRONG_PART * len(wrong_parts)),
        minutes=round(MINUTES * share * pace),
        checks=round(max(0, CHECKS - NEEDLESS * len(run.needless)) * share),
        right=tuple(right),
        guessed=tuple(guessed),
        wrong=tuple(wrong),
        left=tuple(left),
        wrong_parts=tuple(wrong_parts),
        uncorrected=tuple(uncorrected),
    )
