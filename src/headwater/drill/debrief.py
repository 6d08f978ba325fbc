"""The debrief of an exercise: the chain, the orders one by one, where it turned, and the score."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from headwater.drill.exercise import Exercise, Order, Run, begin
from headwater.drill.score import CHECKS, MINUTES, ORIGIN, PARTS, Score
from headwater.report.text import Line, Lines, step_lines
from headwater.view.words import minutes_words, part_title, percent, title

TURN_FROM = 0.1
"""Rise of the true origins, as a probability, below which an order turned nothing."""


def answer_words(exercise: Exercise, check_id: str, word: str) -> str:
    """Return an answer of a check in words."""
    answer = exercise.reasoner.book.checks[check_id].answers[word]  # type: ignore[index]
    return answer.says or word.replace("-", " ")


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


def debrief_pages(exercise: Exercise, run: Run, score: Score) -> list[list[Line]]:
    """Return the debrief page by page: truth, both runs, plan, score."""
    solved = exercise.planner.verdict
    return [
        [Line("Debrief", "head"), *_truth_lines(exercise)],
        list(_run_lines(exercise, run, "Your orders")),
        list(_run_lines(exercise, exercise.planner, "The planner's orders on the same unit")),
        [Line("The plan, once the origin is named", "head"), *step_lines(solved, solved.plan)],
        list(score_lines(exercise, run, score)),
    ]


def _truth_lines(exercise: Exercise) -> Lines:
    unit, book = exercise.unit, exercise.reasoner.book
    for chain in unit.chains:
        yield Line()
        yield Line(f"Origin: {title(book, str(chain.verdict))}", "head")
        for cause, effect in pairwise(chain.path()):
            yield Line(f"so {book.links[cause, effect].how}", "quiet", indent=4)
            yield Line(f"-> {title(book, effect)}", indent=2, hang=5)
        if chain.tempting:
            wrong = f"{chain.tempting.repair}. It leads to: {chain.tempting.leads_to}."
            yield Line(f"The wrong repair that tempts here: {wrong}", indent=2)
    if unit.loop:
        yield Line()
        names = "; ".join(title(book, cid) for cid in unit.loop)
        yield Line(f"A circle that cannot start itself; the origin entered it: {names}")
    for check_id, words in ((unit.herring, "pointed elsewhere"), (unit.mistaken, "was mistaken")):
        if check_id:
            answer = answer_words(exercise, check_id, unit.opening[check_id])
            yield Line(f"This {words}: {book.checks[check_id].ask} {answer}")


def _run_lines(exercise: Exercise, run: Run, head: str) -> Lines:
    book = exercise.reasoner.book
    yield Line(f"{head}: {len(run.orders)}, {minutes_words(run.minutes)}", "head")
    turn = turn_of(run)
    for number, order in enumerate(run.orders, 1):
        answer = answer_words(exercise, order.check, order.answer)
        ask = book.checks[order.check].ask
        yield Line(f"{number:2}. {ask} {answer} ({minutes_words(order.minutes)})", hang=4)
        if not order.mattered:
            yield Line("could not have mattered", "bad", indent=4)
        if order is turn:
            yield Line("here it turned; the origin now stands at:", "good", indent=4)
            for origin, chance in order.chances.items():
                yield Line(f"{title(book, origin)}: {percent(chance)}", "good", indent=6)
    if run.orders and turn is None:
        yield Line("None of these brought the origin nearer.", "bad", indent=4)


def score_lines(exercise: Exercise, run: Run, score: Score) -> Lines:
    """Yield the score with what was taken off, and for what."""
    book = exercise.reasoner.book
    yield Line(f"Score: {score.total} of 100", "head")
    yield Line(f"origin   {score.origin:3} of {ORIGIN}", indent=2)
    yield from _named(book_titles(exercise, score.guessed), "right, but a guess: not proven yet")
    yield from _named(book_titles(exercise, score.left), "missed")
    yield from _named(book_titles(exercise, score.wrong), "named, and not there")
    yield Line(f"parts    {score.parts:3} of {PARTS}", indent=2)
    wrong = [part_title(book, part) for part in score.wrong_parts]
    yield from _named(wrong, "nothing on this unit is mended by it")
    yield from _named(book_titles(exercise, score.uncorrected), "left uncorrected")
    pace = f"yours {minutes_words(run.minutes)}, planner {minutes_words(exercise.planner.minutes)}"
    yield Line(f"minutes  {score.minutes:3} of {MINUTES}  ({pace})", indent=2)
    needless = f"{len(run.needless)} that could not have mattered"
    yield Line(f"checks   {score.checks:3} of {CHECKS}  ({needless})", indent=2)


def book_titles(exercise: Exercise, conditions: Iterable[str]) -> list[str]:
    """Return the titles of conditions."""
    return [title(exercise.reasoner.book, cid) for cid in conditions]


def _named(names: Iterable[str], what: str) -> Lines:
    for name in names:
        yield Line(f"{what}: {name}", "bad", indent=6)


def debrief_data(exercise: Exercise, run: Run, score: Score) -> dict[str, Any]:
    """Return the result as plain data, ready for `json.dumps`."""
    return {
        "level": exercise.level,
        "seed": exercise.seed,
        "book": exercise.reasoner.book.digest,
        "origins": list(exercise.unit.origins),
        "chains": [list(chain.path()) for chain in exercise.unit.chains],
        "circle": list(exercise.unit.loop),
        "opening": dict(exercise.unit.opening),
        "pointed_elsewhere": exercise.unit.herring,
        "mistaken": exercise.unit.mistaken,
        "run": _run_data(run),
        "planner": _run_data(exercise.planner),
        "score": {
            "total": score.total,
            "origin": score.origin,
            "parts": score.parts,
            "minutes": score.minutes,
            "checks": score.checks,
            "right": list(score.right),
            "guessed": list(score.guessed),
            "missed": list(score.left),
            "wrong": list(score.wrong),
            "wrong_parts": list(score.wrong_parts),
            "uncorrected": list(score.uncorrected),
        },
    }


def _run_data(run: Run) -> dict[str, Any]:
    turn = turn_of(run)
    return {
        "minutes": run.minutes,
        "turned_at": run.orders.index(turn) + 1 if turn else None,
        "orders": [
            {
                "check": order.check,
                "answer": order.answer,
                "minutes": order.minutes,
                "opens": list(order.opens),
                "could_matter": order.mattered,
                "origins": {o: round(p, 4) for o, p in order.chances.items()},
            }
            for order in run.orders
        ],
    }
