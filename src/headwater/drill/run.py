"""A run on a hidden unit: the looks that somebody ordered, what they cost and what was answered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import VERB_RANK, Seat, Verb
from headwater.case.model import Case
from headwater.drill.truth import HiddenUnit, answer, on_bench
from headwater.errors import HeadwaterError
from headwater.graph.causal import causes_of
from headwater.measure.answer import Judged
from headwater.rules.status import Status
from headwater.session.ask import Purpose
from headwater.session.findings import Finding, find_out
from headwater.session.openbook import OpenBook
from headwater.session.session import Session
from headwater.verdict.account import NamedChain, Naming
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.gate import mending_parts
from headwater.verdict.plan import Step
from headwater.verdict.reach import Stand, minutes_to_open, still_to_open, within_reach

ORDERS_AT_MOST = 16
"""Orders that the planner may need on a unit that serves as an exercise."""
BACK = "taken back"
"""What stands among the orders where the one before was taken back; no check has such an id."""
TOO_CLOSE = "too-close"
"""What a reading is judged to be that decides nothing."""

Look = tuple[str, Purpose]
"""A look of the planner's: the check, and what it was for."""


class DrillError(HeadwaterError):
    """A drill that cannot be held as asked."""


@dataclass(frozen=True, slots=True)
class Order:
    """One look ordered: its answer, its cost, and where it stood when it was asked.

    `proves` is true where it could have helped to prove an origin that was not named yet; `purpose`
    is the planner's, for its own orders. `asked` are the probabilities, before it, of the origins
    that may lie behind what was found and told; `chances` those of the true origins after it.
    """

    check: str
    judged: Judged
    minutes: float
    opens: tuple[str, ...]
    proves: bool
    asked: Mapping[str, float]
    chances: Mapping[str, float]
    purpose: Purpose | None = None

    @property
    def answer(self) -> str:
        """The answer that it came to."""
        return self.judged.special or self.judged.settled or TOO_CLOSE

    @property
    def reading(self) -> bool:
        """True where a figure was read, to be judged by whoever ordered it."""
        return self.judged.quantity is not None


@dataclass(slots=True)
class Run:
    """The orders of one person (or of the planner) on a hidden unit.

    `judgements` are what readings were judged to be, by the number of the order from 0 on; `log`
    everything that was asked for, `lost` the minutes of what was taken back, `hints` how often the
    next look was told.
    """

    unit: HiddenUnit
    session: Session
    orders: list[Order] = field(default_factory=list)
    judgements: dict[int, str] = field(default_factory=dict)
    log: list[str] = field(default_factory=list)
    lost: float = 0.0
    hints: int = 0
    _looks: Counter[str] = field(default_factory=Counter)

    @property
    def verdict(self) -> Assessment:
        """Return what the program would make of the findings so far; never shown before the end."""
        return self.session.verdict

    @property
    def minutes(self) -> float:
        """Return the minutes spent."""
        return self.lost + sum(order.minutes for order in self.orders)

    @property
    def known(self) -> list[Judged]:
        """Return everything answered so far, what the unit came in with first."""
        return [finding.judged for finding in self.session.findings]

    @property
    def misread(self) -> list[tuple[Order, str]]:
        """Return the readings that were judged to be what they are not, with that judgement."""
        told = ((self.orders[n], word) for n, word in sorted(self.judgements.items()))
        return [(order, word) for order, word in told if word != order.answer]

    def cost(self, check: Check) -> float:
        """Return the minutes of a check now, with what must be opened first."""
        book, stand = self.session.book, self.session.stand
        return check.minutes + minutes_to_open(book, still_to_open(book, check, stand.removed))

    def chances(self) -> dict[str, float]:
        """Return how probable the findings so far make the true origins."""
        believed = self.verdict.posterior
        return {origin: believed.probability(origin) for origin in self.unit.origins}

    def believed(self, told: Sequence[Judged]) -> Mapping[str, float]:
        """Return how probable some answers make each origin."""
        return self.session.reasoner.believe(told, self.session.stand)

    def _in_question(self) -> dict[str, float]:
        """Return the origins that may lie behind what was found and told, with their chances."""
        verdict = self.verdict
        found = {c for c, status in verdict.statuses.items() if status is Status.CONFIRMED}
        behind = causes_of(verdict.known.graph, *found, *self.unit.ends) | found
        origins = sorted(behind & self.session.book.origins.keys())
        return {origin: verdict.posterior.probability(origin) for origin in origins}

    def order(self, check: Check, purpose: Purpose | None = None) -> Order:
        """Make a check: pay for it and take the unit's answer. Raises DrillError if out of reach.

        `purpose` is the planner's, where it is the planner who orders.
        """
        if not within_reach(check, self.session.stand):
            raise DrillError(f"'{check.id}' cannot be made on this bench; order another check")
        book, stand = self.session.book, self.session.stand
        proves, minutes, asked = self._proves(check), self.cost(check), self._in_question()
        opens = tuple(still_to_open(book, check, stand.removed))
        judged = self.answered(check)
        made = Order(check.id, judged, minutes, opens, proves, asked, self.chances(), purpose)
        self.orders.append(made)
        self.log.append(check.id)
        return made

    def take_back(self) -> Order | None:
        """Take the last look back, with what it told; its minutes are spent, covers stay off."""
        if not self.orders:
            return None
        last = self.orders.pop()
        self.judgements.pop(len(self.orders), None)
        self.lost += last.minutes
        self.log.append(BACK)
        here = self.session
        self.session = _session(here.reasoner, here.stand, here.findings[:-1], here.open_book)
        return last

    def hint(self) -> str:
        """Return the next look by the planner, from what is known here; empty where none is left.

        It counts as a hint only where it names one.
        """
        asked = [] if self.explained() else self.session.next()
        self.hints += bool(asked)
        return asked[0].check if asked else ""

    def answered(self, check: Check) -> Judged:
        """Take what the unit answers to a look, and nothing else down."""
        look = 1 + self._looks[check.id] + (check.id in self.unit.opening)
        self._looks[check.id] += 1
        given = answer(self.session.book, self.unit, check, look)
        return self.session.answer(check.id, given).judged

    def _proves(self, check: Check) -> bool:
        """Say whether a check could help to name the origin of something that has none yet.

        So does one that looks again at what surprised, or at what answers disagree on.
        """
        accounts, evidence = self.verdict.accounts.values(), self.verdict.evidence
        again = [
            *evidence.disputed,
            *(c for checks in evidence.surprising.values() for c in checks),
        ]
        at_hand = (c for account in accounts if not account.named for c in account.at_hand)
        return check.id in (*again, *at_hand)

    def judge(self, word: str) -> None:
        """Take what the last reading is judged to be."""
        self.judgements[len(self.orders) - 1] = word

    def ways(self) -> list[NamedChain]:
        """Return the chains by which the findings name origins for what the unit came in with."""
        accounts = (self.verdict.accounts.get(end) for end in self.unit.ends)
        chains = (chain for account in accounts if account for chain in account.chains)
        return [chain for chain in chains if chain.naming is not Naming.OPEN]

    def named(self) -> dict[str, Naming]:
        """Return the origins that the findings name for what the unit came in with."""
        return {chain.origin: chain.naming for chain in self.ways()}

    def explained(self) -> bool:
        """Say whether everything that the unit came in with is explained, and nothing disputed."""
        accounts = self.verdict.accounts
        ends = [accounts.get(end) for end in self.unit.ends]
        return not self.verdict.disputed and all(end and end.named for end in ends)

    def work(self) -> list[Step]:
        """Return the steps of the plan that act on something, as the gate has released them."""
        named = self.named()
        return [
            step
            for step in self.verdict.plan
            if step.action and (step.action is not Verb.INSPECT or set(step.corrects) & set(named))
        ]

    def released(self) -> bool:
        """Say whether the plan acts on something, or no origin named is corrected on any part."""
        book = self.session.book
        return bool(self.work()) or not any(needed_parts(book, one) for one in self.named())

    def parts(self) -> list[str]:
        """Return the parts that the plan acts on."""
        return list(dict.fromkeys(step.on for step in self.work()))


