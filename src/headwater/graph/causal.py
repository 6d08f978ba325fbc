"""Chains through the causal graph, traced with networkx.

Nodes are condition ids; an edge runs from cause to effect and carries the book's link.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable
from itertools import islice
from typing import Any

import networkx as nx

from headwater.book.load import Book

MAX_CHAINS = 60
MAX_LENGTH = 14

Graph = Any


def causal_graph(book: Book) -> Graph:
    """Return the directed graph of all conditions and links of a book."""
    graph = nx.DiGraph()
    graph.add_nodes_from(book.conditions)
    graph.add_edges_from(book.links)
    return graph


def narrowed(graph: Graph, keep: Callable[[str], bool]) -> Graph:
    """Return the part of the graph whose conditions pass a test."""
    return graph.subgraph([node for node in graph if keep(node)])


def causes_of(graph: Graph, condition: str) -> set[str]:
    """Return everything upstream of a condition, without itself."""
    return set(nx.ancestors(graph, condition)) if condition in graph else set()


def effects_of(graph: Graph, condition: str) -> set[str]:
    """Return everything downstream of a condition, without itself."""
    return set(nx.descendants(graph, condition)) if condition in graph else set()


def chains_between(
    graph: Graph, origin: str, found: str, limit: int = MAX_CHAINS
) -> list[tuple[str, ...]]:
    """Return the simple paths from an origin to a finding, shortest first, `limit` at most."""
    if origin not in graph or found not in graph:
        return []
    if origin == found:
        return [(origin,)]
    try:
        paths = nx.shortest_simple_paths(graph, origin, found)
        return [tuple(p) for p in islice(paths, limit) if len(p) <= MAX_LENGTH]
    except nx.NetworkXNoPath:
        return []


def shortest_chain(graph: Graph, origin: str, found: str) -> tuple[str, ...] | None:
    """Return a shortest path from an origin to a finding, or None."""
    try:
        return tuple(nx.shortest_path(graph, origin, found))
    except (nx.NetworkXNoPath, nx.NodeNotFound):
        return None


def loops(graph: Graph) -> list[tuple[str, ...]]:
    """Return the loops: sets of conditions that all lead to one another, in the graph's order."""
    order = {node: index for index, node in enumerate(graph)}
    found = [c for c in nx.strongly_connected_components(graph) if len(c) > 1]
    found += [{node} for node in graph if graph.has_edge(node, node)]
    ordered = [tuple(sorted(members, key=order.__getitem__)) for members in found]
    return sorted(ordered, key=lambda members: order[members[0]])


def entrances(graph: Graph, loop: Collection[str]) -> list[tuple[str, str]]:
    """Return the links that enter a loop from outside, as (cause, member)."""
    inside = set(loop)
    return [(c, e) for c, e in graph.edges if e in inside and c not in inside]


def causal_order(graph: Graph, conditions: Iterable[str]) -> list[str]:
    """Return conditions so that causes come before effects; a loop's members stay together."""
    wanted = set(conditions)
    order = {node: index for index, node in enumerate(graph)}
    whole = nx.condensation(graph)
    ranked: list[str] = []
    for component in nx.lexicographical_topological_sort(
        whole, key=lambda c: min(order[n] for n in whole.nodes[c]["members"])
    ):
        members = sorted(whole.nodes[component]["members"], key=order.__getitem__)
        ranked += [node for node in members if node in wanted]
    return ranked


def likeliest_chain(
    book: Book, graph: Graph, origin: str, found: str
) -> tuple[str, ...] | None:
    """Return the path on which all links fire most probably, or None; ties go to fewer links."""

    def length(cause: str, effect: str, _data: Any) -> float:
        return -math.log(book.links[cause, effect].often.p) + 1e-6

    try:
        return tuple(nx.dijkstra_path(graph, origin, found, weight=length))
    except (nx.NetworkXNoPath, nx.NodeNotFound):
        return None
