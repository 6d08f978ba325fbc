"""Kinds of mistake in an exercise, each with what to practise."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum

from headwater.drill.exercise import Exercise
from headwater.drill.run import Run
from headwater.drill.score import Score

TOO_LONG = 1.25
"""Minutes over the planner's, from which somebody has looked too long."""


class Mistake(StrEnum):
    """What went wrong."""

    MISSED_ORIGIN = "missed-origin"
    STOPPED_EARLY = "stopped-early"
    BARE_PART = "bare-part"
    NEEDLESS_PART = "needless-part"
    UNREAD_LIMIT = "unread-limit"
    LOOKED_TOO_LONG = "looked-too-long"


PRACTISE = {
    Mistake.MISSED_ORIGIN: "walk this chain, and explain it back: what can do this, "
    "and what shows it",
    Mistake.STOPPED_EARLY: "before you name an origin, ask what else could do the same, and see a "
    "second thing that speaks of it",
    Mistake.BARE_PART: "ask of every bad part what made it bad, and put that right first",
    Mistake.NEEDLESS_PART: "change no part on which nothing bad was found",
    Mistake.UNREAD_LIMIT: "lay every figure beside its limit, and think of the gauge: near an edge "
    "it tells nothing",
    Mistake.LOOKED_TOO_LONG: "ask for what parts the likely origins, the quick looks first, and "
    "open once for all that lies behind a cover",
}


def mistakes_of(exercise: Exercise, run: Run, score: Score) -> tuple[Mistake, ...]:
    """Return the kinds of mistake that were made, in the order of `Mistake`."""
    found = set(_found(exercise, run, score))
    return tuple(kind for kind in Mistake if kind in found)


def _found(exercise: Exercise, run: Run, score: Score) -> Iterator[Mistake]:
    if score.left or score.wrong:
        yield Mistake.MISSED_ORIGIN
    if score.guessed:
        yield Mistake.STOPPED_EARLY
    if any(part.bare for part in score.missing_parts):
        yield Mistake.BARE_PART
    if score.needless_parts:
        yield Mistake.NEEDLESS_PART
    if run.misread:
        yield Mistake.UNREAD_LIMIT
    if run.minutes > TOO_LONG * exercise.planner.minutes or len(score.useless) > 1:
        yield Mistake.LOOKED_TOO_LONG
