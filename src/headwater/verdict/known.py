"""What origins are named from, worked out once for all findings of a case."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from headwater.belief.attribution import Attribution, unlisted_roots
from headwater.belief.figures import UNKNOWN, Figure, Figures
from headwater.belief.gain import Teller
from headwater.belief.posterior import posterior_without
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.graph.causal import Graph, causes_of, effects_of, narrowed
from headwater.rules.evidence import Weighed, weigh_without
from headwater.rules.status import Status
from headwater.verdict.acts import LEADS_FROM, acts, joined, surely_leads
from headwater.verdict.reach import Stand, is_left

NAMED_FROM = 0.90


@dataclass(frozen=True)
class Known:
    """What an origin is named from.

    `live` is the causal graph of what leads to something found or expected, without what is ruled
    out; `solid` the part of it that a proven chain may pass; `provable` the part that one might
    still pass. `cheap` are the conditions that nothing costly or final mends, `by_design` the
    origins that only advice answers. With `supposed` the case is reckoned with, not found: nobody's
    act is behind it. `without` keeps whose doing each finding would be without some checks, `near`
    what shares a cause with a condition.
    """

    book: Book
    graph: Graph
    statuses: Mapping[str, Status]
    weighed: Weighed
    figures: Figures
    teller: Teller
    stand: Stand
    deciders: Mapping[str, tuple[Check, ...]]
    touching: Mapping[str, tuple[str, ...]]
    cheap: Collection[str]
    by_design: Collection[str]
    live: Graph
    solid: Graph
    supposed: bool = False
    without: dict[tuple[frozenset[str], str | None], Attribution] = field(default_factory=dict)
    near: dict[str, Collection[str]] = field(default_factory=dict)

    def status(self, condition: str) -> Status:
        """Return the status of a condition."""
        return self.statuses.get(condition, Status.UNKNOWN)

    def is_usage(self, origin: str) -> bool:
        """Say whether an origin was done to the vehicle, or befell it."""
        record = self.book.conditions[origin].origin
        return record is not None and record.usage

    def is_seen(self, origin: str, condition: str) -> bool:
        """Say whether looks confirm an origin of a condition: a usage by a trace other than it."""
        record = self.book.conditions[origin].origin
        if record is None or self.status(origin) in (Status.RULED_OUT, Status.DISPUTED):
            return False
        if not record.usage:
            return self.status(origin) is Status.CONFIRMED
        traces = (str(trace) for trace in record.traces if trace != condition)
        return any(self.status(trace) is Status.CONFIRMED for trace in traces)

    def is_outside(self, condition: str) -> bool:
        """Say whether a condition is of the vehicle or its driver, not of the unit."""
        part = self.book.conditions[condition].part
        return part is not None and self.book.parts[part].outside

    @cached_property
    def attribution(self) -> Attribution:
        """Return whose doing each finding is."""
        return Attribution(self.figures)

    @cached_property
    def acts(self) -> Mapping[str, tuple[str, ...]]:
        """Return the checks of each act that told something."""
        return acts(self.book, self.weighed)

    def weighs(self, checks: Iterable[str]) -> bool:
        """Say whether any of some checks weighs: what stays at odds does not."""
        return any(check in self.weighed.pairs for check in checks)

    @cached_property
    def provable(self) -> Graph:
        """Return the part of the graph that a proven chain might still pass."""
        return narrowed(self.live, self._may_be_passed)

    def can_be_made(self, check: Check) -> bool:
        """Say whether a look is left, here or at a later seat."""
        return is_left(check, self.stand)

    def _may_be_passed(self, condition: str) -> bool:
        deciders = self.deciders.get(condition, ())
        record = self.book.conditions[condition].origin
        usage = record is not None and record.usage
        if usage or passable(self.status(condition), deciders):
            return True
        return self.status(condition) is not Status.DISPUTED and any(
            self.can_be_made(check) for check in deciders
        )

    def leads_without(self, act: str, origins: Collection[str], condition: str) -> bool:
        """Say whether some origins still lead to a condition with 0.50, one act taken away.

        What the act says of the condition itself stays, unless the condition is the origin. What
        speaks of nothing that shares a cause with it cannot matter and need not be taken away.
        """
        kept = None if condition in origins else condition
        near = {*self._near(condition)} - {kept}
        if self.weighed.at_odds:
            return self._leads_anew(frozenset(self.acts[act]), kept, near, origins, condition)
        pairs = self.weighed.pairs
        away = frozenset(c for c in self.acts[act] if not near.isdisjoint(pairs.get(c, ())))
        return not away or self._leads(away, kept, origins, condition)

    def _near(self, condition: str) -> Collection[str]:
        """Return what shares a cause with a condition."""
        if condition not in self.near:
            self.near[condition] = effects_of(self.graph, *causes_of(self.graph, condition))
        return self.near[condition]

    def _presence(self, condition: str) -> Figure:
        """Return what is known of a condition's presence; nothing where it was taken as settled."""
        question, place = self.figures.posterior.question, self.figures.posterior.worlds.position
        settled = place[condition] in question.out | question.given
        return UNKNOWN if settled else self.figures.glance(condition, ())

    def _leads(
        self, away: frozenset[str], kept: str | None, origins: Collection[str], condition: str
    ) -> bool:
        """Say the same of some checks: by a bound, by worlds weighed anew, else by belief anew."""
        said = [self.weighed.pairs[check] for check in sorted(away)]
        kept = kept if any(kept in pairs for pairs in said) else None
        pairs = [{c: p for c, p in one.items() if c != kept and c in self.graph} for one in said]
        found, rest = self.figures.posterior, self.weighed.without(away, kept)
        gone = unlisted_roots(found.worlds, found.factors) - unlisted_roots(found.worlds, rest)
        share = self.attribution.together(origins, condition, NAMED_FROM).low
        share -= self.attribution.most_started(gone)
        if surely_leads(share, joined(pairs), self._presence):
            return True
        if self.attribution.leads_unweighed(origins, condition, pairs, gone):
            return True
        if (away, kept) not in self.without:
            left = posterior_without(found, rest)
            self.without[away, kept] = Attribution(Figures(left))
        return self.without[away, kept].together(origins, condition, LEADS_FROM).low >= LEADS_FROM

    def _leads_anew(
        self,
        away: frozenset[str],
        kept: str | None,
        near: Collection[str],
        origins: Collection[str],
        condition: str,
    ) -> bool:
        """Say the same where answers are at odds: without some, others weigh that were set aside.

        A look that spoke against the origins must not be silent for want of the act taken away.
        """
        was, now = self.weighed.factors, weigh_without(self.book, self.weighed, away).factors
        if kept in was:
            now[kept] = was[kept]
        if all(was.get(c) == now.get(c) for c in near):
            return True
        if (away, kept) not in self.without:
            left = posterior_without(self.figures.posterior, now)
            self.without[away, kept] = Attribution(Figures(left))
        return self.without[away, kept].together(origins, condition, LEADS_FROM).low >= LEADS_FROM


