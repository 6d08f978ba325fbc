"""Attribution: which origin is behind something found. Presence is not cause.

A chain is named at its topmost fault: a fault that a usage brought about is what is put right, so
the usage's share goes to the first fault on the way. The share of a fault is the probability that
it is there by itself, or through usages and causes not listed alone, and leads to the finding over
links that fired. The share of a usage, or of a cause that the book does not list, is that of the
ways which pass no fault.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from headwater.belief.figures import FAR, Figure, Figures, exact_share, tallied
from headwater.belief.layout import End
from headwater.belief.posterior import SIGMAS, Posterior, drawn_on
from headwater.belief.worlds import Factors, Floats, Root, Worlds, spread

MANY = (4, 6)
"""Batches that are drawn where a share lies near a line: eight times the worlds, or 32 times."""
UNDRAWN = 7
"""Worlds of a kind of which none was drawn that may be among as many: 99.9 of 100 times fewer."""


@dataclass(frozen=True, slots=True)
class Ways:
    """The links of a network as ways that pass no fault, and the faults by position."""

    out: list[list[End]]
    into: list[list[End]]
    faults: frozenset[int]


def ways_of(worlds: Worlds) -> Ways:
    """Return the ways of a network that pass no fault, worked out once."""
    network, place = worlds.network, worlds.position
    faults = frozenset(place[c] for c in network.priors if c not in network.usages)

    def make() -> Ways:
        out = [[] if node in faults else ends for node, ends in enumerate(worlds.out)]
        into = [[] if node in faults else ends for node, ends in enumerate(worlds.into)]
        return Ways(out, into, faults)

    return worlds.keep("ways", make)


@dataclass
class Attribution:
    """Whose doing each finding is, in the worlds of one posterior. It belongs to one thread."""

    figures: Figures
    _behind: dict[str, dict[str | None, int]] = field(default_factory=dict)
    _sums: dict[tuple[frozenset[str | None], str], Figure | None] = field(default_factory=dict)
    _drawn: dict[int, Attribution] = field(default_factory=dict)

    @property
    def posterior(self) -> Posterior:
        """The posterior that is counted in."""
        return self.figures.posterior

    @cached_property
    def _entered(self) -> dict[int, int]:
        """Return the worlds in which each fault is there otherwise than through another fault."""
        found = self.posterior
        ways, place = ways_of(found.worlds), found.worlds.position
        start: dict[int, int] = {}
        own: dict[int, int] = {}
        for root, bits in found.starts.items():
            node = place[root.condition]
            if bits:
                into = own if node in ways.faults else start
                into[node] = into.get(node, 0) | (bits & found.valid)
        met = spread(start, found.fired, ways.out)
        nodes = (met.keys() & ways.faults) | own.keys()
        return {node: met.get(node, 0) | own.get(node, 0) for node in sorted(nodes)}

    def behind(self, condition: str) -> Mapping[str | None, int]:
        """Return the worlds in which each origin is behind a condition; None is 'not listed'."""
        if condition not in self._behind:
            self._behind[condition] = self._find(condition)
        return self._behind[condition]

    def _find(self, condition: str) -> dict[str | None, int]:
        found = self.posterior
        names, place = found.worlds.network.conditions, found.worlds.position
        ways = ways_of(found.worlds)
        leading = found.leading_to(condition)
        worlds: dict[str | None, int] = {}
        for node, bits in self._entered.items():
            if there := bits & leading.get(node, 0):
                worlds[names[node]] = there
        free = spread({place[condition]: found.valid}, found.fired, ways.into)
        for root, bits in found.starts.items():
            node = place[root.condition]
            there = bits & free.get(node, 0) if node not in ways.faults else 0
            if there:
                key = None if root.unlisted else root.condition
                worlds[key] = worlds.get(key, 0) | there
        return worlds

    def shares(self, condition: str) -> dict[str | None, float]:
        """Return the share of each origin in a condition, as counted; None is 'not listed'."""
        return {origin: self.posterior.share(w) for origin, w in self.behind(condition).items()}

    def together(self, origins: Collection[str | None], condition: str, line: float) -> Figure:
        """Return the probability that a condition is reached from some origins, near a line.

        None among them stands for causes that the book does not list.
        """
        counted = self._counted(origins, condition, FAR)
        if counted.decides([line]):
            return counted
        summed = self.summed(origins, condition)
        if summed is not None:
            return _both(counted, summed)
        counted = self._counted(origins, condition, SIGMAS)
        if counted.decides([line]) or not self.posterior.exact:
            return counted
        for more in MANY:
            counted = self._with(more)._counted(origins, condition, SIGMAS)
            if counted.decides([line]):
                break
        return counted

    def _counted(self, origins: Collection[str | None], condition: str, sigmas: float) -> Figure:
        """Return the same as counted in the worlds drawn."""
        behind, found = self.behind(condition), self.posterior
        where = 0
        for origin in origins:
            where |= behind.get(origin, 0)
        return tallied(found.share(where), found.count, sigmas)

    def _with(self, batches: int) -> Attribution:
        """Return the same with more worlds, for what lies near a line."""
        if batches not in self._drawn:
            self._drawn[batches] = Attribution(Figures(drawn_on(self.posterior, batches)))
        return self._drawn[batches]

    def leads_unweighed(
        self,
        origins: Collection[str],
        condition: str,
        pairs: Sequence[Mapping[str, tuple[float, float]]],
        gone: Collection[Root],
    ) -> bool:
        """Say whether some origins surely lead, even odds or better, without what `pairs` say.

        Each world counts anew by what the likelihoods gave it; one with a root that is `gone` with
        what asked for it, not at all. Worlds that may have gone undrawn count as the heaviest.
        False where it is not sure, too.
        """
        found = self.posterior
        behind, place = self.behind(condition), found.worlds.position
        where = 0
        for origin in origins:
            where |= behind.get(origin, 0)
        logs: Floats = np.zeros(found.count)
        heaviest = 0.0
        for by_condition in pairs:
            known = {c: pair for c, pair in by_condition.items() if c in place}
            there = found.columns(list(known))
            likely = np.log(np.array(list(known.values())).reshape(-1, 2))
            logs -= np.where(there, likely[:, 0], likely[:, 1]).sum(axis=1)
            heaviest -= likely.min(axis=1).sum()
        weights = np.where(found.truths([self._started(gone)])[:, 0], 0.0, np.exp(logs))
        ours = found.truths([where])[:, 0]
        for_it, against = weights[ours].sum(), weights[~ours]
        noise = SIGMAS * float(np.sqrt(np.square(against).sum()))
        return bool(for_it >= against.sum() + noise + UNDRAWN * np.exp(heaviest))

    def _started(self, roots: Collection[Root]) -> int:
        """Return the worlds in which any of some roots is there."""
        where = 0
        for root in roots:
            where |= self.posterior.starts.get(root, 0)
        return where

    def most_started(self, roots: Collection[Root]) -> float:
        """Return how probable it is at most that any of some roots is there."""
        where = self._started(roots) & self.posterior.valid
        found = self.posterior
        return tallied(found.share(where), found.count, SIGMAS).high if roots else 0.0

    def summed(self, origins: Collection[str | None], condition: str) -> Figure | None:
        """Return the same from sums alone; None where a loop is in the way."""
        key = (frozenset(origins), condition)
        if key not in self._sums:
            found = self.posterior
            self._sums[key] = summed_share(found.worlds, found.factors, origins, condition)
        return self._sums[key]


def _both(counted: Figure, summed: Figure) -> Figure:
    low, high = max(counted.low, summed.low), min(counted.high, summed.high)
    return Figure(low, high) if low <= high else summed


def summed_share(
    worlds: Worlds, factors: Factors, origins: Collection[str | None], condition: str
) -> Figure | None:
    """Return within what bounds the share of some origins lies, by sums; None where none is exact.

    What a fault does by itself is the least; what usages and causes not listed above it do,
    whichever way, at most comes on top. Where nothing is above it, both are one. Of a usage that
    may lead to the condition through a fault, and of causes not listed, only the most is known:
    that any of them leads to it, whichever way.
    """
    listed = [origin for origin in origins if origin is not None]
    usages = worlds.network.usages
    passing = {
        usage for usage in usages.intersection(listed) if _may_pass(worlds, usage, condition)
    }
    own = {Root(origin) for origin in listed if origin not in passing}
    least = exact_share(worlds, factors, own, condition) if own else 0.0
    if least is None:
        return None
    above = {Root(usage) for usage in passing}
    above |= roots_above(worlds, factors, [origin for origin in listed if origin not in usages])
    if len(listed) < len(origins):
        above |= unlisted_roots(worlds, factors)
    if above <= own:
        return Figure(least, least)
    most = exact_share(worlds, factors, own | above, condition)
    return Figure(least, 1.0 if most is None else max(least, most))


def unlisted_roots(worlds: Worlds, factors: Factors) -> set[Root]:
    """Return the causes that the book does not list: of what was found and is no origin."""
    known = worlds.network.priors
    found = {c for c, (there, not_there) in factors.items() if there > not_there}
    return {Root(c, True) for c in worlds.network.conditions if c in found and c not in known}


def _may_pass(worlds: Worlds, usage: str, condition: str) -> bool:
    """Say whether a usage may lead to a condition through a fault."""
    ways, place = ways_of(worlds), worlds.position
    after = _met(worlds.out, [place[usage]])
    before = _met(worlds.into, [place[condition]]) | {place[condition]}
    return bool(after & before & ways.faults)


def _met(ends: list[list[End]], start: Collection[int]) -> set[int]:
    """Return what is met from some nodes along the ends of links, one way."""
    met: set[int] = set()
    frontier = list(start)
    while frontier:
        for _, node in ends[frontier.pop()]:
            if node not in met:
                met.add(node)
                frontier.append(node)
    return met


def roots_above(worlds: Worlds, factors: Factors, faults: Collection[str]) -> set[Root]:
    """Return the usages and causes not listed that lead to some faults past no other fault."""
    network, place, ways = worlds.network, worlds.position, ways_of(worlds)
    near = [cause for fault in faults for _, cause in worlds.into[place[fault]]]
    above = (_met(ways.into, near) | set(near)) - ways.faults
    usages = {Root(usage) for usage in network.usages if place[usage] in above}
    unlisted = unlisted_roots(worlds, factors)
    return usages | {root for root in unlisted if place[root.condition] in above}
