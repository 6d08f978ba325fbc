"""An exercise: a hidden unit on the bench, the orders given on it, and the planner's own run.

A drawn unit becomes an exercise only if it can be solved: the planner (`session.ask.next_checks`,
with the same answers) must name the true origins, and plan nothing that the unit does not need,
within a bounded number of orders. The apprentice is then measured against that run.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from headwater.book.model import Chain, Check
from headwater.book.records import Book
from headwater.book.tables import Seat, Verb
from headwater.case.model import Case
from headwater.drill.truth import SHORT, HiddenUnit, draw_unit, family_for, pick
from headwater.errors import HeadwaterError
from headwater.graph.causal import causes_of
from headwater.session.ask import NextCheck
from headwater.session.findings import find_out
from headwater.session.openbook import OpenBook
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.gate import mending_parts
from headwater.verdict.reach import (
    Stand,
    minutes_to_open,
    still_to_open,
    within_reach,
)

ORDERS_AT_MOST = 16
"""Orders that the planner may need on a unit that serves as an exercise."""
LIVE_AT_MOST = 36
"""Live origins at the start, for all that the unit came in with; more take the planner too long."""
DRAWS_AT_MOST = 12000
FROM_MISSED = 40
"""Draws that keep to the missed chains before any chain of the book will do."""


class DrillError(HeadwaterError):
    """A drill that cannot be held as asked."""


@dataclass(frozen=True, slots=True)
class Order:
    """One check ordered: its answer, its cost, whether it could have mattered when it was asked.

    `chances` are the probabilities of the true origins after it.
    """

    check: str
    look: int
    answer: str
    minutes: float
    opens: tuple[str, ...]
    mattered: bool
    chances: Mapping[str, float]


@dataclass(slots=True)
class Run:
    """The orders of one person (or of the planner) on a hidden unit."""

    unit: HiddenUnit
    session: Session
    orders: list[Order] = field(default_factory=list)
    _looks: Counter[str] = field(default_factory=Counter)

    @property
    def verdict(self) -> Assessment:
        """Return what the program would make of the findings so far; never shown before the end."""
        return self.session.verdict

    @property
    def minutes(self) -> float:
        """Return the minutes spent."""
        return sum(order.minutes for order in self.orders)

    @property
    def needless(self) -> list[Order]:
        """Return the orders that could not have mattered."""
        return [order for order in self.orders if not order.mattered]

    def cost(self, check: Check) -> float:
        """Return the minutes of a check now, with what must be opened first."""
        book, stand = self.session.book, self.session.stand
        return check.minutes + minutes_to_open(book, still_to_open(book, check, stand.removed))

    def chances(self) -> dict[str, float]:
        """Return how probable the findings so far make the true origins."""
        believed = self.verdict.posterior
        return {origin: believed.probability(origin) for origin in self.unit.origins}

    def order(self, check: Check, known: Sequence[NextCheck] | None = None) -> Order:
        """Make a check: pay for it and take the unit's answer. Raises DrillError if out of reach.

        `known` are the next checks, where the caller has them already.
        """
        if not within_reach(check, self.session.stand):
            raise DrillError(f"'{check.id}' cannot be made on this bench; order another check")
        worth = self.session.next() if known is None else known
        mattered = any(item.check == check.id for item in worth) or self._tells(check)
        minutes = self.cost(check)
        opens = still_to_open(self.session.book, check, self.session.stand.removed)
        look = 1 + self._looks[check.id] + (check.id in self.unit.opening)
        self._looks[check.id] += 1
        answer = self.unit.answer(check, look)
        self.session.answer(check.id, answer)
        made = Order(check.id, look, answer, minutes, tuple(opens), mattered, self.chances())
        self.orders.append(made)
        return made

    def _tells(self, check: Check) -> bool:
        """Say whether a check not answered yet could still tell the origins apart."""
        accounts = self.verdict.accounts.values()
        return any(check.id in account.at_hand for account in accounts if not account.named)

    def named(self) -> dict[str, Naming]:
        """Return the origins that the findings name for what the chains end in."""
        names: dict[str, Naming] = {}
        for one in self.unit.chains:
            account = self.verdict.accounts.get(str(one.found))
            for chain in account.chains if account else ():
                if chain.naming is not Naming.OPEN:
                    names[chain.origin] = chain.naming
        return names

    def explained(self) -> bool:
        """Say whether everything that the unit came in with is explained, and nothing disputed."""
        accounts = self.verdict.accounts
        ends = [accounts.get(str(one.found)) for one in self.unit.chains]
        return not self.verdict.disputed and all(end and end.named for end in ends)

    def parts(self) -> list[str]:
        """Return the parts that the plan acts on, as the gate has released them."""
        named = self.named()
        return [
            step.on
            for step in self.verdict.plan
            if step.action and (step.action is not Verb.INSPECT or set(step.corrects) & set(named))
        ]


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


def on_bench(book: Book) -> frozenset[str]:
    """Return what is off a unit on the bench, unopened: what all bench work needs first."""
    needs = [
        set(still_to_open(book, check, ()))
        for check in book.checks.values()
        if check.seats == (Seat.BENCH,) and check.after
    ]
    return frozenset(set.intersection(*needs)) if needs else frozenset()


def telling(exercise: Exercise) -> dict[str, str]:
    """Return the attributes of the unit that something in its book depends on."""
    book = exercise.reasoner.book
    records = (book.parts, book.removals, book.conditions, book.checks, book.links, book.chains)
    used = {name for table in records for record in table.values() for name in record.when}
    return {name: value for name, value in exercise.family.items() if name in used}


def begin(reasoner: Reasoner, unit: HiddenUnit) -> Run:
    """Return a run on a unit that lies on the bench, with what it came in with."""
    stand = Stand(Seat.BENCH, on_bench(reasoner.book))
    findings = [find_out(reasoner.book, check, word) for check, word in unit.opening.items()]
    case = Case(case="exercise")
    session = Session(OpenBook(reasoner.book), case, {}, reasoner, stand, findings)
    return Run(unit, session)


def planner_run(reasoner: Reasoner, unit: HiddenUnit, most: int = ORDERS_AT_MOST) -> Run | None:
    """Return the run of the program's own planner; None when it does not get there in time."""
    run = begin(reasoner, unit)
    while not run.explained():
        asked = run.session.next()
        if not asked or len(run.orders) >= most:
            return None
        run.order(run.session.check(asked[0].check), asked)
    return run


