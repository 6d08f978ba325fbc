"""Trees: which paths they hold, how they read in the terminal, and how they are laid out."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from report.conftest import Judge

from headwater.book.records import Book, for_family
from headwater.graph.causal import causal_graph, causes_of
from headwater.render.line import wrapped
from headwater.render.treetext import tree_lines, tree_text
from headwater.report.svg import WIDTH, svg_file, text_width, wrap
from headwater.verdict.naming import Naming
from headwater.view.tree import Direction, Node, Tree, Wording, book_tree, case_trees, grow

SVG_TEXT = "{http://www.w3.org/2000/svg}text"


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


def test_how_a_branching_tree_reads() -> None:
    root = grow(("r",), [("r", "a", "b"), ("r", "c"), ("r", "a", "d")], plain)
    assert (
        tree_text(Tree("t", Direction.DOWN, Naming.PROVEN, root))
        == "■ r\n├► c\n└► a\n   ├► b\n   └► d"
    )
    assert (
        tree_text(Tree("t", Direction.BACK, Naming.OPEN, root))
        == "■ r\n├◄ c\n└◄ a\n   ├◄ b\n   └◄ d"
    )


def test_a_chain_runs_straight_down() -> None:
    root = grow(("r",), [("r", "a", "b")], plain)
    assert tree_text(Tree("t", Direction.DOWN, Naming.PROVEN, root)) == "■ r\n▼ a\n▼ b"


def test_no_row_of_a_tree_is_wider_than_the_screen(book: Book) -> None:
    narrow = for_family(book, {})
    tree = book_tree(narrow, causal_graph(narrow), "range-fork-pads-burnt")
    rows = [row for line in tree_lines(tree) for row in wrapped(line, 80)]
    assert len(rows) > 60
    assert max(map(len, rows)) <= 80


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


def test_a_named_tree_ends_in_all_that_was_found(judge: Judge) -> None:
    found = judge("settled").verdict
    (tree,) = case_trees(found, Wording(found.book))
    assert tree.naming is Naming.PROVEN
    assert sorted(paths_of(tree.root)) == [
        ("bore-worn", "shaft-tilts", "rotor-scored"),
        ("bore-worn", "shaft-tilts", "seal-leaks"),
    ]


@given(st.sets(st.text("abcd", min_size=1, max_size=5), min_size=1, max_size=8), st.booleans())
def test_causes_stand_above_what_they_cause(tails: set[str], down: bool) -> None:
    def node(path: tuple[str, ...], branches: tuple[Node, ...]) -> Node:
        return Node("".join(path), f"n-{''.join(path)}", how="so it is", branches=branches)

    root = grow(("r",), [("r", *tail) for tail in tails], node)
    way = Direction.DOWN if down else Direction.BACK
    drawn = ET.fromstring(svg_file(Tree("t", way, Naming.PROVEN, root)).encode())
    height = {t.text: float(t.attrib["y"]) for t in drawn.iter(SVG_TEXT)}
    for before in root.walk():
        for after in before.branches:
            cause, effect = (before, after) if down else (after, before)
            assert height[cause.text] < height[effect.text]


@given(st.text(max_size=200), st.floats(60, 300))
def test_wrapped_text_fits_and_is_whole(text: str, room: float) -> None:
    lines = wrap(text, room, 13)
    assert all(text_width(line, 13) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == "".join(wrap(text, 1e9, 13)).replace(" ", "")


def test_a_drawing_is_as_wide_as_a_narrow_screen(judge: Judge) -> None:
    found = judge("open").verdict
    for tree in case_trees(found, Wording(found.book)):
        root = ET.fromstring(svg_file(tree).encode())
        assert float(root.attrib["width"]) == WIDTH <= 360
        sizes = {float(t.attrib["font-size"]) for t in root.iter() if "font-size" in t.attrib}
        assert min(sizes) >= 11
