"""What may lead to a condition, and what it may lead to: the book alone, without a case."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.records import Book, for_family
from headwater.graph.causal import Graph, causal_graph, causes_of, chains_between, loops
from headwater.view.paper import Drawing, Paper, Section, listed, say
from headwater.view.tree import Tree, book_tree
from headwater.view.words import part_title, title

CHAINS_AN_ORIGIN = 4


@dataclass(frozen=True, slots=True)
class Tracing:
    """A condition of a book."""

    book: Book
    condition: str

    @property
    def narrowed(self) -> Book:
        """The book for a unit of which nothing is known."""
        return for_family(self.book, {})

    @property
    def graph(self) -> Graph:
        """Its causal graph."""
        return causal_graph(self.narrowed)


@dataclass(frozen=True, slots=True)
class TraceView:
    """The chains through a condition, its effects, and the loops it is part of."""

    condition: str
    title: str
    chains: tuple[tuple[str, ...], ...]
    effects: tuple[str, ...]
    loops: tuple[tuple[str, ...], ...]


def trace_view(tracing: Tracing) -> TraceView:
    """Return the trace as a record."""
    book, graph, condition = tracing.book, tracing.graph, tracing.condition
    origins = sorted(c for c in causes_of(graph, condition) if c in book.origins)
    return TraceView(
        condition,
        title(book, condition),
        tuple(
            path
            for origin in origins
            for path in chains_between(graph, origin, condition, CHAINS_AN_ORIGIN)
        ),
        tuple(effect for cause, effect in book.links if cause == condition),
        tuple(loop for loop in loops(graph) if condition in loop),
    )


def trace_tree(tracing: Tracing) -> Tree:
    """Return all that may lead to the condition, as a tree."""
    return book_tree(tracing.narrowed, tracing.graph, tracing.condition, loops=True)


def trace_paper(tracing: Tracing) -> Paper:
    """Return the trace as a paper."""
    record = tracing.book.conditions[tracing.condition]
    where = f" ({part_title(tracing.book, str(record.part))})" if record.part else ""
    looks = (say(record.looks),) if record.looks else ()
    return Paper(f"{record.title}{where}", looks, tuple(_sections(tracing)))


def _sections(tracing: Tracing) -> Iterator[Section]:
    book, condition = tracing.narrowed, tracing.condition
    tree = trace_tree(tracing)
    origins = sum(node.origin for node in tree.root.walk())
    heading = f"What it may come from: {origins} origins, each by its likeliest way"
    yield Section("", (Drawing(Tree(heading, tree.way, tree.naming, tree.root)),))
    links = [link for ends, link in book.links.items() if ends[0] == condition]
    rows = [f"{title(book, x.effect)} ({x.often.word}): {x.how}" for x in links]
    yield Section("What it may lead to", (listed(rows) if rows else say("nothing in the book"),))
    for loop in loops(tracing.graph):
        if condition in loop:
            names = "; ".join(title(book, c) for c in loop)
            heading = "It is part of a loop, which some origin must enter:"
            yield Section(heading, (say(names),))
