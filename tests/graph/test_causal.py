"""Chains, loops and their entrances, against enumeration by hand and by brute force."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import prod

import pytest
from draws import draws
from hypothesis import given, settings
from strategies import books, condition, make_book

from headwater.book.records import Book
from headwater.graph.causal import (
    MAX_LENGTH,
    between,
    causal_graph,
    causal_order,
    causes_of,
    chains_between,
    chance_of,
    effects_of,
    entrances,
    likeliest_chains,
    loops,
    narrowed,
)


def simple_paths(book: Book, start: str, end: str) -> set[tuple[str, ...]]:
    """Return every path without a repeat, by walking them all."""

    def walk(path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        if path[-1] == end:
            yield path
            return
        for cause, effect in book.links:
            if cause == path[-1] and effect not in path:
                yield from walk((*path, effect))

    return set(walk((start,)))


def chance(book: Book, path: tuple[str, ...]) -> float:
    return prod(book.links[ends].often.p for ends in pairwise(path))


@settings(max_examples=draws(80), deadline=None)
@given(books())
def test_chains_are_all_the_simple_paths_shortest_first(book: Book) -> None:
    graph = causal_graph(book)
    for start in book.origins:
        for end in book.conditions:
            found = chains_between(graph, start, end)
            assert set(found) == simple_paths(book, start, end)
            assert [len(path) for path in found] == sorted(len(path) for path in found)


@settings(max_examples=draws(80), deadline=None)
@given(books())
def test_the_likeliest_chain_is_the_likeliest_of_all(book: Book) -> None:
    graph = causal_graph(book)
    for end in book.conditions:
        best = likeliest_chains(graph, end)
        for start in book.conditions:
            paths = simple_paths(book, start, end)
            assert (start in best) == bool(paths)
            if paths:
                top = max(chance(book, path) for path in paths)
                assert best[start] in paths
                assert chance(book, best[start]) == pytest.approx(top, rel=1e-4)
                assert chance_of(graph, best[start]) == pytest.approx(top, rel=1e-4)


@settings(max_examples=draws(80), deadline=None)
@given(books())
def test_upstream_downstream_and_between(book: Book) -> None:
    graph = causal_graph(book)
    for end in book.conditions:
        up = {c for c in book.conditions if simple_paths(book, c, end)}
        assert causes_of(graph, end) == up
        for start in book.origins:
            down = {c for c in book.conditions if simple_paths(book, start, c)}
            assert effects_of(graph, start) == down
            assert between(graph, [start], end) == up & down


@settings(max_examples=draws(80), deadline=None)
@given(books())
def test_loops_are_what_leads_to_each_other(book: Book) -> None:
    graph = causal_graph(book)
    members = {cid: loop for loop in loops(graph) for cid in loop}
    assert len(members) == sum(len(loop) for loop in loops(graph))
    for one in book.conditions:
        for other in book.conditions:
            around = bool(simple_paths(book, one, other)) and bool(simple_paths(book, other, one))
            if one != other:
                assert around == (one in members and other in members.get(one, ()))
    for loop in loops(graph):
        ways_in = {(c, e) for c, e in book.links if e in loop and c not in loop}
        assert set(entrances(graph, loop)) == ways_in


@settings(max_examples=draws(80), deadline=None)
@given(books())
def test_causes_come_before_effects_outside_loops(book: Book) -> None:
    graph = causal_graph(book)
    order = causal_order(graph, book.conditions)
    assert sorted(order) == sorted(book.conditions)
    around = [set(loop) for loop in loops(graph)]
    for cause, effect in book.links:
        if not any({cause, effect} <= loop for loop in around):
            assert order.index(cause) < order.index(effect)
    for loop in around:
        places = sorted(order.index(c) for c in loop)
        assert places == list(range(places[0], places[0] + len(places)))


def vicious_circle() -> Book:
    """Return a -> b -> c -> a, entered by two origins, with one thing that starves itself."""
    return make_book(
        [condition("o1", origin=True), condition("o2", origin=True)]
        + [condition(c) for c in ("a", "b", "c", "alone")],
        {
            ("o1", "a"): "usually",
            ("o2", "c"): "rarely",
            ("a", "b"): "always",
            ("b", "c"): "usually",
            ("c", "a"): "sometimes",
            ("alone", "alone"): "usually",
        },
        [],
    )


def test_a_loop_and_its_two_entrances() -> None:
    graph = causal_graph(vicious_circle())
    assert loops(graph) == [("a", "b", "c"), ("alone",)]
    assert set(entrances(graph, ("a", "b", "c"))) == {("o1", "a"), ("o2", "c")}
    assert chains_between(graph, "o2", "b") == [("o2", "c", "a", "b")]
    assert likeliest_chains(graph, "b")["o1"] == ("o1", "a", "b")


def test_what_is_not_there_has_no_chain() -> None:
    graph = causal_graph(vicious_circle())
    assert likeliest_chains(graph, "nowhere") == {}
    assert chains_between(graph, "o1", "nowhere") == []
    assert chains_between(graph, "nowhere", "a") == []
    assert chains_between(graph, "a", "o1") == []
    assert chains_between(graph, "o1", "o1") == [("o1",)]
    assert causes_of(graph, "nowhere") == set()


def test_limits_keep_the_trace_short() -> None:
    graph = causal_graph(vicious_circle())
    assert chains_between(graph, "o1", "b", limit=0) == []
    ids = [f"c{i}" for i in range(MAX_LENGTH + 1)]
    row = make_book(
        [condition(c, origin=True) for c in ids], dict.fromkeys(pairwise(ids), "always"), []
    )
    assert chains_between(causal_graph(row), ids[0], ids[-1]) == []
    assert len(chains_between(causal_graph(row), ids[1], ids[-1])) == 1


def test_narrowing_leaves_the_whole_graph_alone() -> None:
    graph = causal_graph(vicious_circle())
    small = narrowed(graph, lambda c: c != "c")
    assert loops(small) == [("alone",)]
    assert causes_of(small, "b") == {"a", "b", "o1"}
    assert causes_of(graph, "b") == {"a", "b", "c", "o1", "o2"}
