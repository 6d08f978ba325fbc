"""What came of an exercise: the run, what was said of it and what it scored, as records."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from headwater.drill.exercise import Exercise
from headwater.drill.hindsight import Hindsight, cheapest
from headwater.drill.looks import Worth, turns, worths
from headwater.drill.mistakes import Mistake, mistakes_of
from headwater.drill.run import Run
from headwater.drill.score import PartMark, Score, Statement


@dataclass(frozen=True)
class Debriefing:
    """An exercise that has come to its end: the run, what was said of it, and what it scored."""

    exercise: Exercise
    run: Run
    said: Statement
    score: Score

    @cached_property
    def hindsight(self) -> Hindsight | None:
        """The cheapest looks found that would have proved it."""
        return cheapest([self.exercise.planner, self.run])

    @cached_property
    def planner_worths(self) -> list[Worth]:
        """What the planner's looks were worth."""
        return worths(self.exercise.planner)

    @property
    def mistakes(self) -> tuple[Mistake, ...]:
        """The kinds of mistake that were made."""
        return mistakes_of(self.exercise, self.run, self.score)


@dataclass(frozen=True, slots=True)
class OrderView:
    """One order: its answer, its cost, what it was worth, and the true origins after it.

    `most` is how far an answer could have moved an origin; `judged` what a reading was taken for.
    """

    check: str
    answer: str
    minutes: float
    opens: tuple[str, ...]
    useless: bool
    most: float
    proves: bool
    judged: str
    origins: dict[str, float]


@dataclass(frozen=True, slots=True)
class RunView:
    """The orders of one person; `turned_at` counts from 1, by origin, where something turned it."""

    minutes: float
    turned_at: dict[str, int]
    orders: tuple[OrderView, ...]


@dataclass(frozen=True, slots=True)
class PartMarkView:
    """A part missing in the plan, or needless: the points it took; `bare` without its origin."""

    part: str
    points: int
    bare: bool


@dataclass(frozen=True, slots=True)
class ScoreView:
    """The points of each kind, and what they were taken for."""

    total: int
    passed: bool
    origin: int
    parts: int
    minutes: int
    looks: int
    hints: int
    right: tuple[str, ...]
    guessed: tuple[str, ...]
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    steps_left: tuple[str, ...]
    steps_wrong: tuple[str, ...]
    pointed_to_proof: bool
    missing_parts: tuple[PartMarkView, ...]
    needless_parts: tuple[PartMarkView, ...]


@dataclass(frozen=True, slots=True)
class HindsightView:
    """The cheapest looks found that would have proved it."""

    checks: tuple[str, ...]
    minutes: float


@dataclass(frozen=True, slots=True)
class DebriefView:
    """Everything about an exercise, once it is over."""

    level: int
    seed: int
    book: str
    origins: tuple[str, ...]
    named: tuple[str, ...]
    chains: tuple[tuple[str, ...], ...]
    circle: tuple[str, ...]
    opening: dict[str, str]
    pointed_elsewhere: str | None
    mistaken: str | None
    run: RunView
    planner: RunView
    hindsight: HindsightView | None
    score: ScoreView
    mistakes: tuple[str, ...]


def debrief_view(told: Debriefing) -> DebriefView:
    """Return the result as a record."""
    exercise, found = told.exercise, told.hindsight
    unit = exercise.unit
    return DebriefView(
        exercise.level,
        exercise.seed,
        exercise.book.digest,
        unit.origins,
        told.said.origins,
        unit.ways,
        unit.loop,
        dict(unit.opening),
        unit.herring,
        unit.mistaken,
        _run(told.run, told.score.worths),
        _run(exercise.planner, told.planner_worths),
        HindsightView(found.checks, found.minutes) if found else None,
        _score_view(told.score),
        tuple(map(str, told.mistakes)),
    )


def _score_view(score: Score) -> ScoreView:
    def parts(some: Iterable[PartMark]) -> tuple[PartMarkView, ...]:
        return tuple(PartMarkView(one.part, one.points, one.bare) for one in some)

    return ScoreView(
        total=score.total,
        passed=score.passed,
        origin=score.origin,
        parts=score.parts,
        minutes=score.minutes,
        looks=score.looks,
        hints=score.hints,
        right=score.right,
        guessed=score.guessed,
        missed=score.left,
        wrong=score.wrong,
        steps_left=score.steps_left,
        steps_wrong=score.steps_wrong,
        pointed_to_proof=score.pointed,
        missing_parts=parts(score.missing_parts),
        needless_parts=parts(score.needless_parts),
    )


def _run(run: Run, looked: Iterable[Worth]) -> RunView:
    orders = tuple(
        OrderView(
            order.check,
            order.answer,
            order.minutes,
            order.opens,
            worth.useless,
            round(worth.most.size, 4) if worth.most else 0.0,
            worth.proves,
            run.judgements.get(number, ""),
            {o: round(p, 4) for o, p in order.chances.items()},
        )
        for number, (order, worth) in enumerate(zip(run.orders, looked, strict=False))
    )
    at = {origin: turn[0] + 1 for origin, turn in turns(run).items() if turn}
    return RunView(run.minutes, at, orders)
