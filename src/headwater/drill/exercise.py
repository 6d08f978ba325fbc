"""An exercise: a hidden unit on the bench, and the planner's own run on it.

A drawn unit becomes an exercise only if it can be solved: the planner (`session.ask.next_checks`,
with the same answers) must name the true origins, and plan nothing that the unit does not need,
within a bounded number of orders. The apprentice is then measured against that run.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from headwater.book.model import Chain
from headwater.book.records import Book, Family, applies
from headwater.drill.drawing import draw_by_chance, draw_unit
from headwater.drill.memory import remembering
from headwater.drill.run import (
    DrillError,
    Look,
    Run,
    begin,
    planner_run,
    run_again,
    solved,
)
from headwater.drill.truth import (
    SHORT,
    TWISTS,
    HiddenUnit,
    Twist,
    draw_family,
    family_for,
    people,
    pick,
)
from headwater.graph.causal import causes_of, loops
from headwater.rules.status import Status
from headwater.session.ask import Purpose
from headwater.session.findings import find_out
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import Reasoner
from headwater.verdict.naming import RIVAL_FROM
from headwater.verdict.reach import within_reach

LIVE_AT_MOST = 36
"""Live origins at the start, for all that the unit came in with; more take the planner too long."""
FAMILIES_AT_MOST = 120
TRIED_AT_MOST = 24
"""Families that units are drawn of, at most: the book is made ready for each."""
DRAWS_OF_ONE = 400
"""Units drawn of one family before another family is."""
FROM_MISSED = 0.4
"""Share of these that keep to the missed chains before any chain of the book will do."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What an exercise is drawn for; the same book and wish give the same unit.

    `near` are chains that were missed, none for the whole book, `not_again` the one of the exercise
    before. Where it was `chosen` it is of a chain of `near` itself, on a unit that can have it.
    """

    level: int
    seed: int
    near: tuple[str, ...] = ()
    not_again: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a unit that was drawn once is drawn again, and the planner's looks at it.

    `turn` is the family, `draw` the unit of that family, both counted from 0.
    """

    wish: Wish
    turn: int
    draw: int
    looks: tuple[Look, ...]


@dataclass(frozen=True)
class Exercise:
    """A unit that can be solved, and the planner's run on it; shown to nobody before the end.

    `done` is that run, or its looks where they are known: then it is made again once it is wanted.
    """

    level: int
    seed: int
    family: Mapping[str, str]
    reasoner: Reasoner
    unit: HiddenUnit
    done: Run | tuple[Look, ...]

    @cached_property
    def planner(self) -> Run:
        """The planner's run."""
        if isinstance(self.done, Run):
            return self.done
        return run_again(self.reasoner, self.unit, self.done)

    @property
    def book(self) -> Book:
        """The book as it applies to the unit."""
        return self.reasoner.book

    @property
    def mark(self) -> str:
        """What tells this unit from all others, however it was come by; nobody reads it back."""
        unit = self.unit
        told = (sorted(self.family.items()), unit.seed, unit.origins, sorted(unit.opening.items()))
        return hashlib.blake2b(repr(told).encode(), digest_size=8).hexdigest()

    def begin(self) -> Run:
        """Return a run without an order."""
        return begin(self.reasoner, self.unit)


