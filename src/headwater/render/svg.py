"""Draws a tree as SVG: a stream that runs from its source down to the damage.

Causes always stand above what they cause. Side streams leave or join at the right; what leads back
up runs at the left. What is known is told by word and shape, never by colour alone: a mark with a
ring round it is an origin, a full disc was found, an empty ring was not seen, a dotted ring cannot
be seen. A proven stream is a thick line, a probable one two thin lines, an open one is dashed. A
held part stands behind a barred band. A legend at the foot says so for every sign that is used.

A drawing is made for a width: `WIDE` for pages and paper, where one unit prints as a pixel and the
smallest letters as 9 pt; `NARROW` keeps its letters readable on a small screen. Text is wrapped by
estimated letter widths. It holds no script, no link and no style sheet.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass

from headwater.render.clean import clean
from headwater.render.lettering import text_width, wrap
from headwater.render.look import DEEP, FAINT, INK, MARK, PAPER, RULE, RUST, SAND
from headwater.render.stream import Row, Stream, stream
from headwater.verdict.naming import Naming
from headwater.view.tree import Direction, Node, Seen, Tag, Tree

WIDE, NARROW = 680.0, 340.0
MARKS_BESIDE = 560.0
"""From this width on, what is known of a condition stands beside it, not beneath."""

EDGE = 16.0
COLUMN = 20.0
TEXT_GAP = 16.0
LANE = 10.0
MOST_MARKS = 230.0
TITLE, SMALL = 13.5, 12.0
LEADING = 1.3
ROW = 14.0
DOT = 6.0


@dataclass(frozen=True, slots=True)
class Card:
    """A row in its place, its words in lines; `x`, `y` is its mark, `left` where its text begins.

    Its marks begin at `beside`; 0 is beneath. `top` is where its titles begin, `bottom` where the
    next card may.
    """

    row: Row
    x: float
    y: float
    left: float
    beside: float
    top: float
    bottom: float
    hows: list[str]
    titles: list[str]
    marks: list[str]
    tags: list[tuple[Tag, list[str]]]


class _Pen:
    """Writes elements of one drawing."""

    def __init__(self, name: str, label: str, width: float) -> None:
        self.name = name
        self.width = width
        self.svg = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img"})
        self.svg.set("aria-labelledby", f"{name}-title")
        self.svg.set("font-family", "sans-serif")
        self.put("title", id=f"{name}-title").text = clean(label)
        bars = ET.SubElement(
            self.put("defs"),
            "pattern",
            {"id": f"{name}-bars", "width": "7", "height": "7"}
            | {"patternUnits": "userSpaceOnUse", "patternTransform": "rotate(45)"},
        )
        ET.SubElement(bars, "rect", {"width": "7", "height": "7", "fill": PAPER})
        ET.SubElement(bars, "rect", {"width": "3", "height": "7", "fill": RUST})
        self.ground = self.put("rect", width=width, fill=PAPER)

    def put(self, tag: str, **attributes: str | float) -> ET.Element:
        """Add an element; `_` in a name of an attribute stands for `-`."""
        shown = {
            key.replace("_", "-"): value if isinstance(value, str) else f"{round(value, 1):g}"
            for key, value in attributes.items()
        }
        return ET.SubElement(self.svg, tag, shown)

    def path(self, d: str, stroke: str, wide: float, **more: str) -> None:
        """Add a line."""
        self.put("path", d=d, fill="none", stroke=stroke, stroke_width=wide, **more)

    def lines(
        self, x: float, top: float, lines: list[str], ink: str, size: float, bold: bool = False
    ) -> float:
        """Add lines of text and return where they end."""
        weight = {"font_weight": "bold"} if bold else {}
        for index, line in enumerate(lines):
            y = top + size * (0.98 + index * LEADING)
            self.put("text", x=x, y=y, font_size=size, fill=ink, **weight).text = clean(line)
        return top + len(lines) * size * LEADING

    def done(self, height: float) -> str:
        """Return the drawing, so high."""
        for element in (self.svg, self.ground):
            element.set("height", f"{height:.0f}")
        self.svg.set("width", f"{self.width:g}")
        self.svg.set("viewBox", f"0 0 {self.width:g} {height:.0f}")
        ET.indent(self.svg, "")
        return ET.tostring(self.svg, encoding="unicode")


def draw(tree: Tree, name: str = "tree", foot: str = "", width: float = WIDE) -> str:
    """Return a tree as one SVG element; `name` keeps its ids apart from those of other drawings."""
    pen = _Pen(name, tree.heading, width)
    laid = stream(tree)
    cards = _cards(laid, tree.way, width)
    for card in cards.values():
        _joins(pen, card, cards, tree)
    for loop in laid.loops:
        _loop(pen, cards[loop.cause], cards[loop.effect], _first(laid) - 12.0 - loop.lane * LANE)
    for card in cards.values():
        _station(pen, card, tree.way)
    height = _legend(pen, max(card.bottom for card in cards.values()) + 4, laid, tree)
    if foot:
        lines = wrap(foot, width - 16, SMALL)
        height = pen.lines(8, height + 8, lines, FAINT, SMALL) + 8
    return pen.done(height)


def svg_file(tree: Tree, foot: str = "", width: float = WIDE) -> str:
    """Return a drawing as a file of its own."""
    drawn = draw(tree, foot=foot, width=width)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{MARK}\n{drawn}\n'


# --- the words of each row, and where they stand --------------------------------------------------


def _cards(laid: Stream, way: Direction, width: float) -> dict[str, Card]:
    """Return the rows by condition, each beneath the one before it."""
    beside = width - _marks_room(laid) if width >= MARKS_BESIDE else 0.0
    cards: dict[str, Card] = {}
    bottom = 6.0
    for row in laid.rows:
        left = _first(laid) + row.inset * COLUMN + TEXT_GAP
        cards[row.node.condition] = card = _card(row, way, (left, beside, width - 6.0), bottom)
        bottom = card.bottom
    return cards


def _first(laid: Stream) -> float:
    """Return where the first column runs: right of the loops."""
    return EDGE + LANE * max((loop.lane + 1 for loop in laid.loops), default=0)


def _marks_room(laid: Stream) -> float:
    widest = max(text_width(row.node.mark, SMALL) for row in laid.rows)
    return min(widest + 8.0, MOST_MARKS)


def _card(row: Row, way: Direction, across: tuple[float, float, float], start: float) -> Card:
    """Return a row in its place; `across` are where text begins, marks begin (0: beneath), ends."""
    node = row.node
    left, beside, end = across
    room = end - left
    titles = wrap(node.text, beside - 12.0 - left if beside else room, TITLE, bold=True)
    marks = wrap(node.mark, end - beside if beside else room, SMALL)
    hows = [line for how in row.hows for line in wrap(how, room, SMALL)]
    tags = [(tag, wrap(tag.text, room - 26.0, SMALL, bold=True)) for tag in node.tags]
    how_height = len(hows) * SMALL * LEADING + 8.0 if hows else 0.0
    down = way is Direction.DOWN
    top = start + (how_height if down else 0.0)
    words = _words_height(titles, marks, bool(beside))
    bottom = top + words + sum(_tag_height(lines) + 3.0 for _, lines in tags) + ROW
    bottom += 0.0 if down else how_height
    x, y = left - TEXT_GAP - (row.inset - row.column) * COLUMN, top + TITLE * 0.75
    return Card(row, x, y, left, beside, top, bottom, hows, titles, marks, tags)


def _words_height(titles: list[str], marks: list[str], beside: bool) -> float:
    heights = len(titles) * TITLE * LEADING, len(marks) * SMALL * LEADING
    return max(heights) if beside else sum(heights)


def _tag_height(lines: list[str]) -> float:
    return len(lines) * SMALL * LEADING + 9.0


def _station(pen: _Pen, card: Card, way: Direction) -> None:
    """Write the mark and the words of one row."""
    node = card.row.node
    _dot(pen, node.seen, node.origin, card.x, card.y)
    y = pen.lines(card.left, card.top, card.titles, INK, TITLE, bold=True)
    if card.beside:
        right = pen.lines(card.beside, card.top + 1.5, card.marks, FAINT, SMALL)
        y = max(y, right - 1.5)
    else:
        y = pen.lines(card.left, y, card.marks, FAINT, SMALL)
    for tag, lines in card.tags:
        y = _tag(pen, tag, lines, card.left, y + 3.0)
    how_height = len(card.hows) * SMALL * LEADING + 8.0
    top = card.top - how_height if way is Direction.DOWN else y + ROW / 2
    pen.lines(card.left, top, card.hows, FAINT, SMALL)


def _tag(pen: _Pen, tag: Tag, lines: list[str], x: float, y: float) -> float:
    tall = _tag_height(lines)
    wide = max(text_width(line, SMALL, bold=True) for line in lines) + 26.0
    edge, ground, ink = (RUST, SAND, RUST) if tag.held else (RULE, PAPER, DEEP)
    line = 2.0 if tag.held else 1.0
    pen.put("rect", x=x, y=y, width=wide, height=tall, fill=ground, stroke=edge, stroke_width=line)
    if tag.held:
        pen.put("rect", x=x, y=y, width=12.0, height=tall, fill=f"url(#{pen.name}-bars)")
    pen.lines(x + (18 if tag.held else 8), y + 3.0, lines, ink, SMALL, bold=True)
    return y + tall


# --- signs ----------------------------------------------------------------------------------------


def _dot(pen: _Pen, seen: Seen, origin: bool, x: float, y: float) -> None:
    spot = {"cx": x, "cy": y}
    if origin:
        pen.put("circle", **spot, r=DOT + 3, fill=PAPER, stroke=DEEP, stroke_width=1.6)
    if seen is Seen.FOUND:
        pen.put("circle", **spot, r=DOT, fill=DEEP)
        return
    dots = {"stroke_dasharray": "2 2"} if seen is Seen.HIDDEN else {}
    pen.put("circle", **spot, r=DOT - 1, fill=PAPER, stroke=INK, stroke_width=1.8, **dots)


def _water(pen: _Pen, path: str, naming: Naming) -> None:
    if naming is Naming.OPEN:
        pen.path(path, FAINT, 2.0, stroke_dasharray="5 4")
        return
    pen.path(path, DEEP, 4.0)
    if naming is Naming.PROBABLE:
        pen.path(path, PAPER, 1.6)


def _point(pen: _Pen, x: float, y: float) -> None:
    pen.put("path", d=f"M{x - 5:g} {y - 6:.1f}h10L{x:g} {y + 2:.1f}z", fill=DEEP)


def _joins(pen: _Pen, card: Card, cards: dict[str, Card], tree: Tree) -> None:
    """Write the water between a row and those that it hangs on to."""
    down = tree.way is Direction.DOWN
    for to, first in card.row.joins:
        other = cards[to]
        upper, lower = (other, card) if down else (card, other)
        x, end = other.x, lower.y - DOT - 3
        if x == card.x:
            _water(pen, f"M{x:g} {upper.y:.1f}V{end:.1f}", tree.naming)
            _point(pen, x, end - 1)
            continue
        side = 1 if card.x > x else -1
        bank, y = card.x - side * DOT, card.y
        if down:
            start = other.y if first else y - 12
            path = (
                f"M{x:g} {start:.1f}V{y - 12:.1f}Q{x:g} {y:.1f} {x + side * 10:g} {y:.1f}H{bank:g}"
            )
        else:
            tail = f"V{end:.1f}" if first else ""
            path = f"M{bank:g} {y:.1f}H{x + side * 10:g}Q{x:g} {y:.1f} {x:g} {y + 12:.1f}{tail}"
        _water(pen, path, tree.naming)
        if first and not down:
            _point(pen, x, end - 1)


def _loop(pen: _Pen, cause: Card, effect: Card, x: float) -> None:
    """Write a link that leads back up, with its point at the effect."""
    start, end = cause.x - DOT, effect.x - DOT - 4
    path = f"M{start:g} {cause.y + 4:.1f}H{x:g}V{effect.y:.1f}H{end - 4:g}"
    pen.path(path, RUST, 1.6)
    y = effect.y
    pen.put("path", d=f"M{end - 6:g} {y - 4:.1f}v8L{end + 2:g} {y:.1f}z", fill=RUST)


# --- the legend -----------------------------------------------------------------------------------


def _signs(laid: Stream, tree: Tree) -> Iterator[tuple[str, str]]:
    """Yield the signs that a drawing uses, each with what it says."""
    nodes: list[Node] = [row.node for row in laid.rows]
    if any(node.origin for node in nodes):
        yield "origin", "origin"
    used = {node.seen for node in nodes}
    if used != {Seen.NOT_SEEN}:
        yield from ((seen.value, seen.value) for seen in Seen if seen in used)
    if len(nodes) > 1:
        yield tree.naming.value, f"{tree.naming.value}, cause above effect"
    if laid.loops:
        yield "loop", "back up: a loop"
    if any(tag.held for node in nodes for tag in node.tags):
        yield "held", "barred: nothing is done yet"


def _legend(pen: _Pen, top: float, laid: Stream, tree: Tree) -> float:
    """Write the legend, as many signs in a row as fit, and return where it ends."""
    signs = list(_signs(laid, tree))
    if not signs:
        return top
    pen.path(f"M8 {top:.1f}H{pen.width - 8:g}", RULE, 1.0)
    x, y = 8.0, top + 16
    for sign, words in signs:
        wide = 34 + text_width(words, SMALL)
        if x > 8 and x + wide > pen.width - 8:
            x, y = 8.0, y + 20
        _sample(pen, sign, tree.naming, x, y)
        pen.lines(x + 30, y - SMALL * 0.65, [words], FAINT, SMALL)
        x += wide + 14
    return y + 14


def _sample(pen: _Pen, sign: str, naming: Naming, x: float, y: float) -> None:
    if sign == "origin":
        pen.put("circle", cx=x + 12, cy=y, r=DOT + 3, fill=PAPER, stroke=DEEP, stroke_width=1.6)
    elif sign == "loop":
        pen.path(f"M{x:g} {y:.1f}h24", RUST, 1.6)
    elif sign == "held":
        pen.put("rect", x=x + 6, y=y - 7, width=12.0, height=14.0, fill=f"url(#{pen.name}-bars)")
    elif sign == naming.value:
        _water(pen, f"M{x:g} {y:.1f}h24", naming)
    else:
        _dot(pen, Seen(sign), False, x + 12, y)
