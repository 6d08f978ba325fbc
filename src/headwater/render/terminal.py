"""Writes a paper as lines for a terminal; no colour is needed to read it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headwater.render.clean import clean
from headwater.render.line import Line
from headwater.render.treetext import tree_lines
from headwater.view.chart import Chart
from headwater.view.paper import (
    Blanks,
    Block,
    Drawing,
    Entries,
    Entry,
    Facts,
    Grid,
    Paper,
    Paragraph,
    Photograph,
    Section,
    Tone,
    Words,
)

STYLES = {
    Tone.PLAIN: "plain",
    Tone.STRONG: "head",
    Tone.QUIET: "quiet",
    Tone.HELD: "bad",
    Tone.RELEASED: "good",
    Tone.FOUND: "plain",
    Tone.EXPECTED: "plain",
    Tone.RULED_OUT: "quiet",
}
BLANK = 32
"""Columns of a line to write on."""
LABEL = 9
"""Columns of the name of a fact, where all names are short."""


def paper_lines(paper: Paper) -> Iterator[Line]:
    """Yield a paper: its heading, what stands beneath it, its sections, its foot."""
    if paper.heading:
        yield Line(clean(paper.heading), "head")
    for block in paper.blocks:
        yield from block_lines(block, indent=2 if paper.heading else 0)
    for section in paper.sections:
        yield from section_lines(section)
    if paper.foot:
        yield Line()
        yield Line(clean(paper.foot), "quiet")


def section_lines(section: Section) -> Iterator[Line]:
    """Yield one section."""
    yield Line()
    if section.heading:
        yield Line(clean(section.heading), "head")
    for block in section.blocks:
        yield from block_lines(block, indent=2 if section.heading else 0)


def block_lines(block: Block, indent: int = 2) -> Iterator[Line]:
    """Yield one block."""
    if isinstance(block, Paragraph):
        yield Line(_said(block.pieces), _style(block.pieces), indent + 2 * block.depth)
    elif isinstance(block, Entries):
        for number, entry in enumerate(block.entries, block.first):
            yield from _entry(entry, number if block.numbered else None, indent)
    elif isinstance(block, Facts):
        yield from _facts(block, indent)
    elif isinstance(block, Grid):
        yield from _grid(block, indent)
    elif isinstance(block, Drawing):
        yield Line()
        yield Line(clean(block.tree.heading), "head")
        yield from tree_lines(block.tree)
    elif isinstance(block, Chart):  # what it shows stands in the table beside it
        yield Line(clean(block.heading), "quiet", indent)
    elif isinstance(block, Photograph):
        yield Line(f"- {_said(block.caption)}", "plain", indent, hang=2)
    elif isinstance(block, Blanks):
        yield Line(_said(block.pieces), _style(block.pieces), indent)
        for name in block.names:
            yield Line()
            yield Line(f"{clean(name)}: {'_' * BLANK}", indent=indent)


def _said(pieces: Iterable[Words]) -> str:
    return " ".join(clean(piece.text) for piece in pieces)


def _style(pieces: tuple[Words, ...]) -> str:
    return STYLES[pieces[0].tone] if pieces else "plain"


def _entry(entry: Entry, number: int | None, indent: int) -> Iterator[Line]:
    text = _said(entry.pieces)
    own = text.startswith(("! ", "[ ] "))
    sign = f"{number:2}. " if number is not None else "" if own else "- "
    yield Line(sign + text, _style(entry.pieces), indent, hang=len(sign) or 2)
    for point in entry.points:
        boxed = point.startswith("[ ] ")
        style = "quiet" if entry.quiet and not boxed else "plain"
        yield Line(clean(point) if boxed else f"- {clean(point)}", style, indent + 4)


def _facts(block: Facts, indent: int) -> Iterator[Line]:
    labels = all(len(name) < LABEL for name, _ in block.rows)
    for name, text in block.rows:
        if labels:
            labelled = f"{clean(name):<{LABEL}}{clean(text)}"
            yield Line(labelled, STYLES[block.tone], indent, LABEL)
        else:
            colon = "" if name.endswith("?") else ":"
            yield Line(f"{clean(name)}{colon} {clean(text)}", indent=indent)


def _grid(block: Grid, indent: int) -> Iterator[Line]:
    """Yield a table in columns, the first to the left and the others to the right."""
    rows = [tuple(_said(cell) for cell in row) for row in block.rows]
    whole = [block.head, *rows]
    widths = [max(len(row[i]) for row in whole) for i in range(len(block.head))]
    for number, row in enumerate(whole):
        cells = [f"{row[0]:<{widths[0]}}"]
        cells += [f"{c:>{w}}" for c, w in zip(row[1:], widths[1:], strict=True)]
        style = "plain" if number else "quiet"
        yield Line("  ".join(cells).rstrip(), style, indent)
