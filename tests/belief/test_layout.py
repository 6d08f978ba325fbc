"""How loops and orders are laid out: the cheapest row there is, and an order no dearer than one."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from headwater.belief import layout, orders
from headwater.belief.elimination import schedule
from headwater.belief.layout import End, links_back
from headwater.belief.orders import order_of_tables, summing_order

Links = list[tuple[str, str, float]]


def tangle(seed: int, nodes: int) -> tuple[dict[int, list[End]], Links]:
    """Return the ends of some nodes with many links between them, and the links' chances."""
    random = Random(seed)
    out: dict[int, list[End]] = {node: [] for node in range(nodes)}
    links: Links = []
    for here in range(nodes):
        for there in range(nodes):
            if here != there and random.random() < 0.5:
                out[here].append((len(links), there))
                links.append((str(here), str(there), random.choice([0.02, 0.15, 0.4, 0.75, 0.98])))
    return out, links


def dear(back: set[int] | frozenset[int], links: Links) -> float:
    return sum(links[link][2] ** 2 for link in back)


@pytest.mark.parametrize("seed", range(12))
def test_few_nodes_get_the_best_row_there_is(seed: int) -> None:
    out, links = tangle(seed, 6)
    least = min(
        dear(
            {e for n in row for e, m in out[n] if row.index(m) < row.index(n)},
            links,
        )
        for row in permutations(range(6))
    )
    assert dear(links_back(range(6), out, links), links) == pytest.approx(least, abs=1e-5)


@pytest.mark.parametrize("nodes", [6, 11])
@pytest.mark.parametrize("seed", range(6))
def test_without_the_links_back_nothing_runs_in_a_circle(seed: int, nodes: int) -> None:
    out, links = tangle(seed, nodes)
    back = links_back(range(nodes), out, links)
    left = {n: [(link, m) for link, m in ends if link not in back] for n, ends in out.items()}
    assert layout.loops(left) == []


@pytest.mark.parametrize("seed", [0, 1, 3, 4, 6, 7])  # with 2 and 5 all orders cost the same
def test_of_several_orders_the_cheapest_is_taken(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each order brings every node's causes together before the node is summed."""
    random = Random(seed)
    causes = tuple(tuple(random.sample(range(node), min(node, 4))) for node in range(60))
    sizes = tuple(random.choice([2, 2, 2, 3, 4]) for _ in causes)
    monkeypatch.setattr(orders, "LARGE", 0.0)
    monkeypatch.setattr(orders, "HOPELESS", float("inf"))
    ways = [(orders.MORE, 0), *orders.WAYS]
    begun = orders._begin(causes, sizes)
    tried = [row for more, seed in ways if (row := orders._finished(begun, more, seed))]
    cells = {row.cells for row in tried}
    summing_order.cache_clear()
    taken = summing_order(causes, sizes)
    assert taken is not None
    assert len(cells) > 1, "else there is nothing to choose"
    assert taken in [tuple(row.order) for row in tried if row.cells == min(cells)]
    assert sorted(node for itself, node in taken if itself) == list(range(60))
    for node in range(60):
        if causes[node]:
            assert taken.index((False, node)) < taken.index((True, node))


def ring(size: int) -> list[tuple[int, ...]]:
    return [(one, (one + 1) % size) for one in range(size)]


def grid(rows: int, columns: int) -> list[tuple[int, ...]]:
    at = {(r, c): r * columns + c for r in range(rows) for c in range(columns)}
    return [(at[r, c], at[n]) for r, c in at for n in ((r + 1, c), (r, c + 1)) if n in at]


@pytest.mark.parametrize(
    ("scopes", "width"),
    [
        ([(one, one + 1) for one in range(30)], 1),  # a path
        ([(one // 2, one) for one in range(1, 40)], 1),  # a tree
        ([(one, one + 1, one + 2) for one in range(30)], 2),  # chordal
        (ring(25), 2),
        (grid(3, 12), 3),
        ([(a, b) for a in range(7) for b in range(a)], 6),  # all tied to all
    ],
)
def test_an_order_of_tables_is_as_narrow_as_the_graph_allows(
    scopes: list[tuple[int, ...]], width: int
) -> None:
    """Known treewidths: Bodlaender, Theor. Comput. Sci. 209 (1998); from memory."""
    variables = max(map(max, scopes)) + 1
    cells, order = order_of_tables([2] * variables, scopes, 8, 0.0)
    plan = schedule([2] * variables, scopes, order)
    assert sorted(order) == list(range(variables))
    assert max(len(step.scope) for step in plan.steps) == width + 1
    assert cells == pytest.approx(plan.cells)


@pytest.mark.parametrize("seed", range(6))
def test_an_order_of_tables_is_the_least_dear_of_those_tried(seed: int) -> None:
    random = Random(seed)
    sizes = [random.choice([2, 2, 3, 4]) for _ in range(60)]
    scopes = [tuple(random.sample(range(60), 3)) for _ in range(70)]
    least = [order_of_tables(sizes, scopes, tries, 0.0)[0] for tries in (1, 4, 12)]
    assert least == sorted(least, reverse=True)
    enough, order = order_of_tables(sizes, scopes, 12, float("inf"))
    assert enough == least[0]
    assert schedule(sizes, scopes, order).cells == pytest.approx(enough)


def test_where_everything_is_tied_no_order_is_made() -> None:
    causes = tuple(tuple(other for other in range(60) if other != node) for node in range(60))
    assert summing_order(causes, (2,) * 60) is None


@pytest.mark.parametrize(("nodes", "longest"), [(8, 4), (40, 3), (200, 2)])
def test_in_a_dense_loop_shorter_circles_do(nodes: int, longest: int) -> None:
    out, links = tangle(1, nodes)
    found = layout.short_circles(range(nodes), out, links)
    assert max(len(way) for _, way in found) == longest
