"""A report as Markdown (CommonMark with tables), for a job ticket or a mail."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headwater.render.clean import clean
from headwater.render.treetext import tree_text
from headwater.report.escape import markdown
from headwater.report.look import MARK
from headwater.view.paper import (
    Block,
    Drawing,
    Entries,
    Facts,
    Grid,
    Paper,
    Paragraph,
    Section,
    Tone,
    Words,
)

DRAWN_WIDTH = 76


def markdown_report(paper: Paper) -> str:
    """Return a report as Markdown."""
    lines = [MARK, "", f"# {markdown(paper.heading)}", "", *_blocks(paper.blocks)]
    for section in paper.sections:
        lines += _section(section)
    if paper.foot:
        lines += ["---", "", markdown(paper.foot), ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def _section(section: Section) -> list[str]:
    return [f"## {markdown(section.heading)}", "", *_blocks(section.blocks)]


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, Paragraph):
            quote = "> " if block.boxed else ""
            yield quote + _pieces(block.pieces)
        elif isinstance(block, Entries):
            yield from _entries(block)
        elif isinstance(block, Facts):
            yield from (_fact(name, text) for name, text in block.rows)
        elif isinstance(block, Grid):
            yield from _grid(block)
        else:
            yield from _drawing(block)
        yield ""


def _drawing(block: Drawing) -> Iterator[str]:
    drawn = tree_text(block.tree, DRAWN_WIDTH)
    fence = "```"
    while fence in drawn:
        fence += "`"
    yield f"### {markdown(block.tree.heading)}"
    yield ""
    yield f"{fence}text"
    yield drawn
    yield fence


def _fact(name: str, text: str) -> str:
    colon = "" if name.endswith("?") else ":"
    return f"- {markdown(name)}{colon} **{markdown(text)}**"


def _entries(block: Entries) -> Iterator[str]:
    for number, entry in enumerate(block.entries, 1):
        sign = f"{number}." if block.numbered else "-"
        yield f"{sign} {_pieces(entry.pieces)}"
        yield from (f"{' ' * (len(sign) + 1)}- {markdown(point)}" for point in entry.points)


def _grid(block: Grid) -> Iterator[str]:
    yield _row(markdown(head) for head in block.head)
    yield _row("---" for _ in block.head)
    for row in block.rows:
        yield _row("<br>".join(_piece(words) for words in cell) for cell in row)


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _pieces(pieces: Iterable[Words]) -> str:
    return " ".join(_piece(piece) for piece in pieces)


def _piece(words: Words) -> str:
    text = markdown(words.text)
    strong = words.tone in (Tone.STRONG, Tone.HELD, Tone.RELEASED)
    return f"**{text}**" if strong and clean(words.text) else text