def needed_parts(book: Book, origin: str) -> set[str]:
    """Return the parts on which an origin can be corrected; acting on one of them is enough."""
    return set(mending_parts(book, {}, origin)) & book.parts.keys()


def justified_parts(book: Book, unit: HiddenUnit) -> set[str]:
    """Return every part that the true state of the unit gives a reason to act on."""
    parts = {part for origin in unit.origins for part in needed_parts(book, origin)}
    for cid in unit.present:
        parts |= {*mending_parts(book, {}, cid), str(book.conditions[cid].part)}
    return parts & book.parts.keys()


def solved(reasoner: Reasoner, run: Run) -> bool:
    """Say whether a run names the true origins, all and only, and acts on no wrong part."""
    book, unit = reasoner.book, run.unit
    acted = set(run.parts())
    corrected = all(
        not needed_parts(book, origin) or acted & needed_parts(book, origin)
        for origin in unit.origins
    )
    right = set(run.named()) == set(unit.origins)
    return right and corrected and acted <= justified_parts(book, unit)


def _solvable(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say at the price of one verdict whether looking at all that may be behind would name them.

    Looks along the chains alone would not do: an origin is named once its rivals are low.
    """
    run = begin(reasoner, unit)
    stand = run.session.stand
    for origin in unit.origins:
        if not any(within_reach(check, stand) for check in reasoner.deciders[origin]):
            return False
    behind = causes_of(reasoner.graph, *(str(one.found) for one in unit.chains))
    looks = {check.id: check for cid in sorted(behind) for check in reasoner.deciders[cid]}
    for check in looks.values():
        if within_reach(check, stand):
            again = check.id in unit.opening
            finding = find_out(reasoner.book, check.id, unit.answer(check, 1 + again))
            run.session.findings.append(finding)
    return set(run.named()) == set(unit.origins)


def _open(reasoner: Reasoner, unit: HiddenUnit) -> bool:
    """Say whether a unit comes in with something to find out, and not with too much."""
    run = begin(reasoner, unit)
    accounts = run.verdict.accounts
    ends = [accounts[str(c.found)] for c in unit.chains if str(c.found) in accounts]
    live = sum(1 for end in ends for candidate in end.candidates if candidate.origin)
    return not run.explained() and live <= LIVE_AT_MOST


def draw_exercise(
    open_book: OpenBook, level: int, seed: int, missed: Sequence[str] = ()
) -> Exercise:
    """Return the exercise of a seed; the same book, level, seed and missed chains give the same.

    Where chains were missed, the unit is drawn from those and from their rivals, which end in the
    same finding: what was missed before does not give the answer away. Raises DrillError.
    """
    book = open_book.book
    everything = [c for c in book.chains.values() if level > 1 or len(c.path()) <= SHORT]
    near = _near(everything, missed)
    for draw in range(DRAWS_AT_MOST if everything else 0):
        told = f"{seed}:{level}:{draw}"
        pool = near if near and draw < FROM_MISSED else everything
        chain = pick(random.Random(f"chain:{told}"), pool)
        family = family_for(book, chain)
        reasoner = open_book.compiled(family)
        if chain.id not in reasoner.book.chains:
            continue
        others = list(reasoner.book.chains.values())
        unit = draw_unit(reasoner, reasoner.book.chains[chain.id], level, told, others)
        if unit is None or not _solvable(reasoner, unit) or not _open(reasoner, unit):
            continue
        planner = planner_run(reasoner, unit)
        if planner and solved(reasoner, planner):
            return Exercise(level, seed, family, reasoner, unit, planner)
    raise DrillError(f"no unit of level {level} can be drawn from this book; choose another level")


def _near(chains: Sequence[Chain], missed: Sequence[str]) -> list[Chain]:
    """Return the missed chains, each weighed against all its rivals together."""
    found: list[Chain] = []
    for chain in chains:
        if chain.id not in missed:
            continue
        rivals = [c for c in chains if c.found == chain.found and c.verdict != chain.verdict]
        found += [chain] * max(1, len(rivals)) + rivals
    return found
