"""What the findings of a case leave to be asked: the part of the network that bears on them.

What is ruled out is left out, and so is everything that no finding speaks of. What is certain and
on no loop parts the rest: whatever lies below it no longer asks why it is there.
"""

from __future__ import annotations

from collections.abc import Iterable

from headwater.belief.layout import End, SumOrder, on_circles, summing_order
from headwater.belief.worlds import Factors, Worlds

HARD = 1e-5
"""A finding whose contrary is less likely than this, in proportion, is taken as settled."""


class Told:
    """The findings sorted by position in the network.

    `pairs` are their likelihoods (if present, if absent); `out` is ruled out. `asked` is all that
    leads to a finding, with its `causes` (link, cause). Of that, `circles` lie on loops, `mutual`
    make each other, and `given` are certain and on no loop.
    """

    def __init__(self, worlds: Worlds, factors: Factors) -> None:
        """Sort findings: likelihood pairs (if present, if absent) by condition."""
        place = worlds.position
        pairs = {place[c]: pair for c, pair in factors.items() if c in place}
        self.worlds = worlds
        self.pairs = {n: pair for n, pair in pairs.items() if pair[0] != pair[1]}
        self.out = frozenset(n for n, (there, not_) in self.pairs.items() if there <= HARD * not_)
        sure = {n for n, (there, not_) in self.pairs.items() if not_ <= HARD * there}
        near = [n for n in self.pairs if n not in self.out]
        near += [cause for n in self.out for _, cause in worlds.into[n] if cause not in self.out]
        self.asked = sorted(self._upstream(near))
        self.circles = frozenset(on_circles(self.asked, worlds.out))
        self.given = sure - self.circles
        self.causes = {node: self._causes(node) for node in self.asked}
        self.mutual = {
            n: m for n, m in worlds.pairs.items() if n in self.circles and m in self.circles
        }

    def _upstream(self, start: Iterable[int]) -> set[int]:
        found = set(start)
        frontier = list(found)
        while frontier:
            for _, cause in self.worlds.into[frontier.pop()]:
                if cause not in found and cause not in self.out:
                    found.add(cause)
                    frontier.append(cause)
        return found

    def _causes(self, node: int) -> list[End]:
        return [end for end in self.worlds.into[node] if end[1] not in self.out and end[1] != node]

    def order(self) -> SumOrder:
        """Return an order of summing made for what is asked alone."""
        into: list[list[End]] = [[] for _ in self.worlds.into]
        for node, causes in self.causes.items():
            into[node] = [end for end in causes if end[1] not in self.given]
        return summing_order(into, self.mutual)

    def larger_circles(self) -> frozenset[int]:
        """Return the conditions on loops, or between two, that are more than a pair."""
        one = {m: n for n, m in self.mutual.items()}  # a pair taken as one condition
        out: list[list[tuple[int, int]]] = [[] for _ in self.worlds.out]
        for node in self.circles:
            here = one.get(node, node)
            ends = ((link, one.get(m, m)) for link, m in self.worlds.out[node])
            out[here] += [(link, there) for link, there in ends if there != here]
        nodes = {one.get(node, node) for node in self.circles}
        found = on_circles(nodes, out)
        return frozenset(node for node in self.circles if one.get(node, node) in found)
