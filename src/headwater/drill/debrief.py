"""The debrief of an exercise: the chain, the orders one by one, where it turned, and the score."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from headwater.drill.exercise import Exercise, Order, Run, begin
from headwater.drill.score import CHECKS, MINUTES, ORIGIN, PARTS, Score
from headwater.view.answers import word_words
from headwater.view.case import step_view
from headwater.view.paper import Block, Entries, Entry, Facts, Paper, Section, Tone, Words, say
from headwater.view.verdict import step_entries
from headwater.view.words import minutes_words, part_title, percent, title

TURN_FROM = 0.1
"""Rise of the true origins, as a probability, below which an order turned nothing."""


@dataclass(frozen=True, slots=True)
class Debriefing:
    """An exercise that has come to its end: the apprentice's run and what it scored."""

    exercise: Exercise
    run: Run
    score: Score


@dataclass(frozen=True, slots=True)
class OrderView:
    """One order: its answer, its cost, and how probable it left the true origins."""

    check: str
    answer: str
    minutes: float
    opens: tuple[str, ...]
    could_matter: bool
    origins: dict[str, float]


@dataclass(frozen=True, slots=True)
class RunView:
    """The orders of one person; `turned_at` counts from 1, None where nothing turned."""

    minutes: float
    turned_at: int | None
    orders: tuple[OrderView, ...]


@dataclass(frozen=True, slots=True)
class ScoreView:
    """The points of each kind, and what they were taken for."""

    total: int
    origin: int
    parts: int
    minutes: int
    checks: int
    right: tuple[str, ...]
    guessed: tuple[str, ...]
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    wrong_parts: tuple[str, ...]
    uncorrected: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DebriefView:
    """Everything about an exercise, once it is over."""

    level: int
    seed: int
    book: str
    origins: tuple[str, ...]
    chains: tuple[tuple[str, ...], ...]
    circle: tuple[str, ...]
    opening: dict[str, str]
    pointed_elsewhere: str | None
    mistaken: str | None
    run: RunView
    planner: RunView
    score: ScoreView


def turn_of(run: Run) -> Order | None:
    """Return the order that raised the true origins most; None when none raised them much."""
    before = dict.fromkeys(run.unit.origins, 0.0)
    if run.orders:
        before = begin(run.session.reasoner, run.unit).chances()
    best: tuple[float, Order] | None = None
    for order in run.orders:
        rise = sum(order.chances[o] - before[o] for o in before)
        if rise >= TURN_FROM and (best is None or rise > best[0]):
            best = (rise, order)
        before = dict(order.chances)
    return best[1] if best else None


def debrief_paper(told: Debriefing) -> Paper:
    """Return the debrief, a page a section: truth, both runs, plan, score."""
    exercise, run = told.exercise, told.run
    solved = exercise.planner.verdict
    steps = [step_view(solved, step) for step in solved.plan]
    return Paper(
        "",
        (),
        (
            Section("Debrief", tuple(_truth(exercise))),
            _run_section(exercise, run, "Your orders"),
            _run_section(exercise, exercise.planner, "The planner's orders on the same unit"),
            Section("The plan, once the origin is named", (step_entries(steps),)),
            Section(f"Score: {told.score.total} of 100", tuple(_score(told))),
        ),
    )


def _truth(exercise: Exercise) -> Iterator[Block]:
    unit, book = exercise.unit, exercise.book
    for chain in unit.chains:
        yield say(Words(f"Origin: {title(book, str(chain.verdict))}", Tone.STRONG))
        for cause, effect in pairwise(chain.path()):
            yield say(Words(f"so {book.links[cause, effect].how}", Tone.QUIET))
            yield say(f"→ {title(book, effect)}")
        if chain.tempting:
            wrong = f"{chain.tempting.repair}. It leads to: {chain.tempting.leads_to}."
            yield say(f"The wrong repair that tempts here: {wrong}")
    if unit.loop:
        names = "; ".join(title(book, cid) for cid in unit.loop)
        yield say(f"A circle that cannot start itself; the origin entered it: {names}")
    for check_id, words in ((unit.herring, "pointed elsewhere"), (unit.mistaken, "was mistaken")):
        if check_id:
            answer = word_words(book, check_id, unit.opening[check_id])
            yield say(f"This {words}: {book.checks[check_id].ask} {answer}")


def _run_section(exercise: Exercise, run: Run, head: str) -> Section:
    book, turn = exercise.book, turn_of(run)
    entries = []
    for order in run.orders:
        points = [] if order.mattered else ["could not have mattered"]
        if order is turn:
            stands = (f"{title(book, o)}: {percent(p)}" for o, p in order.chances.items())
            points.append(f"here it turned; the origin now stands at: {'; '.join(stands)}")
        answer = word_words(book, order.check, order.answer)
        text = f"{book.checks[order.check].ask} {answer} ({minutes_words(order.minutes)})"
        entries.append(Entry((Words(text),), tuple(points)))
    blocks: list[Block] = [Entries(tuple(entries), numbered=True)]
    if run.orders and turn is None:
        blocks.append(say(Words("None of these brought the origin nearer.", Tone.HELD)))
    return Section(f"{head}: {len(run.orders)}, {minutes_words(run.minutes)}", tuple(blocks))


def _score(told: Debriefing) -> Iterator[Block]:
    """Yield the score with what was taken off, and for what."""
    book, score, run = told.exercise.book, told.score, told.run

    def names(conditions: Iterable[str], what: str) -> Iterator[Block]:
        for cid in conditions:
            yield say(Words(f"{what}: {title(book, cid)}", Tone.HELD))

    def points(name: str, text: str) -> Block:
        return Facts(((name, text),))

    yield points("origin", f"{score.origin} of {ORIGIN}")
    yield from names(score.guessed, "right, but a guess: not proven yet")
    yield from names(score.left, "missed")
    yield from names(score.wrong, "named, and not there")
    yield points("parts", f"{score.parts} of {PARTS}")
    for part in score.wrong_parts:
        text = f"nothing on this unit is mended by it: {part_title(book, part)}"
        yield say(Words(text, Tone.HELD))
    yield from names(score.uncorrected, "left uncorrected")
    planner = minutes_words(told.exercise.planner.minutes)
    pace = f"yours {minutes_words(run.minutes)}, planner {planner}"
    yield points("minutes", f"{score.minutes} of {MINUTES} ({pace})")
    needless = f"{len(run.needless)} that could not have mattered"
    yield points("checks", f"{score.checks} of {CHECKS} ({needless})")


def debrief_view(told: Debriefing) -> DebriefView:
    """Return the result as a record."""
    exercise, score = told.exercise, told.score
    unit = exercise.unit
    return DebriefView(
        exercise.level,
        exercise.seed,
        exercise.book.digest,
        unit.origins,
        tuple(chain.path() for chain in unit.chains),
        unit.loop,
        dict(unit.opening),
        unit.herring,
        unit.mistaken,
        _run(told.run),
        _run(exercise.planner),
        ScoreView(
            score.total,
            score.origin,
            score.parts,
            score.minutes,
            score.checks,
            score.right,
            score.guessed,
            score.left,
            score.wrong,
            score.wrong_parts,
            score.uncorrected,
        ),
    )


def _run(run: Run) -> RunView:
    turn = turn_of(run)
    orders = tuple(
        OrderView(
            order.check,
            order.answer,
            order.minutes,
            order.opens,
            order.mattered,
            {o: round(p, 4) for o, p in order.chances.items()},
        )
        for order in run.orders
    )
    return RunView(run.minutes, run.orders.index(turn) + 1 if turn else None, orders)
