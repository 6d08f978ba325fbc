"""Trees: which paths they hold, what is likeliest in them, and where they close into a loop."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest
from graph.test_causal import vicious_circle
from hypothesis import given
from hypothesis import strategies as st
from render.conftest import CASES, judged

from headwater import outputs
from headwater.book.records import Book, for_family
from headwater.graph.causal import Graph, causal_graph, causes_of, likeliest_chains
from headwater.verdict import live
from headwater.verdict.account import Naming
from headwater.view.shop import Reporting
from headwater.view.tree import Node, Wording, book_tree, case_trees, grow, shown_chains


def plain(path: tuple[str, ...], branches: tuple[Node, ...]) -> Node:
    return Node(path[-1], path[-1], branches=branches)


def paths_of(node: Node, before: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    path = (*before, node.condition)
    if not node.branches:
        return [path]
    return [p for branch in node.branches for p in paths_of(branch, path)]


@given(st.sets(st.text("abc", max_size=4), max_size=8))
def test_a_tree_holds_its_paths_and_nothing_else(tails: set[str]) -> None:
    paths = {("r", *tail) for tail in tails}
    grown = set(paths_of(grow(("r",), paths, plain)))
    longest = {p for p in paths if not any(o != p and o[: len(p)] == p for o in paths)}
    assert grown == (longest or {("r",)})


def test_a_trace_shows_each_origin_upstream_once(book: Book) -> None:
    narrow = for_family(book, {})
    graph = causal_graph(narrow)
    tree = book_tree(narrow, graph, "range-fork-pads-burnt")
    shown = [node.condition for node in tree.root.walk()]
    upstream = causes_of(graph, "range-fork-pads-burnt")
    assert len(shown) == len(set(shown))
    assert {c for c in shown if c in narrow.origins} == upstream & set(narrow.origins)
    for path in paths_of(tree.root):
        assert all((cause, effect) in narrow.links for effect, cause in pairwise(path))


def test_a_trace_closes_its_loops(book: Book) -> None:
    narrow = for_family(book, {})
    tree = book_tree(narrow, causal_graph(narrow), "range-fork-pads-burnt")
    ways = [path for node in tree.root.walk() for path in paths_of(node)]
    upstream = {(path[0], cid) for path in ways for cid in path[1:]}
    wanted = {ends for ends in narrow.links if ends in upstream}
    assert set(tree.closing) == wanted != set()


def test_what_keeps_itself_going_is_a_loop() -> None:
    book = vicious_circle()
    graph = causal_graph(book)
    assert book_tree(book, graph, "alone").closing == (("alone", "alone"),)
    assert book_tree(book, graph, "a").closing == (), "no origin comes by way of b"
    whole = book_tree(book, graph, "a", loops=True)
    assert sorted(paths_of(whole.root)) == [("a", "c", "b"), ("a", "c", "o2"), ("a", "o1")]
    assert whole.closing == (("a", "b"),)


def test_a_named_tree_ends_in_all_that_was_found() -> None:
    found = judged(CASES["settled"]).verdict
    (tree,) = case_trees(found, Wording(found.book))
    assert tree.naming is Naming.PROVEN
    assert tree.closing == ()
    assert sorted(paths_of(tree.root)) == [
        ("bore-worn", "shaft-tilts", "rotor-scored"),
        ("bore-worn", "shaft-tilts", "seal-leaks"),
    ]


def test_an_open_tree_tells_how_likely_each_origin_is() -> None:
    found = judged(CASES["open"]).verdict
    trees = case_trees(found, Wording(found.book))
    assert trees
    for tree in trees:
        shares = {c.origin: c.share for c in found.accounts[tree.root.condition].candidates}
        told = {node.condition: node.share for node in tree.root.walk() if node.origin}
        assert told == {origin: shares[origin] for origin in told}
        assert told
        assert all(0 < share <= 1 for share in told.values()), "two may be behind one finding"


def test_chains_may_be_computed_once() -> None:
    found = judged(CASES["two-origins"]).verdict
    words = Wording(found.book)
    assert case_trees(found, words, shown_chains(found)) == case_trees(found, words)
    assert case_trees(found, words, []) == [], "no others are looked for"


@pytest.mark.parametrize("name", ["shop-report", "customer-report"])
def test_the_chains_of_a_page_are_looked_for_once(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []

    def counted(graph: Graph, found: str) -> dict[str, tuple[str, ...]]:
        looked.append(found)
        return likeliest_chains(graph, found)

    monkeypatch.setattr(live, "likeliest_chains", counted)
    session = judged(CASES["open"])
    outputs.html_text(name, Reporting(session, date(2026, 1, 1)))
    assert looked == [a.condition for a in session.verdict.accounts.values() if not a.named]
    assert looked
