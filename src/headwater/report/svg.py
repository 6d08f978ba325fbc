"""Draws a tree as SVG: a stream that runs from its source down to the damage.

Causes always stand above what they cause. Side streams leave or join at the right. What is known
is told by word and shape, never by colour alone: a mark with a ring round it is an origin, a full
disc was found, an empty ring was not seen, a dotted ring cannot be seen. A proven stream is a thick
line, a probable one two thin lines, an open one is dashed. A held part stands behind a barred band.

The drawing is 340 units wide, so that its text keeps its size on a narrow screen; text is wrapped
by estimated letter widths. It holds no script, no link and no style sheet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from headwater.render.clean import clean
from headwater.report.escape import markup
from headwater.report.look import DEEP, FAINT, INK, MARK, PAPER, RULE, RUST, SAND
from headwater.verdict.naming import Naming
from headwater.view.tree import Direction, Node, Seen, Tag, Tree

WIDTH = 340.0
FIRST_X = 16.0
COLUMN = 20.0
TEXT_GAP = 16.0
TITLE, SMALL = 13.0, 11.5
LEADING = 1.3
DOT = 6.0

_WIDE = dict.fromkeys("mMWwQO@%—ŒÆ", 1.0)
_NARROW = dict.fromkeys("iljI.,:;'|!", 0.37) | dict.fromkeys("frt()[]- /", 0.45)
_LETTER = 0.65
_BOLD = 1.1


@dataclass(frozen=True, slots=True)
class Row:
    """A node in its place: `column` counts side streams, `joins` is the row it hangs on to."""

    node: Node
    column: int
    joins: int | None
    y: float = 0.0


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return a generous guess of how wide a text runs in any sans-serif face.

    >>> text_width("ill", 10) < text_width("mow", 10)
    True
    """
    ems = sum(_WIDE.get(ch) or _NARROW.get(ch) or _ems(ch) for ch in text)
    return ems * size * (_BOLD if bold else 1.0)


def _ems(ch: str) -> float:
    if ord(ch) > 0x2E80:
        return 1.05
    return 0.78 if ch.isupper() else _LETTER


def wrap(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """Return a text in lines that fit; a word wider than the room is cut."""
    lines: list[str] = []
    current = ""
    for word in clean(text).split(" "):
        for piece in _cut(word, room, size, bold):
            longer = f"{current} {piece}" if current else piece
            if text_width(longer, size, bold) <= room:
                current = longer
            else:
                lines.append(current)
                current = piece
    return [*lines, current] if current else lines


def _cut(word: str, room: float, size: float, bold: bool) -> Iterator[str]:
    piece = ""
    for ch in word:
        if piece and text_width(piece + ch, size, bold) > room:
            yield piece
            piece = ""
        piece += ch
    if piece:
        yield piece


def draw(tree: Tree, name: str = "tree", foot: str = "") -> str:
    """Return a tree as one SVG element; `name` keeps its ids apart from those of other drawings."""
    rows, height = _placed(_rows(tree), tree.way)
    body = [text for index in range(len(rows)) for text in _stream(rows, index, tree)]
    body += [text for row in rows for text in _station(row, tree.way, name)]
    if foot:
        lines = wrap(foot, WIDTH - 16, SMALL)
        body += [_text(8, height + 16 + i * SMALL * LEADING, s, SMALL) for i, s in enumerate(lines)]
        height += 16 + len(lines) * SMALL * LEADING
    label = markup(tree.heading)
    size = f'viewBox="0 0 {WIDTH:g} {height:.0f}" width="{WIDTH:g}" height="{height:.0f}"'
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" '
            f'aria-labelledby="{name}-title" font-family="sans-serif">',
            f'<title id="{name}-title">{label}</title>',
            f'<defs><pattern id="{name}-bars" width="7" height="7" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><rect width="7" height="7" fill="{PAPER}"/>'
            f'<rect width="3" height="7" fill="{RUST}"/></pattern></defs>',
            f'<rect width="{WIDTH:g}" height="{height:.0f}" fill="{PAPER}"/>',
            *body,
            "</svg>",
        ]
    )


def svg_file(tree: Tree, foot: str = "") -> str:
    """Return a drawing as a file of its own."""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{MARK}\n{draw(tree, foot=foot)}\n'


def _rows(tree: Tree) -> list[Row]:
    """Return the nodes from the top down, causes first; the longest branch runs straight on."""
    rows: list[Row] = []

    def visit(node: Node, column: int, joins: int | None) -> None:
        here = len(rows)
        rows.append(Row(node, column, joins))
        for branch in node.branches:
            main = branch is node.branches[-1]
            visit(branch, column if main else column + 1, here)

    visit(tree.root, 0, None)
    if tree.way is Direction.DOWN:
        return rows
    last = len(rows) - 1
    return [
        replace(row, joins=None if row.joins is None else last - row.joins)
        for row in reversed(rows)
    ]


def _placed(rows: list[Row], way: Direction) -> tuple[list[Row], float]:
    """Return the rows with their heights, and the height of all."""
    placed: list[Row] = []
    y = 6.0
    for row in rows:
        y += _how_height(row) if way is Direction.DOWN else 0.0
        placed.append(replace(row, y=y + TITLE * 0.75))
        y += _card_height(row) + 14.0
        y += _how_height(row) if way is Direction.BACK else 0.0
    return placed, y


def _left(row: Row) -> float:
    return FIRST_X + row.column * COLUMN


def _room(row: Row) -> float:
    return WIDTH - _left(row) - TEXT_GAP - 6.0


