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

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.render.clean import clean
from headwater.render.fill import fill
from headwater.render.lettering import Face, text_width, wrap
from headwater.render.look import COLOURS, MARK
from headwater.render.stream import Loop, Row, Stream, stream
from headwater.view.tree import Direction, Seen, Tree

WIDE, NARROW = 680.0, 340.0
MARKS_BESIDE = 560.0
"""From this width on, what is known of a condition stands beside it, not beneath."""

EDGE, COLUMN, LANE = 16.0, 20.0, 10.0
TEXT_GAP = 16.0
MOST_MARKS = 230.0
ROW = 14.0
DOT = 6.0

TITLE = Face(13.5, "ink", bold=True)
NOTE = Face(12.0, "faint")
HELD, FREE = Face(12.0, "rust", bold=True), Face(12.0, "deep", bold=True)


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text in its place."""

    x: float
    y: float
    line: str
    face: Face


@dataclass(frozen=True, slots=True)
class Box:
    """The box round what the gate decided for a part."""

    x: float
    y: float
    width: float
    height: float
    held: bool


@dataclass(frozen=True, slots=True)
class Card:
    """A row in its place: its mark at `x`, `y`, its words, and where the next card may begin."""

    row: Row
    x: float
    y: float
    bottom: float
    boxes: tuple[Box, ...]
    texts: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign in the legend."""

    kind: str
    x: float
    y: float


def draw(tree: Tree, name: str = "tree", foot: str = "", width: float = WIDE) -> str:
    """Return a tree as one SVG element; `name` keeps its ids apart from those of other drawings."""
    laid = stream(tree)
    cards = _cards(laid, tree.way, width)
    texts = [text for card in cards.values() for text in card.texts]
    top = max(card.bottom for card in cards.values()) + 4
    signs, height = _legend(texts, top, width, _signs(laid, tree))
    if foot:
        height = _put(texts, 8, height + 8, wrap(foot, width - 16, NOTE), NOTE) + 8
    drawn = {
        "name": name,
        "heading": tree.heading,
        "naming": tree.naming.value,
        "width": width,
        "height": height,
        "colours": COLOURS,
        "waters": [w for card in cards.values() for w in _waters(card, cards, tree.way)],
        "loops": [_loop(loop, cards, _first(laid)) for loop in laid.loops],
        "cards": cards.values(),
        "signs": signs,
        "texts": texts,
    }
    return fill("drawing.svg", drawn, clean)


def svg_file(tree: Tree, foot: str = "", width: float = WIDE) -> str:
    """Return a drawing as a file of its own."""
    drawn = draw(tree, foot=foot, width=width)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{MARK}\n{drawn}'


def _put(texts: list[Text], x: float, top: float, lines: list[str], face: Face) -> float:
    """Add lines of text and return where they end."""
    for index, line in enumerate(lines):
        texts.append(Text(x, top + face.size * 0.98 + index * face.leading, line, face))
    return top + len(lines) * face.leading


# --- the rows and their words -----------------------------------------------------------------


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
    widest = max(text_width(row.node.mark, NOTE) for row in laid.rows)
    return min(widest + 8.0, MOST_MARKS)


def _card(row: Row, way: Direction, across: tuple[float, float, float], start: float) -> Card:
    """Return a row in its place; `across` are where text begins, marks begin (0: beneath), ends."""
    node, (left, beside, end) = row.node, across
    room, down = end - left, way is Direction.DOWN
    hows = [line for how in row.hows for line in wrap(how, room, NOTE)]
    texts: list[Text] = []
    top = _put(texts, left, start, hows, NOTE) + 8.0 if hows and down else start
    titles = wrap(node.text, beside - 12.0 - left if beside else room, TITLE)
    y = _put(texts, left, top, titles, TITLE)
    if beside:
        y = max(y, _put(texts, beside, top + 1.5, wrap(node.mark, end - beside, NOTE), NOTE))
    else:
        y = _put(texts, left, y, wrap(node.mark, room, NOTE), NOTE)
    boxes = []
    for tag in node.tags:
        face, inset = (HELD, 18.0) if tag.held else (FREE, 8.0)
        lines = wrap(tag.text, room - 26.0, face)
        wide = max((text_width(line, face) for line in lines), default=0.0) + 26.0
        bottom = _put(texts, left + inset, y + 6.0, lines, face) + 6.0
        boxes.append(Box(left, y + 3.0, wide, bottom - y - 3.0, tag.held))
        y = bottom
    y = _put(texts, left, y + 8.0, hows, NOTE) if hows and not down else y
    x = left - TEXT_GAP - (row.inset - row.column) * COLUMN
    return Card(row, x, top + TITLE.size * 0.75, y + ROW, tuple(boxes), tuple(texts))


# --- the water --------------------------------------------------------------------------------


def _waters(card: Card, cards: Mapping[str, Card], way: Direction) -> Iterator[tuple[str, str]]:
    """Yield the water between a row and those it hangs on to, each with its point or ''."""
    down = way is Direction.DOWN
    for to, first in card.row.joins:
        other = cards[to]
        upper, lower = (other, card) if down else (card, other)
        x, y, end = other.x, card.y, lower.y - DOT - 3
        point = f"M{x - 5:g} {end - 7:.1f}h10L{x:g} {end + 1:.1f}z"
        if x == card.x:
            yield f"M{x:g} {upper.y:.1f}V{end:.1f}", point
            continue
        side = 1 if card.x > x else -1
        bank, bend = card.x - side * DOT, x + side * 10
        if down:
            start = f"M{x:g} {other.y:.1f}V" if first else f"M{x:g} "
            yield f"{start}{y - 12:.1f}Q{x:g} {y:.1f} {bend:g} {y:.1f}H{bank:g}", ""
        else:
            tail = f"V{end:.1f}" if first else ""
            turn = f"M{bank:g} {y:.1f}H{bend:g}Q{x:g} {y:.1f} {x:g} {y + 12:.1f}"
            yield turn + tail, point if first else ""


def _loop(loop: Loop, cards: Mapping[str, Card], first: float) -> tuple[str, str]:
    """Return the line that leads back up, and its point at the effect."""
    cause, effect = cards[loop.cause], cards[loop.effect]
    lane, end, y = first - 12.0 - loop.lane * LANE, effect.x - DOT - 4, effect.y
    path = f"M{cause.x - DOT:g} {cause.y + 4:.1f}H{lane:g}V{y:.1f}H{end - 4:g}"
    return path, f"M{end - 6:g} {y - 4:.1f}v8L{end + 2:g} {y:.1f}z"


# --- the legend -------------------------------------------------------------------------------


def _signs(laid: Stream, tree: Tree) -> Iterator[tuple[str, str]]:
    """Yield the signs that a drawing uses, each with what it says."""
    nodes = [row.node for row in laid.rows]
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


def _legend(
    texts: list[Text], top: float, width: float, signs: Iterator[tuple[str, str]]
) -> tuple[list[Sign], float]:
    """Return the signs, as many in a row as fit, and where the legend ends; add their words."""
    placed: list[Sign] = []
    x, y = 8.0, top + 16
    for kind, words in signs:
        wide = 34 + text_width(words, NOTE)
        if x > 8 and x + wide > width - 8:
            x, y = 8.0, y + 20
        placed.append(Sign(kind, x, y))
        _put(texts, x + 30, y - NOTE.size * 0.65, [words], NOTE)
        x += wide + 14
    return placed, y + 14 if placed else top