def _solvable(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say at the price of one belief whether true answers to all that may be behind would tell.

    They must show what the unit came in with, give each of its origins a share in that, and leave
    no other origin one. Whether this is proof is for the planner's run to say, which is dear.
    """
    book, stand, who = (
        reasoner.book,
        begin(reasoner, unit).session.stand,
        people(reasoner.book, unit),
    )
    for origin in unit.origins:
        if not any(within_reach(check, stand) for check in reasoner.deciders[origin]):
            return False
    behind = causes_of(reasoner.graph, *unit.ends) | set(unit.ends)
    looks = {check.id: check for cid in sorted(behind) for check in reasoner.deciders[cid]}
    told = [
        find_out(book, check.id, who.exactly(check).given).judged
        for check in looks.values()
        if within_reach(check, stand) and who.makes_sense(check)
    ]
    known = reasoner.know(told, stand)[1]
    shares = [known.attribution.shares(end) for end in unit.ends]
    told_of = {o for some in shares for o, share in some.items() if o and share >= RIVAL_FROM}
    shown = all(known.status(end) is Status.CONFIRMED for end in unit.ends)
    return shown and told_of == {*unit.origins}


def _open(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say whether a unit comes in with something to find out, and not with too much.

    Who was mistaken must be asked again, or what he took away is not looked for.
    """
    run = begin(reasoner, unit)
    if unit.mistaken and unit.mistaken not in {one.check for one in run.session.next()}:
        return False
    accounts = run.verdict.accounts
    ends = [accounts[end] for end in unit.ends if end in accounts]
    live = sum(1 for end in ends for candidate in end.candidates if candidate.origin)
    return not run.explained() and live <= LIVE_AT_MOST


def draw_exercise(
    open_book: OpenBook, level: int, seed: int, missed: Sequence[str] = (), not_again: str = ""
) -> Exercise:
    """Return the exercise of a wish. Raises DrillError."""
    return draw(open_book, Wish(level, seed, tuple(missed), not_again))[0]


def draw(open_book: OpenBook, wish: Wish) -> tuple[Exercise, Recipe]:
    """Return the exercise of a wish, and how to have it again at once. Raises DrillError.

    The unit's attributes are drawn before its chain, and say no more of it than the book does.
    Where chains were missed, the unit is drawn from those and from their rivals, which end in the
    same finding: what was missed before does not give the answer away. The chain `not_again` is
    left out, where there is another.
    """
    book, tried = open_book.book, 0
    for turn in range(FAMILIES_AT_MOST if book.chains else 0):
        family = _family(book, wish, turn)
        keep_to = _keep_to(wish, turn)
        if keep_to and not any(_fits(book, chain, family) for chain in keep_to):
            continue
        tried += 1
        if tried > TRIED_AT_MOST:
            break
        lot = _Lot(open_book.compiled(family), wish, turn)
        if found := lot.search():
            unit, run, number = found
            looks = tuple((order.check, order.purpose or Purpose.SEPARATE) for order in run.orders)
            reasoner = run.session.reasoner
            exercise = Exercise(wish.level, wish.seed, family, reasoner, unit, run)
            return exercise, Recipe(wish, turn, number, looks)
    level = wish.level
    raise DrillError(f"no unit of level {level} can be drawn from this book; choose another level")


def draw_again(open_book: OpenBook, recipe: Recipe) -> Exercise | None:
    """Return an exercise that was drawn before; None where the book does not give it any more."""
    wish = recipe.wish
    family = _family(open_book.book, wish, recipe.turn)
    lot = _Lot(open_book.compiled(family), wish, recipe.turn)
    unit = lot.unit(recipe.draw)
    known = all(check in lot.reasoner.book.checks for check, _ in recipe.looks)
    if unit is None or not known:
        return None
    reasoner = remembering(lot.reasoner)
    return Exercise(wish.level, wish.seed, family, reasoner, unit, recipe.looks)


def _family(book: Book, wish: Wish, turn: int) -> dict[str, str]:
    family = draw_family(book, f"{wish.seed}:{wish.level}:{turn}")
    chosen = [book.chains[one] for one in wish.near if wish.chosen and one in book.chains]
    return family_for(book, chosen[turn % len(chosen)], family) if chosen else family


def _keep_to(wish: Wish, turn: int) -> tuple[str, ...]:
    return wish.near if wish.chosen or turn < FROM_MISSED * FAMILIES_AT_MOST else ()


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


@dataclass
class _Lot:
    """The units that may be drawn of one family for a wish, by number."""

    reasoner: Reasoner
    wish: Wish
    turn: int

    @cached_property
    def pool(self) -> list[Chain]:
        """The chains that the first origin is taken from."""
        pool = self.near or self._every
        return [chain for chain in pool if chain.id != self.wish.not_again] or pool

    @cached_property
    def near(self) -> list[Chain]:
        """The chains that are asked for and their rivals; none where any will do, or none fits."""
        missed = _keep_to(self.wish, self.turn)
        if self.wish.chosen:
            return [c for c in self.reasoner.book.chains.values() if c.id in missed]
        return _near(self._every, missed)

    @cached_property
    def _every(self) -> list[Chain]:
        """The chains that a unit of the level may have; none beside one that was chosen."""
        level, every = self.wish.level, self.reasoner.book.chains.values()
        if self.wish.chosen:
            return []
        pool = [chain for chain in every if level > 1 or len(chain.path()) <= SHORT]
        return _in_circles(self.reasoner, pool) if Twist.LOOP in TWISTS[level] else pool

    def unit(self, number: int) -> HiddenUnit | None:
        """Return the unit of a number, if that draw gives one."""
        if not self.pool:
            return None
        told = f"{self.wish.seed}:{self.wish.level}:{self.turn}:{number}"
        level, every = self.wish.level, list(self.reasoner.book.chains.values())
        if not self.near and Twist.LOOP not in TWISTS[level]:
            return draw_by_chance(self.reasoner, level, told, self.pool, every)
        chain = pick(random.Random(f"chain:{told}"), self.pool)
        return draw_unit(self.reasoner, chain, level, told, every)

    def search(self) -> tuple[HiddenUnit, Run, int] | None:
        """Return the first unit that makes an exercise, the planner's run, and its number."""
        for number in range(DRAWS_OF_ONE if self.pool else 0):
            unit = self.unit(number)
            if unit is None or not _solvable(self.reasoner, unit) or not _open(self.reasoner, unit):
                continue
            planner = planner_run(remembering(self.reasoner), unit)
            if planner and solved(planner):
                return unit, planner, number
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
