"""How a causal network is laid out for summing: its loops, turns round them, and a good order.

Nodes and links are positions; the ends of a node are its (link, other node).
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import accumulate
from math import inf, log2
from random import Random

End = tuple[int, int]
Link = tuple[int, int, int]
"""A link with its cause and its effect."""
Ends = Mapping[int, Sequence[End]]
SumOrder = tuple[tuple[bool, int], ...]
"""In what order to sum: (False, condition) when its causes are brought together, (True, condition)
when it is summed itself."""

STEPS = 4_000
"""Steps of walking a loop for its turns; beyond, the number of ways in stands for them."""

FEW = 8
"""Nodes of which every row is tried."""
SHORT = 4
"""Nodes of the longest circle that is looked at when a large loop is parted."""
WALKED = 300_000
"""Ways that are walked for short circles; where there are more, shorter circles do."""
MORE = 2.0
"""Variables more than one for what causes come to: before, from elsewhere, after each of them."""
HOPELESS = 1e12
"""Cells reckoned for an order from which on no other is tried: none will be small enough."""
LARGE = 3e5
"""Cells reckoned for an order from which on others are tried, too: it costs less than it saves."""
DEAR = 1e6
"""Cells reckoned from which on still others are, if asked for, until an order has fewer."""
WAYS: tuple[tuple[float, int], ...] = (
    *((3.0, 7), (1.25, 7), (3.0, 2)),
    *((4.0, 7), (3.0, 6), (2.0, 5)),
)
"""Other ways to make an order: what stands for `MORE`, and which of alike nodes goes first."""
MORE_WAYS = tuple((more, seed) for seed in range(1, 8) for more in (4.0, 3.0, 2.5, 2.0))
"""Those tried beside them where nothing simpler can be summed either."""
ORDERS = 64
"""Orders that are kept, the latest ones: each holds some tens of kilobytes."""


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
        for last in _bits(first):
            before, way = best[first ^ 1 << last]
            back = sum(dear[last][n] for n in _bits(first ^ 1 << last))
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


@lru_cache(ORDERS)
def summing_order(
    causes: tuple[tuple[int, ...], ...], sizes: tuple[int, ...], *, at_length: bool = False
) -> SumOrder | None:
    """Return an order in which each step ties few states of others together; None if hopeless.

    `causes` and `sizes` (states) are by node. What a node's causes come to, and the node, are two:
    the first goes before the second. Where an order is dear, the least dear of several is taken:
    a greedy order hangs much on which of two alike nodes goes first. More are tried `at_length`.
    What may be asked next is reckoned with the same nodes over and over: some orders are kept.
    """
    cells, order = _greedy(causes, sizes, MORE, 0, most=HOPELESS)
    if cells == inf:
        return None
    for ways, dear in ((WAYS, LARGE), (MORE_WAYS if at_length else (), DEAR)):
        for more, seed in ways:
            if cells < dear:
                break
            others = _greedy(causes, sizes, more, seed, most=cells)
            cells, order = min((cells, order), others, key=lambda one: one[0])
    return order


def _greedy(
    causes: Sequence[Sequence[int]],
    sizes: Sequence[int],
    more: float,
    seed: int,
    most: float = inf,
) -> tuple[float, SumOrder]:
    """Return an order that takes what ties the fewest states first, and its cells, reckoned.

    Nodes tied to one are the bits of a whole number. `seed` (0: as they stand) shuffles which of
    nodes alike goes first. An order of more than `most` cells is not made to its end: (inf, part).
    """
    near = _near(causes)
    nodes = sum(2 << 2 * node for node in range(len(causes)))
    extra: dict[int, int] = {}  # nodes of more than two states, by how many
    for node, size in enumerate(sizes):
        extra[size] = extra.get(size, 0) | 3 << 2 * node
    wider = [(log2(size) - 1.0, wide) for size, wide in extra.items() if size > 2]
    waits = sum(2 << 2 * node for node, own in enumerate(causes) if own)
    rank = list(range(2 * len(causes)))
    if seed:
        Random(seed).shuffle(rank)
    now: dict[int, tuple[float, float]] = {}
    queue: list[tuple[float, int, int]] = []

    def rate(node: int) -> None:
        others = near[node]
        parts = others & ~nodes
        tied, tied_parts = float(others.bit_count()), float(parts.bit_count())
        for wide_by, wide in wider:
            tied += wide_by * (others & wide).bit_count()
            tied_parts += wide_by * (parts & wide).bit_count()
        worth = tied + more * tied_parts
        if node not in now or now[node][0] != worth:
            now[node] = worth, tied + tied_parts
            heapq.heappush(queue, (worth, rank[node], node))

    for node in range(2 * len(causes)):
        if not waits >> node & 1 and (node % 2 or causes[node // 2]):
            rate(node)
    cells = 0.0
    order: list[tuple[bool, int]] = []
    while queue:
        worth, _, node = heapq.heappop(queue)
        if now[node][0] != worth:
            continue
        cells += 2.0 ** now[node][1]
        if cells > most:
            return inf, tuple(order)
        now[node] = -1.0, 0.0
        order.append((bool(node % 2), node // 2))
        others = near[node]
        for other in _bits(others):
            near[other] = (near[other] | others) & ~(1 << node | 1 << other)
        if node % 2 == 0:
            waits &= ~(2 << node)
            others |= 2 << node
        for other in _bits(others & ~waits):
            rate(other)
    return cells, tuple(order)


def order_of_tables(sizes: Sequence[int], scopes: Iterable[Sequence[int]], seed: int) -> list[int]:
    """Return the variables of some tables in an order in which each next one spans few cells.

    `sizes` (states) are by variable; `scopes` are the variables that each table ties; `seed`
    shuffles which of variables alike goes first.
    """
    near = [0] * len(sizes)
    for scope in scopes:
        for variable in scope:
            near[variable] |= sum(1 << other for other in scope if other != variable)
    extra: dict[int, int] = {}  # variables of more than two states, by how many
    for variable, size in enumerate(sizes):
        extra[size] = extra.get(size, 0) | 1 << variable
    wider = [(log2(size) - 1.0, wide) for size, wide in extra.items() if size != 2]
    rank = list(range(len(sizes)))
    Random(seed).shuffle(rank)
    now: dict[int, float] = {}
    queue: list[tuple[float, int, int]] = []

    def rate(variable: int) -> None:
        others = near[variable]
        worth = others.bit_count() + sum(by * (others & wide).bit_count() for by, wide in wider)
        if now.get(variable) != worth:
            now[variable] = worth
            heapq.heappush(queue, (worth, rank[variable], variable))

    for variable in range(len(sizes)):
        rate(variable)
    order: list[int] = []
    while queue:
        worth, _, variable = heapq.heappop(queue)
        if now[variable] != worth:
            continue
        now[variable] = -1.0
        order.append(variable)
        others = near[variable]
        for other in _bits(others):
            near[other] = (near[other] | others) & ~(1 << variable | 1 << other)
        for other in _bits(others):
            rate(other)
    return order


def _near(causes: Sequence[Sequence[int]]) -> list[int]:
    """Return what is tied together from the start: what causes come to, the node, its causes."""
    near = [0] * (2 * len(causes))
    for node, own in enumerate(causes):
        if own:
            for other in (node, *own):
                near[2 * node] |= 2 << 2 * other
                near[2 * other + 1] |= 1 << 2 * node
    return near


def _bits(number: int) -> Iterator[int]:
    """Yield the places of the bits that are set."""
    while number:
        lowest = number & -number
        yield lowest.bit_length() - 1
        number ^= lowest
