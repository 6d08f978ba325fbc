"""Chains through the causal graph, traced with networkx.

Nodes are condition ids; an edge runs from cause to effect and carries the book's link.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from itertools import islice, pairwise
from typing import Any

import networkx as nx

from headwater.book.records import Book, spread

MAX_CHAINS = 60
MAX_LENGTH = 14

LEAST = 1e-6
"""What a link counts of its own chance that led nowhere in any world drawn."""

Graph = Any


def causal_graph(book: Book) -> Graph:
    """Return the directed graph of all conditions and links; `length` is -log P(link fires)."""
    graph = nx.DiGraph()
    graph.add_nodes_from(book.conditions)
    for ends, link in book.links.items():
        # The small constant settles ties in favour of fewer links.
        graph.add_edge(*ends, length=-math.log(link.often.p) + 1e-6)
    return graph


def narrowed(
    graph: Graph,
    keep: Callable[[str], bool],
    passing: Mapping[tuple[str, str], float] | None = None,
) -> Graph:
    """Return a copy of the part of the graph whose conditions pass a test.

    With `passing`, how likely each link is to have led from end to end, a link is the longer the
    less likely it has.
    """
    kept = dict.fromkeys(node for node in graph if keep(node))
    part = nx.DiGraph()  # built anew: networkx copies a filtered view five times slower
    part.add_nodes_from(kept)
    for cause in kept:
        links = ((effect, d) for effect, d in graph.succ[cause].items() if effect in kept)
        if passing is not None:
            links = ((effect, _led(d, passing.get((cause, effect), 0.0))) for effect, d in links)
        part.add_edges_from((cause, effect, d) for effect, d in links)
    return part


def _led(told: Mapping[str, Any], chance: float) -> dict[str, Any]:
    """Return a link whose length is by what was found, not by its own chance."""
    return {**told, "length": -math.log(max(chance, LEAST * math.exp(-told["length"])))}


def causes_of(graph: Graph, *conditions: str) -> set[str]:
    """Return everything upstream of the conditions, themselves included."""
    return spread((c for c in conditions if c in graph), graph.pred.__getitem__)


def effects_of(graph: Graph, *conditions: str) -> set[str]:
    """Return everything downstream of the conditions, themselves included."""
    return spread((c for c in conditions if c in graph), graph.succ.__getitem__)


def between(graph: Graph, origins: Iterable[str], found: str) -> set[str]:
    """Return the conditions on any path from one of the origins to what was found."""
    return effects_of(graph, *origins) & causes_of(graph, found)


def likeliest_chains(graph: Graph, found: str) -> dict[str, tuple[str, ...]]:
    """Return, for each condition upstream, the path to `found` that most probably fires."""
    if found not in graph:
        return {}
    backwards = graph.reverse(copy=False)
    paths = nx.single_source_dijkstra_path(backwards, found, weight="length")
    return {origin: tuple(reversed(path)) for origin, path in paths.items()}


def chance_of(graph: Graph, path: tuple[str, ...]) -> float:
    """Return the probability that every link of a path fires."""
    return math.exp(-sum(graph.edges[ends]["length"] for ends in pairwise(path)))


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
    if "order" not in graph.graph:  # a graph does not change once it is made
        graph.graph["order"] = _whole_order(graph)
    return [node for node in graph.graph["order"] if node in wanted]


def _whole_order(graph: Graph) -> list[str]:
    place = {node: index for index, node in enumerate(graph)}
    whole = nx.condensation(graph)
    members = {c: sorted(whole.nodes[c]["members"], key=place.__getitem__) for c in whole}
    first = {c: min(place[node] for node in inside) for c, inside in members.items()}
    ranked = nx.lexicographical_topological_sort(whole, key=first.__getitem__)
    return [node for c in ranked for node in members[c]]
