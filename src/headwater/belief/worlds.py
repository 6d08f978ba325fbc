"""The network of a book, and worlds: joint outcomes of all its sources and links.

In a world every source (an origin, an unlisted cause) is there or not and every link fires or not;
a condition is present when a source that is there reaches it over links that fired. That is
reachability in a random graph, so a loop cannot hold itself up. Many worlds are handled at once:
what is true in which world is the bits of one whole number.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import prod
from typing import Any

import numpy as np
import numpy.typing as npt

from headwater.book.load import Book
from headwater.book.tables import UNLISTED

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
SumOrder = tuple[tuple[bool, int], ...]
"""In what order to sum: (False, condition) when its causes are brought together, (True, condition)
when it is summed itself."""
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
    """What is made once per network: its links by end, its loops laid out, its random numbers.

    `into` and `out` give for each condition its (link, other end), all as positions; `back` are the
    links that lead back to an earlier condition of their loop; `pairs` are conditions that make
    each other. `order` is in what order to sum a model of all conditions. `forecasts` keeps what
    `belief.telling` works out once for each check.
    """

    network: Network
    count: int
    position: Mapping[str, int]
    into: list[list[tuple[int, int]]]
    out: list[list[tuple[int, int]]]
    back: frozenset[int]
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
    into: list[list[tuple[int, int]]] = [[] for _ in position]
    out: list[list[tuple[int, int]]] = [[] for _ in position]
    for index, (cause, effect, _) in enumerate(network.links):
        into[position[effect]].append((index, position[cause]))
        out[position[cause]].append((index, position[effect]))
    back = _backward(into, out, network.links)
    pairs = _pairs(out, network.links)
    return Worlds(network, count, position, into, out, back, pairs, summing_order(into, pairs))


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
    start: Mapping[int, int], fired: Sequence[int], step: Sequence[Sequence[tuple[int, int]]]
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


def on_circles(nodes: Iterable[int], out: Sequence[Sequence[tuple[int, int]]]) -> set[int]:
    """Return the nodes that lie on a circle, or on a way from one circle to another."""
    left = set(nodes)
    while True:
        ahead = {n for n in left if any(m in left for _, m in out[n])}
        behind = {m for n in ahead for _, m in out[n] if m in ahead}
        if behind == left:
            return left
        left = behind


def _pairs(
    out: Sequence[Sequence[tuple[int, int]]], links: Sequence[tuple[str, str, float]]
) -> dict[int, int]:
    """Return conditions that make each other, each in one pair at most, the likeliest first."""
    chance = {(n, m): links[link][2] for n, effects in enumerate(out) for link, m in effects}
    mutual = [(n, m) for n, m in chance if n < m and (m, n) in chance]
    found: dict[int, int] = {}
    for n, m in sorted(mutual, key=lambda ends: (-chance[ends] * chance[ends[::-1]], ends)):
        if not {n, m} & {*found, *found.values()}:
            found[n] = m
    return found


def _backward(
    into: Sequence[Sequence[tuple[int, int]]],
    out: Sequence[Sequence[tuple[int, int]]],
    links: Sequence[tuple[str, str, float]],
) -> frozenset[int]:
    """Return links without which there is no circle: few, and rather those that seldom fire.

    The conditions on circles stand in a row; each is moved to where it makes the fewest links lead
    back, until no move helps. The square keeps what usually happens running forward.
    """
    row = sorted(on_circles(range(len(out)), out))
    on_row = set(row)
    cost = [p * p for _, _, p in links]
    better = True
    while better:
        better = False
        for node in list(row):
            here = row.index(node)
            rest = row[:here] + row[here + 1 :]
            place = {other: i for i, other in enumerate(rest)}
            # Moving along the row by one passes one other: links from it turn forward, to it back.
            change = [0.0] * (len(rest) + 1)
            for link, cause in into[node]:
                if cause in place:
                    change[place[cause] + 1] -= cost[link]
            for link, effect in out[node]:
                if effect in place:
                    change[place[effect] + 1] += cost[link]
            total = list(accumulate(change))
            best = min(range(len(total)), key=lambda i: (total[i], abs(i - here)))
            if total[best] < total[here] - 1e-9:
                row = [*rest[:best], node, *rest[best:]]
                better = True
    place = {node: i for i, node in enumerate(row)}
    return frozenset(
        link
        for node in row
        for link, there in out[node]
        if there in on_row and place[there] <= place[node]
    )


def summing_order(into: Sequence[Sequence[tuple[int, int]]], pairs: Collection[int]) -> SumOrder:
    """Return an order in which each step ties the fewest new neighbours together, by cells.

    What a condition's causes come to, and the condition, are two: the first goes before the second.
    The first of a pair has a state more.
    """
    count = len(into)
    near: list[set[int]] = [set() for _ in range(2 * count)]
    for node, causes in enumerate(into):
        for other in (node, *(cause for _, cause in causes)) if causes else ():
            near[2 * node].add(2 * other + 1)
            near[2 * other + 1].add(2 * node)
    waits = [bool(index % 2 and into[index // 2]) for index in range(2 * count)]
    size = [3 if index // 2 in pairs else 2 for index in range(2 * count)]
    now: dict[int, tuple[int, int]] = {}
    queue: list[tuple[int, int, int]] = []

    def rate(node: int) -> None:
        if waits[node]:
            return
        others = sorted(near[node])
        fill = 0
        for place, one in enumerate(others):
            known = near[one]
            fill += size[one] * sum(size[o] for o in others[place + 1 :] if o not in known)
        worth = (fill, prod(size[o] for o in others))
        if now.get(node) != worth:
            now[node] = worth
            heapq.heappush(queue, (*worth, node))

    for node in range(2 * count):
        if node % 2 or into[node // 2]:
            rate(node)
    order: list[tuple[bool, int]] = []
    while queue:
        *worth, node = heapq.heappop(queue)
        if now.get(node) != tuple(worth):
            continue
        del now[node]
        order.append((bool(node % 2), node // 2))
        others = near[node]
        if node % 2 == 0:
            waits[node + 1] = False
        for other in others:
            near[other] |= others
            near[other] -= {node, other}
        touched = others if not worth[0] else others.union(*(near[o] for o in others))
        for other in sorted(touched):
            rate(other)
    return tuple(order)


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