def begin(reasoner: Reasoner, unit: HiddenUnit, open_book: OpenBook | None = None) -> Run:
    """Return a run on a unit that lies on the bench, with what it came in with.

    Words are looked for in `open_book`, which many runs may share, or else in one of its own.
    """
    stand = Stand(Seat.BENCH, on_bench(reasoner.book))
    findings = [find_out(reasoner.book, check, given) for check, given in unit.opening.items()]
    return Run(unit, _session(reasoner, stand, findings, open_book or OpenBook(reasoner.book)))


def _session(
    reasoner: Reasoner, stand: Stand, findings: list[Finding], open_book: OpenBook
) -> Session:
    return Session(open_book, Case(case="exercise"), {}, reasoner, stand, findings)


def planner_run(reasoner: Reasoner, unit: HiddenUnit, most: int = ORDERS_AT_MOST) -> Run | None:
    """Return the run of the program's own planner; None when it does not get there in time.

    It looks on where an origin is named and nothing is released yet that would correct it.
    """
    run = begin(reasoner, unit)
    while not (run.explained() and run.released()):
        asked = run.session.next()
        if not asked or len(run.orders) >= most:
            return run if run.explained() else None
        run.order(run.session.check(asked[0].check), asked[0].purpose)
    return run


def run_again(reasoner: Reasoner, unit: HiddenUnit, looks: Iterable[Look]) -> Run:
    """Return the planner's run on a unit, whose looks are known from an earlier one."""
    run = begin(reasoner, unit)
    for check, purpose in looks:
        run.order(run.session.check(check), purpose)
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


def right_parts(run: Run) -> set[str]:
    """Return the parts of a solved run's plan on which more is done than to look or to clean."""
    works = (step.on for step in run.work() if step.action and is_work(step.action))
    return set(works) & justified_parts(run.session.book, run.unit)


def is_work(action: Verb) -> bool:
    """Say whether more is done than to look at a part or to clean it."""
    return VERB_RANK[action] > VERB_RANK[Verb.CLEAN]


def solved(run: Run) -> bool:
    """Say whether a run names the true origins, all and only, and acts on no wrong part."""
    book, unit = run.session.book, run.unit
    acted = set(run.parts())
    corrected = all(
        not needed_parts(book, origin) or acted & needed_parts(book, origin)
        for origin in unit.origins
    )
    right = set(run.named()) == set(unit.origins)
    return right and corrected and acted <= justified_parts(book, unit)
