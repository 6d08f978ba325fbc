"""The network of a book, and worlds: joint outcomes of all its sources and links.

In a world every source (an origin, an unlisted cause) is there or not and every link fires or not;
a condition is present when a source that is there reaches it over links that fired. That is
reachability in a random graph, so a loop cannot hold itself up. Many worlds are handled at once:
what is true in which world is the bits of one whole number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from headwater.belief.layout import End, SumOrder, mutual_pairs, summing_order
from headwater.book.records import Book
from headwater.book.tables import UNLISTED

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
Factors = Mapping[str, tuple[float, float]]
"""Findings: for a condition, their likelihood if it is present and if it is absent."""

WORLDS = 2048
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
class Worlds:
    """What is made once per network: its links by end, its layout, its random numbers.

    `into` and `out` give for each condition its (link, other end), all as positions; `pairs` are
    conditions that make each other; `order` is in what order to sum a model of all conditions.
    `forecasts` keeps what `belief.telling` works out once for each check.
    """

    network: Network
    count: int
    position: Mapping[str, int]
    into: list[list[End]]
    out: list[list[End]]
    pairs: Mapping[int, int]
    order: SumOrder
    forecasts: dict[str, Any] = field(default_factory=dict)
    _uniform: dict[tuple[int, int, int], Floats] = field(default_factory=dict)
    _free: list[int] = field(default_factory=list)
    _starts: dict[int, int] = field(default_factory=dict)

    def uniform(self, kind: int, index: int, batch: int = 0) -> Floats:
        """Return numbers from 0 up to 1, of a stream of their own: (count,)."""
        key = (kind, index, batch)
        if key not in self._uniform:
            # Philox is a published function of key and counter: the same numbers everywhere.
            stream = np.random.Philox(key=[SEED + kind, (index << 8) + batch])
            raw = stream.random_raw(self.count)
            self._uniform[key] = (raw >> np.uint64(11)).astype(np.float64) * 2.0**-53
        return self._uniform[key]

    def fires_unseen(self) -> list[int]:
        """Return for each link the worlds in which it fires, where no finding speaks of it."""
        if not self._free:
            links = self.network.links
            self._free += [
                as_bits(self.uniform(_LINK, i) < link[2]) for i, link in enumerate(links)
            ]
        return list(self._free)

    def starts_unseen(self, condition: int) -> int:
        """Return the worlds in which an origin occurs that no finding speaks of."""
        if condition not in self._starts:
            prior = self.network.priors[self.network.conditions[condition]]
            self._starts[condition] = as_bits(self.uniform(_SOURCE, condition) < prior)
        return self._starts[condition]


_LINK, _SOURCE = 0, 1


def make_worlds(network: Network, count: int = WORLDS) -> Worlds:
    """Return what is made once per network, for posteriors of `count` worlds."""
    position = {c: i for i, c in enumerate(network.conditions)}
    into: list[list[End]] = [[] for _ in position]
    out: list[list[End]] = [[] for _ in position]
    for index, (cause, effect, _) in enumerate(network.links):
        into[position[effect]].append((index, position[cause]))
        out[position[cause]].append((index, position[effect]))
    pairs = mutual_pairs(out, network.links)
    return Worlds(network, count, position, into, out, pairs, summing_order(into, pairs))


def as_bits(where: Bools) -> int:
    """Return an array of truths, one for each world, as the bits of one whole number."""
    return int.from_bytes(np.packbits(where, bitorder="little").tobytes(), "little")


def as_columns(bits: Sequence[int], count: int) -> Bools:
    """Return whole numbers as truths: (count, numbers)."""
    size = (count + 7) // 8
    packed = b"".join(number.to_bytes(size, "little") for number in bits)
    rows = np.frombuffer(packed, dtype=np.uint8).reshape(len(bits), size)
    return np.unpackbits(rows, axis=1, count=count, bitorder="little").view(np.bool_).T


def spread(
    start: Mapping[int, int], fired: Sequence[int], step: Sequence[Sequence[End]]
) -> dict[int, int]:
    """Return where each condition is met when walking from some starts over links that fired.

    `start` gives the worlds of each start, `fired` those of each link, `step` the (link, next)
    of each condition. All worlds at once; a condition is revisited when it has grown.
    """
    met = dict(start)
    frontier = list(start)
    while frontier:
        grown: dict[int, None] = {}
        for here in frontier:
            worlds = met[here]
            for link, there in step[here]:
                before = met.get(there, 0)
                after = before | (worlds & fired[link])
                if after != before:
                    met[there] = after
                    grown[there] = None
        frontier = list(grown)
    return met