def _titles(row: Row) -> list[str]:
    return wrap(row.node.text, _room(row), TITLE, bold=True)


def _marks(row: Row) -> list[str]:
    return wrap(row.node.mark, _room(row), SMALL)


def _hows(row: Row) -> list[str]:
    return wrap(row.node.how, _room(row), SMALL)


def _tag_lines(row: Row, tag: Tag) -> list[str]:
    return wrap(tag.text, _room(row) - 26.0, SMALL, bold=True)


def _how_height(row: Row) -> float:
    lines = _hows(row)
    return len(lines) * SMALL * LEADING + 8.0 if lines else 0.0


def _tag_height(row: Row, tag: Tag) -> float:
    return len(_tag_lines(row, tag)) * SMALL * LEADING + 9.0


def _card_height(row: Row) -> float:
    words = len(_titles(row)) * TITLE * LEADING + len(_marks(row)) * SMALL * LEADING
    return words + sum(_tag_height(row, tag) + 3.0 for tag in row.node.tags)


def _stream(rows: list[Row], index: int, tree: Tree) -> Iterator[str]:
    """Yield the water between a row and the one it hangs on to, with the point of its arrow."""
    row = rows[index]
    if row.joins is None:
        return
    other = rows[row.joins]
    down = tree.way is Direction.DOWN
    if row.column == other.column:
        upper, lower = (other, row) if down else (row, other)
        x = _left(row)
        yield from _water(f"M{x:g} {upper.y:g}V{lower.y - DOT - 3:g}", tree.naming)
        yield _point(x, lower.y - DOT - 4)
    elif down:
        x, side = _left(other), _left(row)
        path = f"M{x:g} {row.y - 12:g}Q{x:g} {row.y:g} {x + 10:g} {row.y:g}H{side - DOT:g}"
        yield from _water(path, tree.naming)
    else:
        x, side = _left(other), _left(row)
        turn = f"Q{x:g} {row.y:g} {x:g} {row.y + 12:g}"
        path = f"M{side - DOT:g} {row.y:g}H{x + 10:g}{turn}"
        yield from _water(path, tree.naming)


def _water(path: str, naming: Naming) -> Iterator[str]:
    line = f'<path d="{path}" fill="none" stroke='
    if naming is Naming.OPEN:
        yield f'{line}"{FAINT}" stroke-width="2" stroke-dasharray="5 4"/>'
        return
    yield f'{line}"{DEEP}" stroke-width="4"/>'
    if naming is Naming.PROBABLE:
        yield f'{line}"{PAPER}" stroke-width="1.6"/>'


def _point(x: float, y: float) -> str:
    return f'<path d="M{x - 5:g} {y - 6:g}h10L{x:g} {y + 2:g}z" fill="{DEEP}"/>'


def _station(row: Row, way: Direction, name: str) -> Iterator[str]:
    """Yield the mark and the words of one row."""
    node, x = row.node, _left(row)
    yield from _dot(node, x, row.y)
    left = x + TEXT_GAP
    y = row.y - TITLE * 0.75
    if way is Direction.DOWN:
        top = y - _how_height(row)
        yield from _lines(left, top, _hows(row), SMALL, FAINT)
    yield from _lines(left, y, _titles(row), TITLE, INK, bold=True)
    y += len(_titles(row)) * TITLE * LEADING
    yield from _lines(left, y, _marks(row), SMALL, FAINT)
    y += len(_marks(row)) * SMALL * LEADING
    for tag in node.tags:
        yield from _tag(row, tag, left, y + 3.0, name)
        y += _tag_height(row, tag) + 3.0


def _dot(node: Node, x: float, y: float) -> Iterator[str]:
    spot = f'<circle cx="{x:g}" cy="{y:g}" r='
    if node.origin:
        yield f'{spot}"{DOT + 3:g}" fill="{PAPER}" stroke="{DEEP}" stroke-width="1.6"/>'
    if node.seen is Seen.FOUND:
        yield f'{spot}"{DOT:g}" fill="{DEEP}"/>'
        return
    dots = ' stroke-dasharray="2 2"' if node.seen is Seen.HIDDEN else ""
    yield f'{spot}"{DOT - 1:g}" fill="{PAPER}" stroke="{INK}" stroke-width="1.8"{dots}/>'


def _tag(row: Row, tag: Tag, x: float, y: float, name: str) -> Iterator[str]:
    lines = _tag_lines(row, tag)
    tall = _tag_height(row, tag)
    wide = min(_room(row), max(text_width(s, SMALL, bold=True) for s in lines) + 24.0)
    edge, ground, ink = (RUST, SAND, RUST) if tag.held else (RULE, PAPER, DEEP)
    yield (
        f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{tall:g}" fill="{ground}" '
        f'stroke="{edge}" stroke-width="{2 if tag.held else 1}"/>'
    )
    if tag.held:
        yield f'<rect x="{x:g}" y="{y:g}" width="12" height="{tall:g}" fill="url(#{name}-bars)"/>'
    yield from _lines(x + (18 if tag.held else 8), y + 3.0, lines, SMALL, ink, bold=True)


def _lines(
    x: float, top: float, lines: list[str], size: float, ink: str, bold: bool = False
) -> Iterator[str]:
    for index, line in enumerate(lines):
        yield _text(x, top + size * (0.98 + index * LEADING), line, size, ink, bold)


def _text(x: float, y: float, line: str, size: float, ink: str = FAINT, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    place = f'x="{x:g}" y="{y:.1f}" font-size="{size:g}"'
    return f'<text {place} fill="{ink}"{weight}>{markup(line)}</text>'
