"""How trees are drawn: as rows of text, and laid out as a stream."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from render.conftest import Judge
from view.test_tree import plain

from headwater.book.records import Book, for_family
from headwater.graph.causal import causal_graph
from headwater.render.lettering import Face, text_width, wrap
from headwater.render.line import Line, wrapped
from headwater.render.stream import stream
from headwater.render.svg import NARROW, WIDE, svg_file
from headwater.render.treetext import tree_lines, tree_text
from headwater.verdict.account import Naming
from headwater.view.tree import (
    Direction,
    Node,
    Seen,
    Tag,
    Tree,
    Wording,
    book_tree,
    case_trees,
    grow,
)

SVG = "{http://www.w3.org/2000/svg}"
SVG_TEXT = f"{SVG}text"
PRINTED_PT = 0.75
"""A unit of a wide drawing prints as a CSS pixel: 1/96 inch, 0.75 point."""


def drawn(tree: Tree, width: float = WIDE) -> ET.Element:
    return ET.fromstring(svg_file(tree, width=width).encode())


def texts(tree: Tree) -> dict[str, float]:
    """Return the texts of a drawing and how far down each stands."""
    return {str(t.text): float(t.attrib["y"]) for t in drawn(tree).iter(SVG_TEXT)}


# --- rows of text -----------------------------------------------------------------------------


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


def test_a_terminal_obeys_no_text() -> None:
    assert wrapped(Line("a\x1b[2Jb \x9b31m \u202ec"), 80) == ["a\ufffd[2Jb \ufffd31m \ufffdc"]
    tree = Tree("t", Direction.DOWN, Naming.OPEN, Node("a", "a\x07\nb", mark="\x1bc\u2028d"))
    assert tree_text(tree) == "■ a\ufffd b [\ufffdc d]"


# --- the stream -------------------------------------------------------------------------------


@given(st.sets(st.text("abcd", min_size=1, max_size=5), min_size=1, max_size=8), st.booleans())
def test_causes_stand_above_what_they_cause(tails: set[str], down: bool) -> None:
    def node(path: tuple[str, ...], branches: tuple[Node, ...]) -> Node:
        return Node("".join(path), f"n-{''.join(path)}", how="so it is", branches=branches)

    root = grow(("r",), [("r", *tail) for tail in tails], node)
    way = Direction.DOWN if down else Direction.BACK
    height = texts(Tree("t", way, Naming.PROVEN, root))
    for before in root.walk():
        for after in before.branches:
            cause, effect = (before, after) if down else (after, before)
            assert height[cause.text] < height[effect.text]


TAILS = st.sets(st.lists(st.sampled_from("abcdef"), min_size=1, unique=True).map(tuple), min_size=1)
"""Ways through six conditions that repeat them, also in the opposite order."""


@given(TAILS, st.booleans())
def test_each_condition_and_each_link_is_drawn_once(
    tails: set[tuple[str, ...]], down: bool
) -> None:
    root = grow(("r",), [("r", *tail) for tail in tails], plain)
    laid = stream(Tree("t", Direction.DOWN if down else Direction.BACK, Naming.OPEN, root))
    shown = [row.node.condition for row in laid.rows]
    assert sorted(shown) == sorted({node.condition for node in root.walk()})
    links = [(row.node.condition, to) for row in laid.rows for to, _ in row.joins]
    back = [(loop.cause, loop.effect) for loop in laid.loops]
    back = [(b, a) if down else (a, b) for a, b in back]
    wanted = {(a.condition, b.condition) for b in root.walk() for a in b.branches}
    assert sorted([*links, *back]) == sorted(wanted)
    place = {cid: index for index, cid in enumerate(shown)}
    assert all((place[a] > place[b]) == down for a, b in links)


@given(TAILS, st.booleans())
def test_no_water_runs_through_words_or_other_water(
    tails: set[tuple[str, ...]], down: bool
) -> None:
    root = grow(("r",), [("r", *tail) for tail in tails], plain)
    laid = stream(Tree("t", Direction.DOWN if down else Direction.BACK, Naming.OPEN, root))
    rows = {row.node.condition: row for row in laid.rows}
    place = {cid: index for index, cid in enumerate(rows)}
    used: dict[int, list[tuple[int, int]]] = {}
    for cid, row in rows.items():
        for to, first in row.joins:
            top, bottom = sorted((place[cid], place[to]))
            if first:
                used.setdefault(rows[to].column, []).append((top, bottom))
            assert all(other.inset >= rows[to].column for other in laid.rows[top : bottom + 1]), (
                "words stand right of it"
            )
    for column, spans in used.items():
        spans.sort()
        assert all(a[1] <= b[0] for a, b in pairwise(spans))
        inside = [r for t, b in spans for r in laid.rows[t + 1 : b] if r.column == column]
        assert inside == []


def test_a_shared_tail_is_drawn_once() -> None:
    root = grow(("o",), [("o", "a", "c", "d"), ("o", "b", "c", "d")], plain)
    written = list(drawn(Tree("t", Direction.DOWN, Naming.PROVEN, root)).iter(SVG_TEXT))
    assert [t.text for t in written].count("d") == 1


def test_what_leads_back_up_is_a_loop_with_its_sign() -> None:
    root = grow(("o",), [("o", "a", "b")], plain)
    open_end = Tree("t", Direction.DOWN, Naming.PROVEN, root)
    closed = Tree("t", Direction.DOWN, Naming.PROVEN, root, closing=(("b", "a"),))
    (loop,) = stream(closed).loops
    assert (loop.cause, loop.effect) == ("b", "a")
    assert "back up: a loop" in texts(closed)
    assert "back up: a loop" not in texts(open_end)
    paths = [len(list(drawn(tree).iter(f"{SVG}path"))) for tree in (open_end, closed)]
    assert paths[1] == paths[0] + 3, "a line, its point, and the sample in the legend"


def test_the_likeliest_branch_stands_first_and_runs_straight_on() -> None:
    def node(path: tuple[str, ...], branches: tuple[Node, ...]) -> Node:
        share = {"a": 0.1, "b": 0.7, "c": 0.2}.get(path[-1], 0.0)
        return Node(path[-1], path[-1], branches=branches, share=share)

    root = grow(("r",), [("r", "x", "a"), ("r", "b"), ("r", "c")], node)
    laid = stream(Tree("t", Direction.BACK, Naming.OPEN, root))
    assert [row.node.condition for row in laid.rows] == ["b", "c", "a", "x", "r"]
    assert [row.column for row in laid.rows] == [0, 1, 1, 1, 0]


def shapes(tree: Tree) -> dict[str, list[tuple[str, ...]]]:
    """Return the shapes of a drawing without their colours: its rings and its lines."""
    kept = ("r", "stroke-width", "stroke-dasharray")
    return {
        kind: [tuple(str(e.get(key)) for key in kept) for e in drawn(tree).iter(f"{SVG}{kind}")]
        for kind in ("circle", "path")
    }


def test_what_is_known_differs_in_shape() -> None:
    """The first shapes are those of the tree itself; those of the legend come after."""
    rings = []
    for seen in Seen:
        node = Node("a", "a", seen=seen)
        origin = Node("a", "a", seen=seen, origin=True)
        plain_ring, *_ = shapes(Tree("t", Direction.DOWN, Naming.OPEN, node))["circle"]
        round_it, inside, *_ = shapes(Tree("t", Direction.DOWN, Naming.OPEN, origin))["circle"]
        assert inside == plain_ring != round_it
        rings.append(plain_ring)
    assert len(set(rings)) == len(Seen)
    root = grow(("o",), [("o", "a")], plain)
    lines = [shapes(Tree("t", Direction.DOWN, naming, root))["path"][:2] for naming in Naming]
    assert len({tuple(line) for line in lines}) == len(Naming)


# --- its words --------------------------------------------------------------------------------


@given(st.text(max_size=200), st.floats(60, 300))
def test_wrapped_text_fits_and_is_whole(text: str, room: float) -> None:
    face = Face(13, "ink")
    lines = wrap(text, room, face)
    assert all(text_width(line, face) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == "".join(wrap(text, 1e9, face)).replace(" ", "")


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_a_drawing_is_as_wide_as_it_is_told(width: float, judge: Judge) -> None:
    found = judge("open").verdict
    for tree in case_trees(found, Wording(found.book)):
        root = drawn(tree, width)
        assert float(root.attrib["width"]) == width
        sizes = {float(t.attrib["font-size"]) for t in root.iter(SVG_TEXT)}
        assert min(sizes) * PRINTED_PT >= 9
        for text in root.iter(SVG_TEXT):
            face = Face(float(text.attrib["font-size"]), "ink", "font-weight" in text.attrib)
            wide = text_width(str(text.text), face)
            assert float(text.attrib["x"]) + wide <= width


def test_a_wide_drawing_uses_its_width(book: Book) -> None:
    narrow = for_family(book, {})
    tree = book_tree(narrow, causal_graph(narrow), "range-fork-pads-burnt")
    heights = [float(drawn(tree, width).attrib["height"]) for width in (NARROW, WIDE)]
    assert heights[1] < 0.6 * heights[0]


def test_the_legend_tells_the_signs_that_are_used() -> None:
    held = Node("a", "a", origin=True, tags=(Tag("HELD: b", True),))
    told = texts(Tree("t", Direction.DOWN, Naming.OPEN, held))
    assert {"origin", "barred: nothing is done yet"} <= set(told)
    assert set(texts(Tree("t", Direction.DOWN, Naming.OPEN, Node("a", "a")))) == {"a"}
