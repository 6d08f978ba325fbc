"""From findings to a verdict: the one path that every command goes.

A `Reasoner` is built once per book and unit family (rules, worlds, graph); `assess` is pure: the
same findings give the same verdict, whatever their order and however often it is asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from headwater.belief.figures import Figures
from headwater.belief.gain import Teller
from headwater.belief.particles import Particles
from headwater.belief.posterior import Posterior, occurrences, posterior
from headwater.belief.worlds import Worlds, make_worlds, network_of
from headwater.book.model import Check
from headwater.book.records import Book, Family, for_family
from headwater.graph.causal import Graph, causal_graph, narrowed
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark, compile_rules
from headwater.rules.derivation import Derivation, RuleSet
from headwater.rules.evidence import SURPRISING_BELOW, Evidence, Weighed, settle, weigh
from headwater.rules.status import Status, statuses_of
from headwater.verdict.account import Account, Naming, named_origins
from headwater.verdict.advice import DriveAdvice
from headwater.verdict.decision import Decision
from headwater.verdict.drive import Dangers, drive_of
from headwater.verdict.ending import (
    Close,
    Ending,
    LooseEnd,
    close_of,
    is_disputed,
    is_settled,
    loose_ends,
)
from headwater.verdict.gate import cheap_to_mend, decide, nothing_to_mend
from headwater.verdict.known import Known, know
from headwater.verdict.live import LiveChain, live_by_finding
from headwater.verdict.naming import account_for, explained_by_others
from headwater.verdict.plan import Step, covering_plan, make_plan
from headwater.verdict.reach import ASKED_AGAIN, Stand, is_left, reachable_later, state_of

SUPPOSED = (1.0, 1e-6)
"""Likelihoods of what is supposed to be there, present and absent."""


@dataclass
class Assessment:
    """Everything that follows from the findings of a case. Read-only by convention.

    What not every front end wants of it is worked out when it is asked for, once.
    """

    reasoner: Reasoner
    findings: tuple[Judged, ...]
    evidence: Evidence
    derivation: Derivation
    posterior: Posterior
    known: Known

    @cached_property
    def accounts(self) -> dict[str, Account]:
        """Return what is behind each thing found, by condition."""
        known = self.known
        found = [c for c, s in known.statuses.items() if s is Status.CONFIRMED]
        asked = [c for c in found if not known.is_usage(c) and c not in self.reasoner.by_design]
        return explained_by_others(known, {cid: account_for(known, cid) for cid in asked})

    @cached_property
    def decisions(self) -> dict[str, Decision]:
        """Return what the gate says of each part."""
        return decide(self.known, self.accounts)

    @cached_property
    def plan(self) -> list[Step]:
        """Return the work on released parts, in order."""
        return make_plan(self.known, self.accounts, self.decisions)

    @property
    def stand(self) -> Stand:
        """Where the person stands."""
        return self.known.stand

    @property
    def statuses(self) -> Mapping[str, Status]:
        """The status of every condition."""
        return self.known.statuses

    @property
    def figures(self) -> Figures:
        """Probabilities that something hangs on."""
        return self.known.figures

    @property
    def teller(self) -> Teller:
        """What the looks that are left would tell."""
        return self.known.teller

    @property
    def disputed(self) -> list[str]:
        """The conditions that findings disagree on."""
        return [c for c, status in self.statuses.items() if status is Status.DISPUTED]

    @property
    def unexplained(self) -> list[str]:
        """The confirmed conditions without a named origin."""
        return [cid for cid, account in self.accounts.items() if not account.named]

    @property
    def waits_for_words(self) -> bool:
        """True when every finding has a named origin, and only words not understood are left."""
        return self.stand.not_understood and bool(self.accounts) and not self.unexplained

    @cached_property
    def loose(self) -> tuple[LooseEnd, ...]:
        """The bad answers that no named origin accounts for."""
        return loose_ends(self.known, self.evidence, self.accounts)

    @cached_property
    def close(self) -> Close:
        """What the case comes to, with the looks that would still settle it."""
        return close_of(
            self.known, self.evidence, self.accounts, self.decisions, self.loose, self._with
        )

    def _with(self, answers: Sequence[Judged], condition: str) -> bool:
        """Say whether an origin of a condition is named if some looks are answered so.

        What surprises is looked at once more. Answers that disagree or surprise then do not count.
        """
        told = (*self.findings, *answers)
        evidence, known, _ = self.reasoner.know(told, self.stand)
        again = {c for f, checks in evidence.surprising.items() for c in checks}
        if repeats := [answer for answer in answers if answer.check in again]:
            evidence, known, _ = self.reasoner.know((*told, *repeats), self.stand)
        if is_disputed(known, evidence) or evidence.surprising.keys() - self.evidence.surprising:
            return False
        confirmed = known.status(condition) is Status.CONFIRMED
        return confirmed and account_for(known, condition).named

    @property
    def ending(self) -> Ending:
        """What the case comes to, in one word."""
        return self.close.ending

    @property
    def settled(self) -> bool:
        """True when everything is explained: no search is needed to say so."""
        return is_settled(self.known, self.evidence, self.accounts, self.decisions, self.loose)

    @cached_property
    def cover(self) -> list[Step] | None:
        """The plan that corrects every live candidate, where no look settles it."""
        if self.ending not in (Ending.UNDETERMINED, Ending.NOT_WORTH_MORE):
            return None
        open_ones = [self.accounts[cid] for cid in self.unexplained]
        return covering_plan(self.known, open_ones, self.decisions)

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
        return [part for part, decision in self.decisions.items() if decision.held]

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
        return drive_of(self.known, self.accounts, self.dangers)

    @cached_property
    def dangers(self) -> Dangers:
        """The dangers that the advice weighs."""
        return Dangers(self.known)


@dataclass(slots=True)
class Reasoner:
    """The machinery of one book for one unit family, built once."""

    book: Book
    rules: RuleSet
    graph: Graph
    worlds: Worlds
    deciders: dict[str, tuple[Check, ...]]
    touching: dict[str, tuple[str, ...]]
    cheap: frozenset[str]
    by_design: frozenset[str]

    def likelier(self, factors: Mapping[str, float]) -> Reasoner:
        """Return the same with some origins likelier from the start, each by a factor."""
        network = self.worlds.network
        chances = {c: p * factors.get(c, 1.0) for c, p in network.priors.items()}
        return replace(self, worlds=make_worlds(replace(network, priors=chances)))

    def statuses(self, derivation: Derivation) -> dict[str, Status]:
        """Return the status of every condition of the book."""
        return statuses_of(derivation, self.book.conditions)

    def assess(self, findings: Iterable[Judged], stand: Stand | None = None) -> Assessment:
        """Return what the findings come to, repeats of a check in the order given.

        How each check stands is read off the findings; of `stand` the rest is kept.
        """
        told = tuple(findings)
        return self._judge(told, *self.know(told, stand or Stand()))

    def know(self, findings: Iterable[Judged], stand: Stand) -> tuple[Evidence, Known, Derivation]:
        """Return what origins are named from: belief first, then surprise, facts and statuses."""
        told = tuple(findings)
        weighed = self.weighed(told, stand)
        figures = Figures(posterior(self.worlds, weighed.factors))
        evidence = settle(self.book, weighed, _chance(figures, weighed))
        here = _stand_after(self.book, weighed, told, stand)
        return self._known(evidence, here, figures, supposed=False)

    def weighed(self, findings: Iterable[Judged], stand: Stand) -> Weighed:
        """Return what the findings say, as likelihoods: nothing of it hangs on any chance."""
        told = tuple(findings)
        return weigh(self.book, told, _final(self.book, told, stand))

    def believe(self, findings: Iterable[Judged], stand: Stand) -> dict[str, float]:
        """Return how probable the findings make each origin, at less cost than knowing all."""
        return occurrences(self.worlds, self.weighed(findings, stand).factors)

    def suppose(
        self, found: Assessment, present: Iterable[str], absent: Iterable[str]
    ) -> Assessment:
        """Return what a case would come to if more were known: what is there, and what is not.

        It serves to reckon with, never to act on: nobody has found what is supposed, so that it
        hangs on nobody's act. Belief, the rules and the gate judge it anew.
        """
        there, away = list(present), list(absent)
        facts = {Fact(cid, Mark.SHOWN) for cid in there} | {Fact(cid, Mark.DENIED) for cid in away}
        pairs = dict.fromkeys(there, SUPPOSED) | dict.fromkeys(away, SUPPOSED[::-1])
        figures = Figures(posterior(self.worlds, {**found.evidence.factors, **pairs}))
        evidence = replace(found.evidence, facts=found.evidence.facts | facts)
        known = self._known(evidence, found.stand, figures, supposed=True)
        return self._judge(found.findings, *known)

    def _known(
        self, evidence: Evidence, here: Stand, figures: Figures, supposed: bool
    ) -> tuple[Evidence, Known, Derivation]:
        derivation = self.rules.derive(evidence.facts)
        left = tuple(c for c in self.book.checks.values() if is_left(c, here))
        known = know(
            self.book,
            self.graph,
            self.statuses(derivation),
            evidence.weighed,
            Teller(figures.posterior, left),
            figures,
            here,
            self.deciders,
            self.touching,
            self.cheap,
            self.by_design,
            supposed,
        )
        return evidence, known, derivation

    def _judge(
        self,
        findings: tuple[Judged, ...],
        evidence: Evidence,
        known: Known,
        derivation: Derivation,
    ) -> Assessment:
        return Assessment(
            reasoner=self,
            findings=findings,
            evidence=evidence,
            derivation=derivation,
            posterior=known.figures.posterior,
            known=known,
        )


def _final(book: Book, findings: Iterable[Judged], stand: Stand) -> set[str]:
    """Return the checks that nobody can look at again, from where a person stands."""
    put = Counter(judged.check for judged in findings if judged.special is not None)
    known = {judged.check for judged in findings if judged.check in book.checks}
    return {c for c in known if put[c] >= ASKED_AGAIN or not reachable_later(book.checks[c], stand)}


def _chance(figures: Figures, weighed: Weighed) -> Callable[[Fact], float]:
    """Return a way to ask for the least that a claim may be probable."""
    lines = (1.0 - SURPRISING_BELOW, SURPRISING_BELOW)
    known = figures.posterior.worlds.position
    claimed = {fact.condition for fact in weighed.claims if fact.condition in known}
    present = figures.presence_of(sorted(claimed), lines)

    def chance(fact: Fact) -> float:
        figure = present.get(fact.condition)
        if figure is None:
            return 1.0
        return figure.low if fact.mark is Mark.SHOWN else 1.0 - figure.high

    return chance


def _stand_after(book: Book, weighed: Weighed, findings: Iterable[Judged], base: Stand) -> Stand:
    """Return where a person stands after some findings: how each check stands, and what it says."""
    given: dict[str, list[Judged]] = {}
    for judged in findings:
        if judged.check in book.checks:
            given.setdefault(judged.check, []).append(judged)
    answered = {
        check: weighed.looks[check].stands or (weighed.looks[check].told or answers)[-1]
        for check, answers in given.items()
    }
    return replace(
        base,
        answered=answered,
        states={check: state_of(answers) for check, answers in given.items()},
        put={check: sum(one.special is not None for one in a) for check, a in given.items()},
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
        cheap=cheap_to_mend(own),
        by_design=nothing_to_mend(own),
    )
