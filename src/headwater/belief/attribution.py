"""Attribution: which origin is behind something found. Presence is not cause.

A chain is named at its topmost fault: a fault that a usage brought about is what is put right, so
the usage's share goes to the first fault on the way. The share of a fault is the probability that
it is there by itself, or through usages and causes not listed alone, and leads to the finding over
links that fired. The share of a usage, or of a cause that the book does not list, is that of the
ways which pass no fault.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from headwater.belief.figures import FAR, Figure, Figures, exact_share, interval
from headwater.belief.layout import End
from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Factors, Root, Worlds, spread


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
        behind = self.behind(condition)
        where = 0
        for origin in origins:
            where |= behind.get(origin, 0)
        found = self.posterior
        counted = interval(found.share(where), found.count, FAR)
        if counted.decides([line]):
            return counted
        summed = self.summed(origins, condition)
        return counted if summed is None else _both(counted, summed)

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

    What an origin does by itself is the least; what usages and unlisted causes above it do,
    whichever way, at most comes on top. Where nothing is above it, both are one. Of causes not
    listed only the most is known: that any of them leads to the condition, whichever way.
    """
    listed = [origin for origin in origins if origin is not None]
    told = {Root(origin) for origin in listed} | {Root(origin, True) for origin in listed}
    # A usage by itself does no more than what passes no fault: of one that may, the most is known.
    own = {root for root in told if not _passes_a_fault(worlds, root.condition, condition)}
    least = exact_share(worlds, factors, own, condition) if own else 0.0
    if least is None:
        return None
    above = (above_roots(worlds, factors, listed) | told) - own
    if len(listed) < len(origins):
        above |= unlisted_roots(worlds)
    if not above:
        return Figure(least, least)
    most = exact_share(worlds, factors, own | above, condition)
    return Figure(least, least if most is None else max(least, most))


def _passes_a_fault(worlds: Worlds, origin: str, condition: str) -> bool:
    """Say whether some way of a usage to a condition passes a fault, or ends at one."""
    network, place = worlds.network, worlds.position
    if origin not in network.usages:
        return False
    faults = ways_of(worlds).faults
    everywhere = [1] * len(network.links)
    below = spread({place[origin]: 1}, everywhere, worlds.out)
    above = spread({place[condition]: 1}, everywhere, worlds.into)
    return not faults.isdisjoint(below.keys() & above.keys())


def unlisted_roots(worlds: Worlds) -> set[Root]:
    """Return the causes that the book does not list, of conditions that are no faults."""
    network = worlds.network
    return {
        Root(c, True) for c in network.conditions if c not in network.priors or c in network.usages
    }


def above_roots(worlds: Worlds, factors: Factors, origins: Collection[str]) -> set[Root]:
    """Return what leads to origins over ways that pass no fault: usages, and causes not listed.

    A cause that is not listed may only be behind what some answer speaks for.
    """
    network, place, ways = worlds.network, worlds.position, ways_of(worlds)
    met: set[int] = set()
    frontier = [cause for origin in origins for _, cause in worlds.into[place[origin]]]
    while frontier:
        node = frontier.pop()
        if node not in met:
            met.add(node)
            frontier += [cause for _, cause in ways.into[node]]
    names = [network.conditions[node] for node in met - ways.faults]
    found = {c for c, (there, not_there) in factors.items() if there > not_there}
    usages = {Root(name) for name in names if name in network.usages}
    return usages | {Root(c, unlisted=True) for c in names if c in found - network.usages}
