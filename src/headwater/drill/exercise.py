"""An exercise: a hidden unit on the bench, and the planner's own run on it.

A drawn unit becomes an exercise only if it can be solved: the planner (`session.ask.next_checks`,
with the same answers) must name the true origins, and plan nothing that the unit does not need,
within a bounded number of orders. The apprentice is then measured against that run.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from headwater.book.model import Chain
from headwater.book.records import Book, Family, applies
from headwater.drill.run import DrillError, Run, begin, planner_run, solved
from headwater.drill.truth import (
    SHORT,
    TWISTS,
    HiddenUnit,
    Twist,
    answer,
    draw_family,
    draw_unit,
    family_for,
    pick,
)
from headwater.graph.causal import causes_of, loops
from headwater.session.findings import find_out
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import Reasoner
from headwater.verdict.reach import within_reach

LIVE_AT_MOST = 36
"""Live origins at the start, for all that the unit came in with; more take the planner too long."""
FAMILIES_AT_MOST = 120
TRIED_AT_MOST = 24
"""Families that units are drawn of, at most: the book is made ready for each."""
DRAWS_OF_ONE = 100
"""Units drawn of one family before another family is."""
FROM_MISSED = 0.4
"""Share of these that keep to the missed chains before any chain of the book will do."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """A unit that can be solved, and the planner's run on it; shown to nobody before the end."""

    level: int
    seed: int
    family: Mapping[str, str]
    reasoner: Reasoner
    unit: HiddenUnit
    planner: Run

    @property
    def book(self) -> Book:
        """The book as it applies to the unit."""
        return self.reasoner.book

    def begin(self) -> Run:
        """Return a run without an order."""
        return begin(self.reasoner, self.unit)


def _solvable(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say at the price of one verdict whether looking at all that may be behind would name them.

    Looks along the chains alone would not do: an origin is named once its rivals are low.
    """
    run = begin(reasoner, unit)
    stand = run.session.stand
    for origin in unit.origins:
        if not any(within_reach(check, stand) for check in reasoner.deciders[origin]):
            return False
    behind = causes_of(reasoner.graph, *unit.ends)
    looks = {check.id: check for cid in sorted(behind) for check in reasoner.deciders[cid]}
    for check in looks.values():
        if within_reach(check, stand):
            again = check.id in unit.opening
            given = answer(reasoner.book, unit, check, 1 + again)
            run.session.findings.append(find_out(reasoner.book, check.id, given))
    return set(run.named()) == set(unit.origins)


def _open(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say whether a unit comes in with something to find out, and not with too much."""
    run = begin(reasoner, unit)
    accounts = run.verdict.accounts
    ends = [accounts[end] for end in unit.ends if end in accounts]
    live = sum(1 for end in ends for candidate in end.candidates if candidate.origin)
    return not run.explained() and live <= LIVE_AT_MOST


def draw_exercise(
    open_book: OpenBook, level: int, seed: int, missed: Sequence[str] = (), not_again: str = ""
) -> Exercise:
    """Return the exercise of a seed; the same book, level, seed and missed chains give the same.

    The unit's attributes are drawn before its chain, and say no more of it than the book does.
    Where chains were missed, the unit is drawn from those and from their rivals, which end in the
    same finding: what was missed before does not give the answer away. The chain `not_again` is
    left out, where there is another. Raises DrillError.
    """
    book, tried = open_book.book, 0
    for turn in range(FAMILIES_AT_MOST if book.chains else 0):
        family = draw_family(book, f"{seed}:{level}:{turn}")
        keep_to = missed if turn < FROM_MISSED * FAMILIES_AT_MOST else ()
        if keep_to and not any(_fits(book, chain, family) for chain in keep_to):
            continue
        tried += 1
        if tried > TRIED_AT_MOST:
            break
        key = f"{seed}:{level}:{turn}"
        if found := _drawn(open_book, level, key, family, keep_to, not_again):
            return Exercise(level, seed, family, *found)
    raise DrillError(f"no unit of level {level} can be drawn from this book; choose another level")


def _fits(book: Book, chain: str, family: Family) -> bool:
    """Say whether a unit of a family can have a chain."""
    record = book.chains.get(chain)
    if record is None:
        return False
    owner = book.owner.get(("chains", chain))
    heads = (pack.when for pack in book.packs if pack.pack == owner)
    return all(applies(when, family) for when in heads) and family == family_for(
        book, record, family
    )


def _drawn(
    open_book: OpenBook,
    level: int,
    key: str,
    family: Family,
    missed: Sequence[str],
    not_again: str,
) -> tuple[Reasoner, HiddenUnit, Run] | None:
    """Return a unit of a family, with the planner's run; None where so many draws give none."""
    reasoner = open_book.compiled(family)
    every = list(reasoner.book.chains.values())
    pool = [chain for chain in every if level > 1 or len(chain.path()) <= SHORT]
    if Twist.LOOP in TWISTS[level]:
        pool = _in_circles(reasoner, pool)
    if missed:
        pool = _near(pool, missed)
    pool = [chain for chain in pool if chain.id != not_again] or pool
    for draw in range(DRAWS_OF_ONE if pool else 0):
        told = f"{key}:{draw}"
        chain = pick(random.Random(f"chain:{told}"), pool)
        unit = draw_unit(reasoner, chain, level, told, every)
        if unit is None or not _solvable(reasoner, unit) or not _open(reasoner, unit):
            continue
        planner = planner_run(reasoner, unit)
        if planner and solved(planner):
            return reasoner, unit, planner
    return None


def _in_circles(reasoner: Reasoner, chains: Sequence[Chain]) -> list[Chain]:
    """Return the chains of which a link may close a circle."""
    circle_of = {cid: number for number, ids in enumerate(loops(reasoner.graph)) for cid in ids}
    return [
        chain
        for chain in chains
        if any(
            c in circle_of and circle_of[c] == circle_of.get(e) for c, e in pairwise(chain.path())
        )
    ]


def _near(chains: Sequence[Chain], missed: Sequence[str]) -> list[Chain]:
    """Return the missed chains, each weighed against all its rivals together."""
    found: list[Chain] = []
    for chain in chains:
        if chain.id not in missed:
            continue
        rivals = [c for c in chains if c.found == chain.found and c.verdict != chain.verdict]
        found += [chain] * max(1, len(rivals)) + rivals
    return found
