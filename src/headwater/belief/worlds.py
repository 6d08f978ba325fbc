"""The network of a book, and worlds: joint outcomes of all its roots and links.

In a world every root (an origin, an unlisted cause) is there or not and every link fires or not;
a condition is present when a root that is there reaches it over links that fired. That is
reachability in a random graph, so a loop cannot hold itself up. Many worlds are handled at once:
what is true in which world is the bits of one whole number.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b
from typing import Any, NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from headwater.belief.layout import End
from headwater.book.records import Book
from headwater.book.tables import UNLISTED

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
T = TypeVar("T")

Factors = Mapping[str, tuple[float, float]]
"""Findings: for a condition, their likelihood if it is present and if it is absent."""

WORLDS = 2048
SEED = "headwater"


@dataclass(frozen=True, slots=True)
class Root:
    """Something that can start a chain: an origin, or an unlisted cause of a condition."""

    condition: str
    unlisted: bool = False


@dataclass(frozen=True, slots=True)
class Network:
    """The causal graph with its numbers. Renaming ids changes what is drawn, not what is summed."""

    conditions: tuple[str, ...]
    priors: Mapping[str, float]
    links: tuple[tuple[str, str, float], ...]
    unlisted: float = UNLISTED
    usages: frozenset[str] = frozenset()


def network_of(book: Book) -> Network:
    """Return the network of a book (already narrowed to a unit family), ordered by id.

    So nothing hangs on the order in which packs are read.
    """
    priors = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    links = tuple(
        (cause, effect, link.often.p) for (cause, effect), link in sorted(book.links.items())
    )
    usages = frozenset(c for c, record in book.origins.items() if record.origin.usage)  # type: ignore[union-attr]
    return Network(tuple(sorted(book.conditions)), priors, links, usages=usages)


class Batch(NamedTuple):
    """Worlds that are drawn at once: which, and how many. What is drawn for the first is kept."""

    number: int
    size: int


@dataclass(slots=True)
class Worlds:
    """What is made once per network: its links by end, its random numbers.

    `into` and `out` give for each condition its (link, other end), all as positions; `roots` are
    its origins. Threads may share it: what is kept here is worked out from the network alone, the
    same whoever does it first, and put in its place whole.

    Random numbers are named by the ids of what they are for, so that a record more or less in the
    book leaves the others theirs.
    """

    network: Network
    count: int
    position: Mapping[str, int]
    into: list[list[End]]
    out: list[list[End]]
    roots: tuple[Root, ...]
    kept: dict[Hashable, Any] = field(default_factory=dict)

    def keep(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is worked out once for a network, under a key of its own."""
        if key not in self.kept:
            self.kept[key] = make()
        found: T = self.kept[key]
        return found

    @property
    def parts(self) -> Mapping[str, int]:
        """Return a number for each condition: that of the part of the network it hangs together in.

        Conditions of two parts have nothing to do with each other, whatever is found.
        """
        return self.keep("parts", self._parts)

    def _parts(self) -> dict[str, int]:
        part: dict[int, int] = {}
        for first in range(len(self.into)):
            frontier = [] if first in part else [first]
            while frontier:
                here = frontier.pop()
                if here not in part:
                    part[here] = first
                    frontier += [there for _, there in (*self.into[here], *self.out[here])]
        return {c: part[index] for c, index in self.position.items()}

    def batch(self, number: int) -> Batch:
        """Return one of the batches that worlds are drawn in: each as many as all before it."""
        return Batch(number, self.count << max(number - 1, 0))

    def uniform(self, key: tuple[str, ...], batch: Batch) -> Floats:
        """Return numbers from 0 up to 1, of a stream of their own: (size of the batch,)."""
        if batch.number:
            return _uniform(key, batch)
        return self.keep(("uniform", key), lambda: _uniform(key, batch))

    def fires_unseen(self, batch: Batch) -> tuple[int, ...]:
        """Return for each link the worlds in which it fires, where no finding speaks of it."""

        def fires() -> tuple[int, ...]:
            return tuple(self.link_fires(link, batch) for link in range(len(self.network.links)))

        return self.keep(("fires", batch.number), fires)

    def link_fires(self, link: int, batch: Batch) -> int:
        """Return the same for one link."""

        def fires() -> int:
            cause, effect, p = self.network.links[link]
            return as_bits(_uniform(("link", cause, effect), batch) < p)

        return self.keep(("fires", batch.number, link), fires)

    def starts_unseen(self, batch: Batch) -> Mapping[Root, int]:
        """Return the worlds in which each origin occurs, where no finding speaks of it."""

        def starts() -> dict[Root, int]:
            priors = self.network.priors
            return {
                root: as_bits(_uniform(("event", root.condition), batch) < priors[root.condition])
                for root in self.roots
            }

        return self.keep(("starts", batch.number), starts)


def _uniform(key: tuple[str, ...], batch: Batch) -> Floats:
    # Philox is a published function of key and counter: the same numbers everywhere.
    name = "\n".join((SEED, *key, str(batch.number))).encode()
    stream = np.random.Philox(key=int.from_bytes(blake2b(name, digest_size=16).digest(), "little"))
    raw = stream.random_raw(batch.size) >> np.uint64(11)
    numbers: Floats = np.multiply(raw, 2.0**-53, dtype=np.float64)
    return numbers


def make_worlds(network: Network, count: int = WORLDS) -> Worlds:
    """Return what is made once per network, for posteriors of `count` worlds."""
    position = {c: i for i, c in enumerate(network.conditions)}
    into: list[list[End]] = [[] for _ in position]
    out: list[list[End]] = [[] for _ in position]
    for index, (cause, effect, _) in enumerate(network.links):
        into[position[effect]].append((index, position[cause]))
        out[position[cause]].append((index, position[effect]))
    return Worlds(network, count, position, into, out, tuple(Root(c) for c in network.priors))


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

    A walk in every world at once, whose reach is a set of worlds for each condition: `graph` walks
    one graph, in which all links are there.

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
