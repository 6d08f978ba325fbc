"""Eight kinds of apprentice, from who knows the trade to who gives up, and how each solves a unit.

What they know of the hidden unit is what its looks answer, but for the lucky guesser, and for the
expert, who goes straight to the looks that hindsight finds.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import replace

from headwater.book.model import Check
from headwater.book.tables import Sense
from headwater.drill.exercise import Exercise
from headwater.drill.hindsight import cheapest
from headwater.drill.run import ORDERS_AT_MOST, Run, needed_parts, right_parts
from headwater.drill.score import Score, Statement, score_run, statement_of, steps_between
from headwater.measure.answer import Judged
from headwater.session.session import Session
from headwater.verdict.gate import mending_parts

Solved = tuple[Run, Statement]
MISREAD = 0.2
"""How often whoever does not know what is normal takes sound for bad, or bad for sound."""
MORE = 8
"""Looks that the careful one makes before any cover comes off, whatever they tell."""
SHOTS = 3


def expert(exercise: Exercise) -> Solved:
    run = exercise.begin()
    found = cheapest([exercise.planner])
    assert found is not None
    for check in found.checks:
        run.order(exercise.book.checks[check])
    said = _planned(exercise, statement_of(run))
    parts = {*said.parts, *right_parts(exercise.planner)}  # what will be found once it is apart
    return run, replace(said, parts=tuple(sorted(parts)))


def planner(exercise: Exercise) -> Solved:
    run = exercise.planner
    return run, _planned(exercise, statement_of(run))


def careful(exercise: Exercise) -> Solved:
    """Look at all that lies open, the cheapest first, and then do as the planner does."""
    run = exercise.begin()
    verdict = run.verdict
    near = {c for account in verdict.accounts.values() for c in account.at_hand}
    checks = (exercise.book.checks[c] for c in near)
    open_ones = [c for c in checks if run.cost(c) == c.minutes and c.id not in run.unit.opening]
    for check in sorted(open_ones, key=lambda c: (c.minutes, c.id))[:MORE]:
        run.order(check)
    _follow(run, run.session)
    return run, _planned(exercise, statement_of(run))


def misreader(exercise: Exercise) -> Solved:
    """Do as the planner does on what is taken for the answers."""
    run, taken = exercise.begin(), exercise.begin()
    _follow(run, taken.session, random.Random(f"misread:{exercise.unit.seed}"))
    said = statement_of(taken)
    if not said.origins:  # who is confused names what seems likeliest
        candidates = (a.candidates for a in taken.verdict.accounts.values())
        likely = max(
            (c for some in candidates for c in some if c.origin),
            key=lambda c: c.share,
            default=None,
        )
        cited = tuple(order.check for order in run.orders[-2:])
        said = Statement((str(likely.origin),) if likely else (), (), cited)
    return run, _planned(exercise, said)


def swapper(exercise: Exercise) -> Solved:
    """Change what is seen to be bad, and ask no further."""
    book = exercise.book
    parts = [p for end in exercise.unit.ends for p in mending_parts(book, {}, end)]
    seen = [str(book.conditions[end].part or "") for end in exercise.unit.ends]
    known = {part for part in (*parts, *seen) if part in book.parts}
    return exercise.begin(), Statement(exercise.unit.ends, (), (), tuple(sorted(known)))


def shotgun(exercise: Exercise) -> Solved:
    """Name the likeliest few without a look, and change all that would mend them."""
    run = exercise.begin()
    believed = run.verdict.posterior.marginals
    likely = sorted(believed, key=lambda cid: (-believed[cid], cid))[:SHOTS]
    parts = {part for cid in likely for part in needed_parts(exercise.book, cid)}
    return run, Statement(tuple(likely), (), (), tuple(sorted(parts)))


def guesser(exercise: Exercise) -> Solved:
    """Hit on everything without a look."""
    said = statement_of(exercise.planner)
    steps = steps_between(exercise)
    return exercise.begin(), Statement(exercise.unit.origins, steps, (), said.parts)


def quitter(exercise: Exercise) -> Solved:
    return exercise.begin(), Statement()


KINDS: Mapping[str, Callable[[Exercise], Solved]] = {
    "expert": expert,
    "planner": planner,
    "careful but slow": careful,
    "reads limits wrong": misreader,
    "part swapper": swapper,
    "shotgun": shotgun,
    "lucky guesser": guesser,
    "gives up": quitter,
}


def score_of(kind: str, exercise: Exercise) -> Score:
    """Return what one of them scores on a unit."""
    run, said = KINDS[kind](exercise)
    return score_run(exercise, run, said)


def _planned(exercise: Exercise, said: Statement) -> Statement:
    """Return a statement in whose plan each origin named is corrected on one part at least."""
    ways = [mending_parts(exercise.book, {}, origin) for origin in said.origins]
    more = [way[0] for way in ways if way and not set(way) & set(said.parts)]
    return replace(said, parts=(*said.parts, *(p for p in more if p in exercise.book.parts)))


def _follow(run: Run, taken: Session, rng: random.Random | None = None) -> None:
    """Make the looks that the planner asks for, on what the answers are taken to be."""
    while len(run.orders) < 2 * ORDERS_AT_MOST:
        asked = taken.next()
        settled = not taken.verdict.disputed and all(
            end in taken.verdict.accounts and taken.verdict.accounts[end].named
            for end in run.unit.ends
        )
        if settled or not asked:
            return
        check = run.session.check(asked[0].check)
        made = run.order(check)
        if taken is not run.session:
            assert rng is not None
            taken.answer(check.id, _misread(made.judged, check, rng))


def _misread(judged: Judged, check: Check, rng: random.Random) -> Judged | str:
    """Return what an answer is taken for: one time in five, one of the other sense."""
    if judged.settled is None or rng.random() >= MISREAD:
        return judged.given if isinstance(judged.given, str) else judged
    senses = {str(word): answer.sense for word, answer in check.answers.items()}
    own = senses[judged.settled]
    other = [w for w, s in senses.items() if s is not own and Sense.PLAIN not in (s, own)]
    return rng.choice(other) if other else judged.settled
