"""How a causal network is laid out for summing: its loops, and turns round them.

Nodes and links are positions; the ends of a node are its (link, other node).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import accumulate

End = tuple[int, int]
Link = tuple[int, int, int]
"""A link with its cause and its effect."""
Ends = Mapping[int, Sequence[End]]
STEPS = 4_000
"""Steps of walking a loop for its turns; beyond, the number of ways in stands for them."""

FEW = 8
"""Nodes of which every row is tried."""
SHORT = 4
"""Nodes of the longest circle that is looked at when a large loop is parted."""
WALKED = 300_000
"""Ways that are walked for short circles; where there are more, shorter circles do."""


def loops(out: Ends) -> list[list[int]]:
    """Return the sets of two or more nodes that all lead to each other, each sorted.

    Tarjan, 'Depth-first search and linear graph algorithms', SIAM J. Comput. 1 (1972), written
    without recursion; cited from memory.
    """
    found: list[list[int]] = []
    number: dict[int, int] = {}
    low: dict[int, int] = {}
    stack: list[int] = []
    done: set[int] = set()
    for root in out:
        if root in number:
            continue
        number[root] = low[root] = len(number)
        stack.append(root)
        walk = [(root, iter(out[root]))]
        while walk:
            node, ends = walk[-1]
            for _, there in ends:
                if there not in number:
                    number[there] = low[there] = len(number)
                    stack.append(there)
                    walk.append((there, iter(out[there])))
                    break
                if there not in done:
                    low[node] = min(low[node], number[there])
            else:
                walk.pop()
                if walk:
                    low[walk[-1][0]] = min(low[walk[-1][0]], low[node])
                if low[node] == number[node]:
                    whole = stack[stack.index(node) :]
                    del stack[-len(whole) :]
                    done.update(whole)
                    if len(whole) > 1:
                        found.append(sorted(whole))
    return found


def short_circles(
    nodes: Collection[int], out: Ends, links: Sequence[tuple[str, str, float]]
) -> list[tuple[float, tuple[int, ...]]]:
    """Return the circles of up to `SHORT` nodes with how likely all their links are to fire.

    The likeliest come first; each starts at its first node.
    """
    found: list[tuple[float, tuple[int, ...]]] = []
    short = _short_enough(nodes, out)
    for start in sorted(nodes):
        ways: list[tuple[float, tuple[int, ...]]] = [(1.0, (start,))]
        while ways:
            chance, way = ways.pop()
            for link, there in out[way[-1]]:
                likely = chance * links[link][2]
                if there == start and len(way) > 1:
                    found.append((likely, way))
                elif there in nodes and there > start and there not in way and len(way) < short:
                    ways.append((likely, (*way, there)))
    return sorted(found, key=lambda one: (-one[0], one[1]))


def _short_enough(nodes: Collection[int], out: Ends) -> int:
    """Return the most nodes, two to `SHORT`, of circles for which not too many ways are walked."""
    ways = dict.fromkeys(nodes, 1)
    walked = 0
    for length in range(1, SHORT + 1):
        ways = {n: sum(ways[m] for _, m in out[n] if m in nodes) for n in nodes}
        walked += sum(ways.values())
        if walked > WALKED:
            return max(2, length - 1)
    return SHORT


def close_parts(
    nodes: Collection[int], out: Ends, links: Sequence[tuple[str, str, float]], largest: int
) -> list[frozenset[int]]:
    """Return sets of up to so many nodes that the likeliest short circles run round in."""
    part: dict[int, frozenset[int]] = {}
    for _, way in short_circles(nodes, out, links):
        whole = frozenset(way).union(*(part[node] for node in way if node in part))
        if len(whole) <= largest:
            part |= dict.fromkeys(whole, whole)
    return sorted(set(part.values()), key=min)


def links_back(
    nodes: Collection[int], out: Ends, links: Sequence[tuple[str, str, float]]
) -> frozenset[int]:
    """Return links without which some nodes have no circle: few, and rather such as seldom fire.

    The nodes stand in a row, and each link back costs the square of its chance, which keeps what
    usually happens running forward; of rows that cost alike (to a millionth) that with the fewest
    links back is taken. Few nodes get the best row there is; of more each is moved to where it
    costs least, until no move helps.
    """
    inner = [(link, n, m) for n in sorted(nodes) for link, m in out[n] if m in nodes]
    cost = {link: 1000 * round(1e6 * links[link][2] ** 2) + 1 for link, _, _ in inner}
    row = (_best_row if len(nodes) <= FEW else _good_row)(sorted(nodes), inner, cost)
    place = {node: i for i, node in enumerate(row)}
    return frozenset(link for link, n, m in inner if place[m] < place[n])


def _best_row(row: list[int], inner: Sequence[Link], cost: Mapping[int, int]) -> list[int]:
    """Return the row that costs least, each set of nodes being put first in its best way."""
    best: dict[int, tuple[int, list[int]]] = {0: (0, [])}
    dear = [[0] * len(row) for _ in row]
    for link, n, m in inner:
        dear[row.index(n)][row.index(m)] += cost[link]
    for first in range(1, 1 << len(row)):
        ways = []
        for last in bits_of(first):
            before, way = best[first ^ 1 << last]
            back = sum(dear[last][n] for n in bits_of(first ^ 1 << last))
            ways.append((before + back, [*way, last]))
        best[first] = min(ways)
    return [row[n] for n in best[(1 << len(row)) - 1][1]]


def _good_row(row: list[int], inner: Sequence[Link], cost: Mapping[int, int]) -> list[int]:
    """Return a row from which no single move helps."""
    ends: dict[int, list[End]] = {node: [] for node in row}
    into: dict[int, list[End]] = {node: [] for node in row}
    for link, n, m in inner:
        ends[n].append((link, m))
        into[m].append((link, n))
    better = True
    while better:
        better = False
        for node in list(row):
            here = row.index(node)
            rest = row[:here] + row[here + 1 :]
            place = {other: i for i, other in enumerate(rest)}
            # Moving along the row by one passes one other: links from it turn forward, to it back.
            change = [0] * (len(rest) + 1)
            for link, cause in into[node]:
                change[place[cause] + 1] -= cost[link]
            for link, effect in ends[node]:
                change[place[effect] + 1] += cost[link]
            total = list(accumulate(change))
            best = min(range(len(total)), key=lambda i: (total[i], abs(i - here)))
            if total[best] < total[here]:
                row = [*rest[:best], node, *rest[best:]]
                better = True
    return row


def most_turns(nodes: Collection[int], out: Ends, back: Collection[int]) -> dict[int, int]:
    """Return how many links back a way to each node may pass that meets no node twice.

    Walked in full while that is short; else it is the number of nodes that a link back enters.
    """
    inner = {n: [(link in back, m) for link, m in out[n] if m in nodes] for n in nodes}
    entered = {m for ends in inner.values() for turn, m in ends if turn}
    most = dict.fromkeys(nodes, 0)
    left = STEPS
    for start in nodes:
        on_way = {start}
        walk = [(start, 0, iter(inner[start]))]
        while walk and left:
            node, turns, ends = walk[-1]
            for turn, there in ends:
                if there not in on_way:
                    left -= 1
                    on_way.add(there)
                    most[there] = max(most[there], turns + turn)
                    walk.append((there, turns + turn, iter(inner[there])))
                    break
            else:
                on_way.discard(node)
                walk.pop()
    return most if left else dict.fromkeys(nodes, len(entered))


def bits_of(number: int) -> Iterator[int]:
    """Yield the places of the bits that are set."""
    while number:
        lowest = number & -number
        yield lowest.bit_length() - 1
        number ^= lowest
