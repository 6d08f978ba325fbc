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
WAYS: tuple[tuple[float, int], ...] = (
    *((3.0, 7), (1.25, 7), (3.0, 2)),
    *((4.0, 7), (3.0, 6), (2.0, 5)),
)
"""Other ways to make an order: what stands for `MORE`, and which of alike nodes goes first."""
ORDERS = 64
"""Orders that are kept, the latest ones: each holds some tens of kilobytes."""


@lru_cache(ORDERS)
def summing_order(causes: tuple[tuple[int, ...], ...], sizes: tuple[int, ...]) -> SumOrder | None:
    """Return an order in which each step ties few states of others together; None if hopeless.

    `causes` and `sizes` (states) are by node. What a node's causes come to, and the node, are two:
    the first goes before the second. Where an order is dear, the least dear of several is taken.
    What may be asked next is reckoned with the same nodes over and over: some orders are kept.
    """
    begun = _begin(causes, sizes)
    found = _finished(begun, MORE, 0, most=HOPELESS)
    if found is None:
        return None
    for more, seed in WAYS:
        if found.cells < LARGE:
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
        cells = row.cells + 2.0 ** now[node][1]
        if cells > most or rated > worth:
            return False
        row.cells = cells
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


@dataclass(slots=True)
class _Ties:
    """An order of variables in the making, its cells, and what is tied to what is still `left`.

    Variables are the bits of a whole number. `weight` is the logarithm of a variable's states,
    `alike` the variables that have one weight.
    """

    near: list[int]
    left: int
    weight: list[float]
    alike: list[tuple[float, int]]
    cells: float = 0.0
    order: list[int] = field(default_factory=list)


def order_of_tables(
    sizes: Sequence[int], scopes: Iterable[Sequence[int]], tries: int, enough: float
) -> tuple[float, list[int]]:
    """Return the cells and the order of the least dear of some orders of the variables of tables.

    `sizes` (states) are by variable; `scopes` are the variables that each table ties. What adds the
    fewest ties goes first (Kjaerulff, 'Triangulation of graphs', Aalborg 1990; from memory), each
    tie weighed by the states at its ends. Of alike ones each try takes another first; no more are
    made once an order has no more than `enough` cells.
    """
    begun = _tied(sizes, scopes)
    rank = list(range(len(sizes)))
    _untie(begun, rank, ties=0.0)  # what adds none goes first in some best order
    best: _Ties | None = None
    for seed in range(tries):
        if seed:
            Random(seed).shuffle(rank)
        ties = replace(begun, near=list(begun.near), order=list(begun.order))
        if _untie(ties, rank, most=best.cells if best else inf):
            best = ties
        assert best is not None, "the first is made to its end"
        if best.cells <= enough:
            break
    assert best is not None, "one is made at least"
    return best.cells, best.order


def _tied(sizes: Sequence[int], scopes: Iterable[Sequence[int]]) -> _Ties:
    near = [0] * len(sizes)
    for scope in scopes:
        every = sum(1 << variable for variable in scope)
        for variable in scope:
            near[variable] |= every & ~(1 << variable)
    alike: dict[float, int] = {}
    weight = [log2(size) for size in sizes]
    for variable, states in enumerate(weight):
        alike[states] = alike.get(states, 0) | 1 << variable
    return _Ties(near, (1 << len(sizes)) - 1, weight, list(alike.items()))


def _untie(row: _Ties, rank: Sequence[int], *, most: float = inf, ties: float = inf) -> bool:
    """Give the variables their places; say if all have one now.

    It ends before a variable that adds more than `ties`, or beyond `most` cells.
    """
    near, weight, alike = row.near, row.weight, row.alike
    now: dict[int, tuple[float, float]] = {}
    queue: list[tuple[tuple[float, float], int, int]] = []

    def rate(variable: int) -> None:
        others = left = near[variable]
        many = others.bit_count()
        added = 0.0
        while left:  # `bits_of`, written out: most of the time goes here
            lowest = left & -left
            left ^= lowest
            other = lowest.bit_length() - 1
            if missing := many - 1 - (others & near[other]).bit_count():
                added += weight[other] * missing
        tied = 0.0
        for each, which in alike:
            tied += each * (others & which).bit_count()
        rated = added, tied
        if now.get(variable) != rated:
            now[variable] = rated
            heapq.heappush(queue, (rated, rank[variable], variable))

    for variable in bits_of(row.left):
        rate(variable)
    while queue:
        rated, _, variable = heapq.heappop(queue)
        if now.get(variable) != rated:
            continue
        cells = row.cells + 2.0 ** (weight[variable] + rated[1])
        if cells > most or rated[0] > ties:
            return False
        row.cells = cells
        del now[variable]
        row.left &= ~(1 << variable)
        row.order.append(variable)
        others = near[variable]
        changed = others
        added = []
        for other in bits_of(others):
            added.append((other, others & ~near[other] & ~(1 << other)))
            near[other] = (near[other] | others) & ~(1 << variable | 1 << other)
        for one, new in added:  # what is tied to both ends of a new tie adds one tie less
            for other in bits_of(new & (-1 << one)):
                changed |= near[one] & near[other]
        for other in bits_of(changed & row.left):
            rate(other)
    return True


def _near(causes: Sequence[Sequence[int]]) -> list[int]:
    """Return what is tied together from the start: what causes come to, the node, its causes."""
    near = [0] * (2 * len(causes))
    for node, own in enumerate(causes):
        if own:
            for other in (node, *own):
                near[2 * node] |= 2 << 2 * other
                near[2 * other + 1] |= 1 << 2 * node
    return near
