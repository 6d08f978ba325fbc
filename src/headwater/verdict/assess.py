"""From findings to a verdict: the one path that every command goes.

A `Reasoner` is built once per book and unit family (rules, worlds, graph); `assess` is pure: the
same findings give the same verdict, whatever their order and however often it is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

from headwater.belief.figures import Figures
from headwater.belief.gain import Teller
from headwater.belief.particles import Particles
from headwater.belief.posterior import Posterior, posterior
from headwater.belief.worlds import Factors, Worlds, make_worlds, network_of
from headwater.book.model import Check
from headwater.book.records import Book, Family, for_family
from headwater.graph.causal import Graph, causal_graph, narrowed
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark, compile_rules
from headwater.rules.derivation import Derivation, RuleSet
from headwater.rules.evidence import Evidence, gather
from headwater.rules.status import Status, statuses_of
from headwater.verdict.drive import DriveAdvice, chances_of_dangers, drive_advice
from headwater.verdict.gate import Decision, decide
from headwater.verdict.live import LiveChain, live_by_finding
from headwater.verdict.naming import Account, Naming, account_for, know, named_origins
from headwater.verdict.plan import Step, covering_plan, make_plan
from headwater.verdict.reach import Stand

TAKEN_AS_GIVEN = 1e-6
"""Likelihood left to the contrary of what decisive findings have settled."""


class Ending(StrEnum):
    """What a case comes to."""

    SETTLED = "settled"
    OPEN = "open"
    UNDETERMINED = "undetermined"
    HEALTHY = "healthy"


@dataclass
class Assessment:
    """Everything that follows from the findings of a case. Read-only by convention.

    What not every front end wants of it is worked out when it is asked for, once.
    """

    reasoner: Reasoner
    stand: Stand
    evidence: Evidence
    derivation: Derivation
    statuses: dict[str, Status]
    posterior: Posterior
    figures: Figures
    teller: Teller
    accounts: dict[str, Account]
    decisions: dict[str, Decision]
    plan: list[Step]
    ending: Ending
    disputed: list[str]
    unexplained: list[str]
    cover: list[Step] | None = None

    @property
    def book(self) -> Book:
        """Return the book, narrowed to the unit family."""
        return self.reasoner.book

    @property
    def particles(self) -> Particles:
        """Return worlds of the posterior, all under one label."""
        return self.teller.particles

    @property
    def origins(self) -> dict[str, Naming]:
        """Return the named origins."""
        return named_origins(self.accounts)

    @property
    def held(self) -> list[str]:
        """Return the held parts."""
        return [part for part, decision in self.decisions.items() if not decision.released]

    @cached_property
    def live(self) -> Graph:
        """The causal graph without what is ruled out."""
        return narrowed(self.reasoner.graph, lambda c: self.statuses[c] is not Status.RULED_OUT)

    @cached_property
    def live_chains(self) -> dict[str, dict[str, LiveChain]]:
        """The likeliest live chain to each finding without a named origin, by its origin."""
        return live_by_finding(self.live, self.accounts.values())

    @cached_property
    def present(self) -> dict[str, float]:
        """The probability that each condition is present."""
        return self.posterior.presence()

    @cached_property
    def drive(self) -> DriveAdvice:
        """Whether the vehicle may be driven."""
        chances = chances_of_dangers(self.book, self.statuses, self.figures)
        return drive_advice(self.book, self.statuses, *chances)


@dataclass(slots=True)
class Reasoner:
    """The machinery of one book for one unit family, built once."""

    book: Book
    rules: RuleSet
    graph: Graph
    worlds: Worlds
    deciders: dict[str, tuple[Check, ...]]
    touching: dict[str, tuple[str, ...]]

    def statuses(self, derivation: Derivation) -> dict[str, Status]:
        """Return the status of every condition of the book."""
        return statuses_of(derivation, self.book.conditions)

    def assess(self, findings: Iterable[Judged], stand: Stand | None = None) -> Assessment:
        """Return what the findings come to. `stand.answered` is filled from the findings."""
        answered = {judged.check: judged for judged in findings}
        base = stand or Stand()
        here = Stand(base.seat, base.removed, answered)
        return self._judge(gather(self.book, answered.values()), here)

    def suppose(
        self, found: Assessment, present: Iterable[str], absent: Iterable[str]
    ) -> Assessment:
        """Return what a case would come to if more were known: what is there, and what is not.

        It serves to reckon with, never to act on: nobody has found what is supposed. The rules and
        the gate judge it anew; belief stays what it was, so that only proof can name an origin.
        """
        told = {Fact(cid, Mark.SHOWN) for cid in present}
        told |= {Fact(cid, Mark.DENIED) for cid in absent}
        facts = found.evidence.facts | told
        return self._judge(replace(found.evidence, facts=facts), found.stand, found.posterior)

    def _judge(self, evidence: Evidence, here: Stand, kept: Posterior | None = None) -> Assessment:
        derivation = self.rules.derive(evidence.facts)
        statuses = self.statuses(derivation)
        believed = kept
        if believed is None:
            believed = posterior(self.worlds, _settled(evidence.factors, statuses))
        left = tuple(c for c in self.book.checks.values() if c.id not in here.answered)
        teller = Teller(believed, left)
        figures = Figures(believed)
        known = know(
            self.book, self.graph, statuses, figures, teller, here, self.deciders, self.touching
        )
        confirmed = [c for c, s in statuses.items() if s is Status.CONFIRMED]
        disputed = [c for c, s in statuses.items() if s is Status.DISPUTED]
        accounts = {cid: account_for(known, cid) for cid in confirmed}
        decisions = decide(known, accounts)
        unexplained = [cid for cid, account in accounts.items() if not account.named]
        sound = _all_sound(self.book, statuses, here.answered)
        ending = _ending(accounts, decisions, disputed, sound)
        cover = None
        if ending is Ending.UNDETERMINED:
            cover = covering_plan(known, [accounts[c] for c in unexplained], decisions)
        return Assessment(
            reasoner=self,
            stand=here,
            evidence=evidence,
            derivation=derivation,
            statuses=statuses,
            posterior=believed,
            figures=figures,
            teller=teller,
            accounts=accounts,
            decisions=decisions,
            plan=make_plan(known, accounts, decisions),
            ending=ending,
            disputed=disputed,
            unexplained=unexplained,
            cover=cover,
        )


def _settled(factors: Factors, statuses: dict[str, Status]) -> dict[str, tuple[float, float]]:
    """Return the likelihoods with what the rules have confirmed or ruled out taken as given."""
    pairs = {Status.CONFIRMED: (1.0, TAKEN_AS_GIVEN), Status.RULED_OUT: (TAKEN_AS_GIVEN, 1.0)}
    given = {cid: pairs[status] for cid, status in statuses.items() if status in pairs}
    return dict(factors) | given


def _ending(
    accounts: dict[str, Account],
    decisions: dict[str, Decision],
    disputed: list[str],
    sound: bool,
) -> Ending:
    if disputed:
        return Ending.OPEN
    if not accounts:
        return Ending.HEALTHY if sound else Ending.OPEN
    unnamed = [account for account in accounts.values() if not account.named]
    if not unnamed and all(decision.released for decision in decisions.values()):
        return Ending.SETTLED
    if any(account.at_hand for account in unnamed):
        return Ending.OPEN
    return Ending.UNDETERMINED


def _all_sound(book: Book, statuses: Mapping[str, Status], answered: Mapping[str, Judged]) -> bool:
    """Say whether answers tell something, and nothing that any of them hints at is still open."""
    told = [judged for judged in answered.values() if judged.shares]
    hinted = {
        condition
        for judged in told
        for word, _ in judged.shares
        for condition in book.checks[judged.check].answers[word].shows  # type: ignore[index]
    }
    return bool(told) and all(
        statuses.get(condition, Status.RULED_OUT) is Status.RULED_OUT for condition in hinted
    )


def build_reasoner(book: Book, family: Family) -> Reasoner:
    """Return the reasoner of a book for a unit family."""
    own = for_family(book, family)
    touching: dict[str, list[str]] = {}
    deciders: dict[str, list[Check]] = {cid: [] for cid in own.conditions}
    for check in own.checks.values():
        for condition in check.speaks_of():
            touching.setdefault(condition, []).append(check.id)
        for condition in check.decides() & own.conditions.keys():
            deciders[condition].append(check)
    return Reasoner(
        book=own,
        rules=RuleSet(compile_rules(own)),
        graph=causal_graph(own),
        worlds=make_worlds(network_of(own)),
        deciders={cid: tuple(checks) for cid, checks in deciders.items()},
        touching={cid: tuple(ids) for cid, ids in touching.items()},
    )
