"""Worlds: joint outcomes of all links, simulated once per book.

In a world every link either fires or not, independently; a condition is present when an origin
that occurred reaches it over links that fired. That is reachability in a random graph, so a loop
cannot hold itself up. The reach of several origins is the union of their reaches, which lets each
source be simulated alone. A small network is not sampled but enumerated, world by world.

Shapes: W worlds; a reach is a bool array of shape (W, conditions downstream of the source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from headwater.book.load import Book
from headwater.book.tables import UNLISTED

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]

WORLDS = 2048
ENUMERATE_UP_TO = 11
SEED = 20_260_101


@dataclass(frozen=True, slots=True)
class Network:
    """The causal graph with its numbers. Order is the book's, so renaming ids changes nothing."""

    conditions: tuple[str, ...]
    priors: Mapping[str, float]
    links: tuple[tuple[str, str, float], ...]
    unlisted: float = UNLISTED


def network_of(book: Book) -> Network:
    """Return the network of a book (already narrowed to a unit family)."""
    priors = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    links = tuple((cause, effect, link.often.p) for (cause, effect), link in book.links.items())
    return Network(tuple(book.conditions), priors, links)


@dataclass(slots=True)
class Reach:
    """What one source reaches: the conditions, and in which worlds. `bits` is (W, len(nodes))."""

    nodes: tuple[str, ...]
    bits: Bools

    def column(self, condition: str) -> Bools | None:
        """Return the worlds in which the source reaches the condition; None if it never can."""
        return self.bits[:, self.nodes.index(condition)] if condition in self.nodes else None


@dataclass(slots=True)
class Worlds:
    """The simulated link outcomes of a network, and the reach of each source, made when asked.

    `forecasts` keeps what `belief.ranking` works out once for each check.
    """

    network: Network
    count: int
    weights: Floats
    forecasts: dict[str, Any] = field(default_factory=dict)
    _fires: dict[int, int] = field(default_factory=dict)
    _exact: bool = False
    _reach: dict[str, Reach] = field(default_factory=dict)
    _out: dict[str, list[tuple[int, str]]] = field(default_factory=dict)

    @property
    def enumerated(self) -> bool:
        """True when every world is here, so that nothing is sampled."""
        return self._exact

    def fires(self, link: int) -> int:
        """Return the worlds in which a link fires, as the bits of one whole number."""
        if link not in self._fires:
            fired = np.packbits(self._draw(link), bitorder="little")
            self._fires[link] = int.from_bytes(fired.tobytes(), "little")
        return self._fires[link]

    def _draw(self, link: int) -> Bools:
        p = self.network.links[link][2]
        if self._exact:
            return (np.arange(self.count) >> link & 1).astype(np.bool_)
        # Exactly p of the worlds fire: stratified, so the marginal of a link carries no noise.
        # RandomState's stream is frozen by numpy, so the numbers are the same everywhere.
        order = np.random.RandomState([SEED, link]).random_sample(self.count).argsort()
        fired = np.zeros(self.count, dtype=np.bool_)
        fired[order[: round(p * self.count)]] = True
        return fired

    def reach(self, source: str) -> Reach:
        """Return what a source reaches when it is present."""
        if source not in self._reach:
            self._reach[source] = self._simulate(source)
        return self._reach[source]

    def _simulate(self, source: str) -> Reach:
        """Spread from the source until nothing changes; a node is revisited when it has grown.

        All worlds at once: a node's worlds are the bits of one whole number.
        """
        present: dict[str, int] = {source: (1 << self.count) - 1}
        frontier = [source]
        while frontier:
            grown: dict[str, None] = {}
            for cause in frontier:
                here = present[cause]
                for link, effect in self._out.get(cause, ()):
                    before = present.get(effect, 0)
                    after = before | (here & self.fires(link))
                    if after != before or effect not in present:
                        present[effect] = after
                        grown[effect] = None
            frontier = list(grown)
        size = (self.count + 7) // 8
        packed = b"".join(bits.to_bytes(size, "little") for bits in present.values())
        rows = np.frombuffer(packed, dtype=np.uint8).reshape(len(present), -1)
        bits = np.unpackbits(rows, axis=1, count=self.count, bitorder="little").view(np.bool_)
        return Reach(tuple(present), np.ascontiguousarray(bits.T))


def make_worlds(network: Network, count: int = WORLDS) -> Worlds:
    """Return the worlds of a network: all of them if few links, a sample of `count` if many."""
    out: dict[str, list[tuple[int, str]]] = {}
    for index, (cause, effect, _) in enumerate(network.links):
        out.setdefault(cause, []).append((index, effect))
    if len(network.links) <= ENUMERATE_UP_TO:
        number = 1 << len(network.links)
        weights = np.ones(number)
        for index, (_, _, p) in enumerate(network.links):
            fired = np.arange(number) >> index & 1
            weights *= np.where(fired == 1, p, 1.0 - p)
        return Worlds(network, number, weights, _exact=True, _out=out)
    return Worlds(network, count, np.full(count, 1.0 / count), _out=out)


def upstream(links: Sequence[tuple[str, str, float]], of: Sequence[str]) -> set[str]:
    """Return the conditions that lead to one of the given ones, themselves included."""
    causes: dict[str, list[str]] = {}
    for cause, effect, _ in links:
        causes.setdefault(effect, []).append(cause)
    found = set(of)
    frontier = list(of)
    while frontier:
        for cause in causes.get(frontier.pop(), ()):
            if cause not in found:
                found.add(cause)
                frontier.append(cause)
    return found
