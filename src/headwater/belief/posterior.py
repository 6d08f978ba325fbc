"""Which origins are behind the findings: a best-first search over sets of origins.

The weight of a set is its prior odds times the likelihood of the findings, averaged over the
worlds. The search opens the heaviest set first and adds each source in turn, so any number of
simultaneous faults can be met; a small book is searched to the end. An unlisted cause is a source
like any other: every condition that was found may have been started by something the book does not
know.

A finding enters as a pair of likelihoods for each condition it speaks of (`rules.evidence`).
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from headwater.belief.worlds import Bools, Floats, Worlds, upstream

Bytes = npt.NDArray[np.uint8]
Factors = Mapping[str, tuple[float, float]]

EXPANSIONS = 28
STOP_BELOW = 2e-4
YET = 0.02
"""What the search takes a finding to be worth that its set does not explain yet."""
KEEP_MASS = 0.9995
KEEP_AT_MOST = 140


@dataclass(frozen=True, slots=True)
class Source:
    """Something that can start a chain: an origin, or an unlisted cause of a condition."""

    condition: str
    unlisted: bool = False


@dataclass(slots=True)
class Posterior:
    """The heaviest sets of sources and what they weigh, with the worlds that carry the weight.

    `sets` H sets of indices into `sources`; `weights` (H,) sums to 1; `likelihood` (H, W) is the
    weight of each world under each set, each row summing to 1.
    """

    worlds: Worlds
    sources: tuple[Source, ...]
    sets: tuple[tuple[int, ...], ...]
    weights: Floats
    likelihood: Floats
    marginals: dict[str, float]
    unlisted: float

    def probability(self, origin: str) -> float:
        """Return the probability that an origin has occurred; its prior if nothing bears on it."""
        return self.marginals.get(origin, self.worlds.network.priors.get(origin, 0.0))

    def support(self) -> float:
        """Return how many sampled worlds carry the weight; infinite where all were enumerated.

        The effective sample size 1 / sum of squares of each set, averaged over the sets (Kish,
        Survey Sampling, 1965; cited from memory). With few, the probabilities are mostly noise.
        """
        if self.worlds.enumerated:
            return float("inf")
        carried = 1.0 / np.square(self.likelihood).sum(axis=1)
        return float(self.weights @ carried)

    def explains(self, condition: str) -> dict[Source, float]:
        """Return, for each source, the probability that it is present and reaches the condition."""
        shares: dict[Source, float] = {}
        holders: dict[int, list[int]] = {}
        for row, members in enumerate(self.sets):
            for index in members:
                holders.setdefault(index, []).append(row)
        for index, rows in holders.items():
            source = self.sources[index]
            column = self.worlds.reach(source.condition).column(condition)
            if column is not None:
                carried = self.likelihood[rows] @ column.astype(np.float64)
                shares[source] = float(self.weights[rows] @ carried)
        return shares

    def reached(self, condition: str, listed_only: bool = False) -> float:
        """Return the probability that a condition is present (through listed origins only)."""
        total = 0.0
        for weight, members, row in zip(self.weights, self.sets, self.likelihood, strict=True):
            union: Bools | None = None
            for source in (self.sources[index] for index in members):
                if listed_only and source.unlisted:
                    continue
                column = self.worlds.reach(source.condition).column(condition)
                if column is not None:
                    union = column if union is None else union | column
            if union is not None:
                total += float(weight) * float(row @ union.astype(np.float64))
        return total


def posterior(worlds: Worlds, factors: Factors) -> Posterior:
    """Return the posterior over sets of sources, given likelihood pairs for conditions.

    `factors` maps a condition to (likelihood if present, likelihood if absent).
    """
    observed = [c for c in worlds.network.conditions if _speaks(factors.get(c))]
    positive = [c for c in observed if factors[c][0] > factors[c][1]]
    sources = _sources(worlds, positive)
    tables = _tables(observed, factors)
    guide = _tables(observed, {c: (p, max(a, p * YET)) for c, (p, a) in factors.items()})
    patterns = {s: _pattern(worlds, s.condition, observed) for s in sources}
    search = _Search(worlds, sources, patterns, tables, guide)
    search.run()
    return search.result(_aside(worlds, observed, sources, search, tables))


def _speaks(pair: tuple[float, float] | None) -> bool:
    return pair is not None and pair[0] != pair[1]


def _sources(worlds: Worlds, positive: list[str]) -> tuple[Source, ...]:
    """Return the origins upstream of what was found (all, if nothing was), and unlisted causes."""
    network = worlds.network
    near = upstream(network.links, positive) if positive else set(network.conditions)
    listed = [Source(c) for c in network.priors if c in near]
    # An origin that was found needs no other cause: it is its own.
    others = [c for c in positive if c not in network.priors] if network.unlisted else []
    return (*listed, *(Source(c, unlisted=True) for c in others))


def _tables(observed: list[str], factors: Factors) -> Floats:
    """Return (bytes, 256): the likelihood of each pattern of eight observed conditions."""
    count = (len(observed) + 7) // 8
    tables = np.ones((count, 256))
    codes = np.arange(256)
    for index, condition in enumerate(observed):
        present, absent = factors[condition]
        bit = codes >> (index % 8) & 1
        tables[index // 8] *= np.where(bit == 1, present, absent)
    return tables


def _pattern(worlds: Worlds, source: str, observed: list[str]) -> Bytes:
    """Return (bytes, W): in each world, which observed conditions the source reaches."""
    reach = worlds.reach(source)
    position = {node: i for i, node in enumerate(reach.nodes)}
    packed = np.zeros(((len(observed) + 7) // 8, worlds.count), dtype=np.uint8)
    for index, condition in enumerate(observed):
        if condition in position:
            column = reach.bits[:, position[condition]].astype(np.uint8)
            packed[index // 8] |= column << (index % 8)
    return packed


def _likelihood(patterns: Bytes, tables: Floats) -> Floats:
    """Return the likelihood of the findings for patterns of shape (..., bytes, W)."""
    total: Floats = np.ones(patterns.shape[:-2] + patterns.shape[-1:])
    for index in range(tables.shape[0]):
        total *= tables[index][patterns[..., index, :]]
    return total


class _Search:
    """Best-first over sets of sources.

    The order is by promise, not by weight: a set that explains some findings well and leaves others
    to be explained weighs next to nothing, yet one more source may make it the heaviest of all.
    """

    def __init__(
        self,
        worlds: Worlds,
        sources: tuple[Source, ...],
        patterns: Mapping[Source, Bytes],
        tables: Floats,
        guide: Floats,
    ) -> None:
        network = worlds.network
        self.worlds, self.sources, self.tables, self.guide = worlds, sources, tables, guide
        empty = np.zeros((tables.shape[0], worlds.count), dtype=np.uint8)
        self.patterns = np.stack([patterns[s] for s in sources]) if sources else empty[None][:0]
        priors = [network.unlisted if s.unlisted else network.priors[s.condition] for s in sources]
        self.odds = np.array([p / (1.0 - p) if p < 1.0 else 1e12 for p in priors])
        start = float(_likelihood(empty, tables) @ worlds.weights)
        self.found: dict[tuple[int, ...], float] = {(): start}
        self.prior: dict[tuple[int, ...], float] = {(): 1.0}
        self.most = float(_likelihood(empty, guide) @ worlds.weights)
        self.queue: list[tuple[float, tuple[int, ...]]] = [(-self.most, ())]

    def pattern(self, members: tuple[int, ...]) -> Bytes:
        merged = np.zeros((self.tables.shape[0], self.worlds.count), dtype=np.uint8)
        for index in members:
            merged |= self.patterns[index]
        return merged

    def run(self) -> None:
        for _ in range(EXPANSIONS):
            if not self.queue:
                return
            promise, members = heapq.heappop(self.queue)
            if -promise < STOP_BELOW * self.most:
                return
            self._expand(members)

    def _expand(self, members: tuple[int, ...]) -> None:
        new = [
            (index, child)
            for index in range(len(self.sources))
            if index not in members
            and (child := tuple(sorted((*members, index)))) not in self.found
        ]
        if not new:
            return
        merged = self.patterns[[index for index, _ in new]] | self.pattern(members)
        averages = _likelihood(merged, self.tables) @ self.worlds.weights
        promises = _likelihood(merged, self.guide) @ self.worlds.weights
        for (index, child), average, hope in zip(new, averages, promises, strict=True):
            self.prior[child] = self.prior[members] * float(self.odds[index])
            self.found[child] = self.prior[child] * float(average)
            promise = self.prior[child] * float(hope)
            self.most = max(self.most, promise)
            heapq.heappush(self.queue, (-promise, child))

    def result(self, aside: dict[str, float]) -> Posterior:
        total = sum(self.found.values())
        ranked = sorted(self.found.items(), key=lambda item: (-item[1], item[0]))
        marginals = dict(aside)
        unlisted = 0.0
        for members, weight in ranked:
            for index in members:
                if not self.sources[index].unlisted:
                    cid = self.sources[index].condition
                    marginals[cid] = marginals.get(cid, 0.0) + weight / total
            if any(self.sources[index].unlisted for index in members):
                unlisted += weight / total
        kept, mass = [], 0.0
        for members, weight in ranked[:KEEP_AT_MOST]:
            kept.append((members, weight))
            mass += weight
            if mass >= KEEP_MASS * total:
                break
        rows = np.stack([self.pattern(members) for members, _ in kept])
        likelihood = _likelihood(rows, self.tables) * self.worlds.weights
        likelihood /= likelihood.sum(axis=1, keepdims=True)
        weights = np.array([weight for _, weight in kept]) / mass
        sets = tuple(members for members, _ in kept)
        return Posterior(self.worlds, self.sources, sets, weights, likelihood, marginals, unlisted)


def _aside(
    worlds: Worlds,
    observed: list[str],
    sources: tuple[Source, ...],
    search: _Search,
    tables: Floats,
) -> dict[str, float]:
    """Return the probability of origins that reach only what speaks against them.

    They explain nothing found, so they stand beside the heaviest set, each by itself.
    """
    inside = {s.condition for s in sources if not s.unlisted}
    near = upstream(worlds.network.links, observed)
    best = max(search.found, key=lambda members: (search.found[members], members))
    base = search.pattern(best)
    level = float(_likelihood(base, tables) @ worlds.weights)
    aside: dict[str, float] = {}
    for cid, prior in worlds.network.priors.items():
        if cid in inside or cid not in near or level <= 0.0:
            continue
        joined = _likelihood(base | _pattern(worlds, cid, observed), tables) @ worlds.weights
        ratio = prior / (1.0 - prior) * float(joined) / level
        aside[cid] = ratio / (1.0 + ratio)
    return aside
