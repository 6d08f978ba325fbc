"""What the findings of a case leave to be asked: the part of the network that bears on them.

What is ruled out is left out, and so is everything that no finding speaks of. What is certain and
on no loop parts the rest: whatever lies below it no longer asks why it is there. Nothing here, and
nothing that is summed from it, depends on what the findings do not touch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from headwater.belief.layout import (
    End,
    close_parts,
    links_back,
    loops,
    most_turns,
)
from headwater.belief.orders import SumOrder, summing_order
from headwater.belief.states import Shape, states_of
from headwater.belief.worlds import Factors, Root, Worlds

DENIED = 0.025
"""A finding so much likelier where a condition is absent is a decisive denial, or more."""
HARD = 1e-8
"""A finding whose contrary is less likely than this, in proportion, is taken as settled."""
PART = 6
"""Conditions of a larger loop that are taken together, and turns counted among them."""
SMALL_LOOP = 12
"""Conditions of a loop up to which its turns are counted."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Whether some sources lead to a condition: asked beside what the findings say."""

    roots: frozenset[Root]
    condition: str


class Question:
    """The findings sorted by position in the network, and what is asked of them.

    `pairs` are their likelihoods (if present, if absent); `out` is ruled out. `asked` is all that
    leads to a finding or to what is `wanted` besides, with its `causes` (link, cause). Of that,
    `given` is certain and on no loop. `turning` has the number of the small loop of a condition, or
    pair of a larger loop, in which turns are counted: at most `most` of a condition, one for each
    link in `back`. `circles` lie on loops round several of these: there something may hold itself
    up. `longest` is the largest number of conditions among which turns are counted. `marked` may be
    what the sources of `reach` lead on to.
    """

    def __init__(
        self,
        worlds: Worlds,
        factors: Factors,
        *,
        wanted: Collection[str] = (),
        reach: Reach | None = None,
        pairs_alone: bool = False,
        at_its_word: bool = False,
    ) -> None:
        """Sort findings: likelihood pairs (if present, if absent) by condition.

        With `pairs_alone` no turns are counted round loops, but for two that make each other. With
        `at_its_word` a denial that is decisive rules out, slips or not.
        """
        self._told = (factors, wanted)
        self.takes_denials = at_its_word
        place = worlds.position
        pairs = {place[c]: pair for c, pair in factors.items() if c in place}
        self.worlds, self.reach = worlds, reach
        self.pairs = {n: pair for n, pair in sorted(pairs.items()) if pair[0] != pair[1]}
        least = DENIED if at_its_word else HARD
        self.out = frozenset(n for n, (there, not_) in self.pairs.items() if there <= least * not_)
        sure = {n for n, (there, not_) in self.pairs.items() if not_ <= HARD * there}
        near = [n for n in self.pairs if n not in self.out]
        near += [cause for n in self.out for _, cause in worlds.into[n] if cause not in self.out]
        near += [place[c] for c in wanted if place[c] not in self.out]
        near += [place[reach.condition]] if reach else []
        self.asked = sorted(self._upstream(near))
        self.causes = {node: self._causes(node) for node in self.asked}
        self.out_of: dict[int, list[End]] = {node: [] for node in self.asked}
        for node, causes in self.causes.items():
            for link, cause in causes:
                self.out_of[cause].append((link, node))
        self._count_turns(0 if pairs_alone else SMALL_LOOP)
        self.marked = self._marked(reach) if reach else frozenset()
        self.given = sure - self.on_loops - self.marked

    def at_its_word(self) -> Question:
        """Return the same question with decisive denials taken at their word."""
        factors, wanted = self._told
        return Question(self.worlds, factors, wanted=wanted, reach=self.reach, at_its_word=True)

    def in_pairs(self) -> Question:
        """Return the same question with turns counted in pairs alone."""
        factors, wanted = self._told
        return Question(
            self.worlds,
            factors,
            wanted=wanted,
            reach=self.reach,
            pairs_alone=True,
            at_its_word=self.takes_denials,
        )

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

    def _count_turns(self, small: int) -> None:
        """Find where turns are counted, and where something may yet hold itself up."""
        self.turning: dict[int, int] = {}
        self.most: dict[int, int] = {}
        self.back: frozenset[int] = frozenset()
        self.circles: frozenset[int] = frozenset()
        self.longest = 0
        links = self.worlds.network.links
        found = loops(self.out_of)
        self.on_loops = frozenset(node for loop in found for node in loop)
        for loop in found:
            nodes = frozenset(loop)
            parts = [nodes]
            if len(loop) > small:
                parts = close_parts(nodes, self.out_of, links, PART if small else 2)
            for part in parts:
                self.longest = max(self.longest, len(part))
                back = links_back(part, self.out_of, links)
                self.back |= back
                self.most |= most_turns(sorted(part), self.out_of, back)
                self.turning |= dict.fromkeys(part, min(part))
            if parts != [nodes]:
                self.circles |= self._between(nodes)

    def _between(self, loop: Collection[int]) -> frozenset[int]:
        """Return what of a loop is on a loop still, each part that counts turns taken as one."""
        one = {node: self.turning.get(node, node) for node in loop}
        out: dict[int, list[End]] = {here: [] for here in one.values()}
        for node, here in one.items():
            ends = ((link, one[m]) for link, m in self.out_of[node] if m in one)
            out[here] += [end for end in ends if end[1] != here]
        still = {here for whole in loops(out) for here in whole}
        return frozenset(node for node, here in one.items() if here in still)

    def _marked(self, reach: Reach) -> frozenset[int]:
        """Return what the sources may lead on to, on the way to the condition asked about."""
        place = self.worlds.position
        up = self._upstream([place[reach.condition]])
        found = {place[root.condition] for root in reach.roots} & up
        frontier = list(found)
        while frontier:
            for _, effect in self.out_of[frontier.pop()]:
                if effect in up and effect not in found:
                    found.add(effect)
                    frontier.append(effect)
        return frozenset(found)

    def shape(self, node: int) -> Shape:
        """Return what states a condition has."""
        return Shape(self.most.get(node, 0), node in self.marked)

    def turn(self, link: int, cause: int, effect: int) -> int | None:
        """Return how many turns a link adds; None if its ends are in no small loop together."""
        if self.turning.get(cause, -1) != self.turning.get(effect, -2):
            return None
        return int(link in self.back)

    def order(self, least: float = 0.0) -> SumOrder | None:
        """Return an order of summing made for what is asked alone; None if there is none to use.

        Links that fire less often than `least` are left out.
        """
        links = self.worlds.network.links
        place = {node: index for index, node in enumerate(self.asked)}
        causes = tuple(
            tuple(
                place[cause]
                for link, cause in self.causes[node]
                if cause not in self.given and links[link][2] >= least
            )
            for node in self.asked
        )
        sizes = tuple(len(states_of(self.shape(node))) for node in self.asked)
        order = summing_order(causes, sizes)
        return order and tuple((itself, self.asked[n]) for itself, n in order)
