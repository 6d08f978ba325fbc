"""How a causal network is laid out for summing: its circles, its pairs, and a good order.

Nodes and links are positions; the ends of a node are its (link, other node).
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Sequence
from itertools import accumulate
from math import prod

End = tuple[int, int]
SumOrder = tuple[tuple[bool, int], ...]
"""In what order to sum: (False, condition) when its causes are brought together, (True, condition)
when it is summed itself."""


def on_circles(nodes: Iterable[int], out: Sequence[Sequence[End]]) -> set[int]:
    """Return the nodes that lie on a circle, or on a way from one circle to another."""
    left = set(nodes)
    while True:
        ahead = {n for n in left if any(m in left for _, m in out[n])}
        behind = {m for n in ahead for _, m in out[n] if m in ahead}
        if behind == left:
            return left
        left = behind


def mutual_pairs(
    out: Sequence[Sequence[End]], links: Sequence[tuple[str, str, float]]
) -> dict[int, int]:
    """Return conditions that make each other, each in one pair at most, the likeliest first."""
    chance = {(n, m): links[link][2] for n, effects in enumerate(out) for link, m in effects}
    mutual = [(n, m) for n, m in chance if n < m and (m, n) in chance]
    found: dict[int, int] = {}
    for n, m in sorted(mutual, key=lambda ends: (-chance[ends] * chance[ends[::-1]], ends)):
        if not {n, m} & {*found, *found.values()}:
            found[n] = m
    return found


def links_back(
    circles: Collection[int],
    into: Sequence[Sequence[End]],
    out: Sequence[Sequence[End]],
    links: Sequence[tuple[str, str, float]],
) -> frozenset[int]:
    """Return links without which some nodes have no circle: few, and rather such as seldom fire.

    The nodes stand in a row; each is moved to where it makes the fewest links lead back, until no
    move helps. The square keeps what usually happens running forward.
    """
    row = sorted(circles)
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
        if place.get(there, len(row)) <= place[node]
    )


def summing_order(into: Sequence[Sequence[End]], pairs: Collection[int]) -> SumOrder:
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