def passable(status: Status, checks: Collection[Check]) -> bool:
    """Say whether a proven chain may pass a condition: it is confirmed, or nobody can see it."""
    if status in (Status.RULED_OUT, Status.DISPUTED):
        return False
    return status is Status.CONFIRMED or not checks


def know(
    book: Book,
    graph: Graph,
    statuses: Mapping[str, Status],
    weighed: Weighed,
    teller: Teller,
    figures: Figures,
    stand: Stand,
    deciders: Mapping[str, tuple[Check, ...]],
    touching: Mapping[str, tuple[str, ...]],
    cheap: Collection[str],
    by_design: Collection[str],
    supposed: bool = False,
) -> Known:
    """Return what origins are named from, worked out once for all findings."""
    told = (Status.CONFIRMED, Status.DISPUTED, Status.EXPECTED)
    near = causes_of(graph, *(c for c, status in statuses.items() if status in told))
    live = narrowed(
        graph,
        lambda c: c in near and statuses[c] is not Status.RULED_OUT,
        figures.posterior.passing,
    )
    usages = {c for c, record in book.origins.items() if record.origin and record.origin.usage}
    solid = narrowed(live, lambda c: c in usages or passable(statuses[c], deciders.get(c, ())))
    return Known(
        book=book,
        graph=graph,
        statuses=statuses,
        weighed=weighed,
        figures=figures,
        teller=teller,
        stand=stand,
        deciders=deciders,
        touching=touching,
        cheap=cheap,
        by_design=by_design,
        live=live,
        solid=solid,
        supposed=supposed,
    )
