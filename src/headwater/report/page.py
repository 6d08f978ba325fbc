"""A report as one self-contained HTML page: no script, nothing fetched, fit for A4 and Letter."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator

from headwater.report.escape import markup
from headwater.report.look import CSS, MARK
from headwater.report.svg import draw
from headwater.view.paper import (
    Block,
    Drawing,
    Entries,
    Entry,
    Facts,
    Grid,
    Paper,
    Paragraph,
    Section,
    Tone,
    Words,
)


def page(paper: Paper) -> str:
    """Return a report as HTML. The policy in its head forbids scripts and fetching altogether."""
    digest = base64.b64encode(hashlib.sha256(CSS.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'"
    drawings = iter(range(1, 10_000))
    return "\n".join(
        [
            "<!DOCTYPE html>",
            MARK,
            f'<html lang="{markup(paper.language)}">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{markup(paper.heading)}</title>",
            f"<style>{CSS}</style>",
            "</head>",
            "<body>",
            "<main>",
            f"<h1>{markup(paper.heading)}</h1>",
            *_blocks(paper.blocks, drawings),
            *(line for section in paper.sections for line in _section(section, drawings)),
            "</main>",
            *([f"<footer>{markup(paper.foot)}</footer>"] if paper.foot else []),
            "</body>",
            "</html>",
            "",
        ]
    )


def _section(section: Section, drawings: Iterator[int]) -> Iterator[str]:
    yield "<section>"
    yield f"<h2>{markup(section.heading)}</h2>"
    yield from _blocks(section.blocks, drawings)
    yield "</section>"


def _blocks(blocks: Iterable[Block], drawings: Iterator[int]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, Paragraph):
            box = ' class="boxed"' if block.boxed else ""
            yield f"<p{box}>{_pieces(block.pieces)}</p>"
        elif isinstance(block, Entries):
            yield from _entries(block)
        elif isinstance(block, Facts):
            yield from _facts(block)
        elif isinstance(block, Grid):
            yield from _grid(block)
        else:
            yield from _drawing(block, next(drawings))


def _drawing(block: Drawing, number: int) -> Iterator[str]:
    yield f"<h3>{markup(block.tree.heading)}</h3>"
    yield "<figure>"
    yield draw(block.tree, f"chain-{number}")
    yield "</figure>"


def _entries(block: Entries) -> Iterator[str]:
    tag = "ol" if block.numbered else "ul"
    yield f"<{tag}>"
    for entry in block.entries:
        yield f"<li>{_pieces(entry.pieces)}{_points(entry)}</li>"
    yield f"</{tag}>"


def _points(entry: Entry) -> str:
    if not entry.points:
        return ""
    return "<ul>" + "".join(f"<li>{markup(point)}</li>" for point in entry.points) + "</ul>"


def _facts(block: Facts) -> Iterator[str]:
    yield "<dl>"
    for name, text in block.rows:
        yield f"<div><dt>{markup(name)}</dt><dd>{markup(text)}</dd></div>"
    yield "</dl>"


def _grid(block: Grid) -> Iterator[str]:
    yield "<table>"
    heads = "".join(f'<th scope="col">{markup(head)}</th>' for head in block.head)
    yield f"<thead><tr>{heads}</tr></thead>"
    yield "<tbody>"
    for row in block.rows:
        cells = (
            f'<td data-head="{markup(head)}">{"".join(_piece(w, "span") for w in words)}</td>'
            for head, words in zip(block.head, row, strict=True)
        )
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody>"
    yield "</table>"


def _pieces(pieces: Iterable[Words]) -> str:
    return " ".join(_piece(piece) for piece in pieces)


def _piece(words: Words, plain: str = "") -> str:
    text = markup(words.text)
    if words.tone is Tone.STRONG:
        return (
            f"<{plain}><strong>{text}</strong></{plain}>" if plain else f"<strong>{text}</strong>"
        )
    if words.tone is Tone.PLAIN:
        return f"<{plain}>{text}</{plain}>" if plain else text
    return f'<span class="{words.tone.value}">{text}</span>'
