"""A good order of summing: one in which each step ties few states of others together.

Nodes are positions. What a node's causes come to, and the node, are two: the first goes before the
second. A greedy order hangs much on which of two alike nodes goes first, so several are tried.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import inf, log2
from random import Random

from headwater.belief.layout import bits_of

SumOrder = tuple[tuple[bool, int], ...]
"""In what order to sum: (False, condition) when its causes are brought together, (True, condition)
when it is summed itself."""

MORE = 2.0
"""Variables more than one for what causes come to: before, from elsewhere, after each of them."""
HOPELESS = 1e12
"""Cells reckoned for an order from which on no other is tried: none will be small enough."""
EASY = 4.0
"""What a node may be worth that every order puts first: tried orders go on from there."""
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
    begun = _begin(causes, sizes)
    found = _finished(begun, MORE, 0, most=HOPELESS)
    if found is None:
        return None
    for ways, dear in ((WAYS, LARGE), (MORE_WAYS if at_length else (), DEAR)):
        for more, seed in ways:
            if found.cells < dear:
                break
            other = _finished(begun, more, seed, most=found.cells)
            found = other if other and other.cells < found.cells else found
    return tuple(found.order)


@dataclass(slots=True)
class _Row:
    """An order in the making, its cells, reckoned, and what is tied to what still has no place.

    Nodes tied to one are the bits of a whole number: 2n is what the causes of node n come to,
    2n + 1 the node. `waits` are nodes whose causes are not brought together yet, `left` those
    without a place.
    `rank` says which of nodes alike goes first; `wider` are the nodes of more than two states.
    """

    near: list[int]
    left: int
    waits: int
    nodes: int
    wider: list[tuple[float, int]]
    rank: list[int]
    cells: float = 0.0
    order: list[tuple[bool, int]] = field(default_factory=list)


def _begin(causes: Sequence[Sequence[int]], sizes: Sequence[int]) -> _Row:
    """Return a row in which those have their place that every order puts first."""
    nodes = sum(2 << 2 * node for node in range(len(causes)))
    extra: dict[int, int] = {}  # nodes of more than two states, by how many
    for node, size in enumerate(sizes):
        extra[size] = extra.get(size, 0) | 3 << 2 * node
    wider = [(log2(size) - 1.0, wide) for size, wide in extra.items() if size > 2]
    parts = sum(1 << 2 * node for node, own in enumerate(causes) if own)
    rank = list(range(2 * len(causes)))
    row = _Row(_near(causes), nodes | parts, parts << 1, nodes, wider, rank)
    _go_on(row, MORE, worth=EASY)
    return row


def _finished(begun: _Row, more: float, seed: int, most: float = inf) -> _Row | None:
    """Return a row that was begun with its end, one of many; None beyond `most` cells.

    `seed` (0: as they stand) shuffles which of nodes alike goes first.
    """
    rank = list(begun.rank)
    if seed:
        Random(seed).shuffle(rank)
    row = replace(begun, near=list(begun.near), rank=rank, order=list(begun.order))
    return row if _go_on(row, more, most=most) else None


def _go_on(row: _Row, more: float, *, most: float = inf, worth: float = inf) -> bool:
    """Give the nodes their places, what ties the fewest states first; say if all have one now.

    It ends before a node that ties states worth more than `worth`, or beyond `most` cells.
    """
    near, rank, nodes = row.near, row.rank, row.nodes
    now: dict[int, tuple[float, float]] = {}
    queue: list[tuple[float, int, int]] = []

    def rate(node: int) -> None:
        others = near[node]
        parts = others & ~nodes
        tied, tied_parts = float(others.bit_count()), float(parts.bit_count())
        for wide_by, wide in row.wider:
            tied += wide_by * (others & wide).bit_count()
            tied_parts += wide_by * (parts & wide).bit_count()
        rated = tied + more * tied_parts
        if node not in now or now[node][0] != rated:
            now[node] = rated, tied + tied_parts
            heapq.heappush(queue, (rated, rank[node], node))

    for node in bits_of(row.left & ~row.waits):
        rate(node)
    while queue:
        rated, _, node = heapq.heappop(queue)
        if now[node][0] != rated:
            continue
        row.cells += 2.0 ** now[node][1]
        if row.cells > most or rated > worth:
            return False
        now[node] = -1.0, 0.0
        row.left &= ~(1 << node)
        row.order.append((bool(node % 2), node // 2))
        others = near[node]
        for other in bits_of(others):
            near[other] = (near[other] | others) & ~(1 << node | 1 << other)
        if node % 2 == 0:
            row.waits &= ~(2 << node)
            others |= 2 << node
        for other in bits_of(others & ~row.waits):
            rate(other)
    return True


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
        for other in bits_of(others):
            near[other] = (near[other] | others) & ~(1 << variable | 1 << other)
        for other in bits_of(others):
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
