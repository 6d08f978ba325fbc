"""What an exercise that is over leaves in an apprentice's record: the same for bench and class."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from headwater.drill.progress import Apprentice, Lesson
from headwater.drill.recall import FORM, ratings_of
from headwater.drill.result import Debriefing


def had_before(record: Apprentice, told: Debriefing) -> bool:
    """Say whether the apprentice had this unit before, at a terminal or in a class."""
    return record.had(told.exercise.mark)


def entered(
    record: Apprentice, told: Debriefing, now: datetime, *, served: bool = False
) -> Apprentice:
    """Return a record after an exercise; a unit that was had before leaves it as it was.

    What is open at a terminal ends with it, unless the exercise was `served` to a class.
    """
    left = record.open if served else None
    if had_before(record, told):
        return replace(record, open=left)
    exercise, score = told.exercise, told.score
    lesson = Lesson(
        at=now.astimezone(UTC).strftime(FORM),
        level=exercise.level,
        points=score.total,
        chains=tuple(str(chain.chain) for chain in exercise.unit.chains),
        mistakes=tuple(map(str, told.mistakes)),
        unit=exercise.mark,
        served=served,
    )
    after = record.after_lesson(lesson, score.missed)
    rated = ratings_of(exercise, told.said, score, told.mistakes, after.reviews)
    return replace(after.after_reviews(rated, now), open=left)
