"""A report as a sequence of blocks, before it becomes a page or Markdown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from headwater.view.chart import Chart

if TYPE_CHECKING:
    from headwater.view.tree import Tree


class Tone(StrEnum):
    """How a piece of text is set."""

    PLAIN = "plain"
    STRONG = "strong"
    QUIET = "quiet"
    HELD = "held"
    RELEASED = "released"
    FOUND = "found"
    EXPECTED = "expected"
    RULED_OUT = "ruled-out"


@dataclass(frozen=True, slots=True)
class Words:
    """A piece of text in its tone."""

    text: str
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Pieces of text in one paragraph; `boxed` sets it apart, in a `frame`; `depth` moves it in."""

    pieces: tuple[Words, ...]
    boxed: bool = False
    depth: int = 0
    frame: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a list, with points beneath it, which are quiet where they only add."""

    pieces: tuple[Words, ...]
    points: tuple[str, ...] = ()
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Entries:
    """A list; `numbered` where the order counts, from `first` on."""

    entries: tuple[Entry, ...]
    numbered: bool = False
    first: int = 1


@dataclass(frozen=True, slots=True)
class Facts:
    """Names and what they are."""

    rows: tuple[tuple[str, str], ...]
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Grid:
    """A table with a head; a cell is pieces of text, each on its own line."""

    head: tuple[str, ...]
    rows: tuple[tuple[tuple[Words, ...], ...], ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawn tree under its heading."""

    tree: Tree


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture of a case by its name, with its caption; `data` where the paper is to hold it."""

    name: str
    caption: tuple[Words, ...]
    data: bytes = b""


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to write on, each with its name beneath, after the words that they stand for."""

    pieces: tuple[Words, ...]
    names: tuple[str, ...]


Block = Paragraph | Entries | Facts | Grid | Drawing | Chart | Photograph | Blanks


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands beneath it."""

    heading: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole report. `sheet` is the size of the paper, where the shop has one."""

    heading: str
    blocks: tuple[Block, ...]
    sections: tuple[Section, ...]
    foot: str = ""
    language: str = field(default="en")
    sheet: str = ""


def say(*texts: str | Words, boxed: bool = False, depth: int = 0, frame: str = "") -> Paragraph:
    """Return a paragraph of pieces; a bare string is plain text."""
    pieces = tuple(t if isinstance(t, Words) else Words(t) for t in texts)
    return Paragraph(pieces, boxed, depth, frame)


def listed(texts: Iterable[str]) -> Entries:
    """Return a plain list."""
    return Entries(tuple(Entry((Words(text),)) for text in texts))


def cell(*texts: str | Words) -> tuple[Words, ...]:
    """Return the pieces of a table's cell; empty ones are left out."""
    pieces = (t if isinstance(t, Words) else Words(t) for t in texts)
    return tuple(piece for piece in pieces if piece.text)


def texts_of(blocks: Iterable[Block]) -> tuple[str, ...]:
    """Return the text of blocks, one for each paragraph, entry, point and fact."""
    found: list[str] = []
    for block in blocks:
        if isinstance(block, Paragraph):
            found.append(" ".join(piece.text for piece in block.pieces))
        elif isinstance(block, Entries):
            for entry in block.entries:
                found += [" ".join(piece.text for piece in entry.pieces), *entry.points]
        elif isinstance(block, Facts):
            found += [f"{name}: {text}" for name, text in block.rows]
        elif isinstance(block, Grid):
            found += ["; ".join(w.text for cell in row for w in cell) for row in block.rows]
        elif isinstance(block, Drawing):
            found += [block.tree.heading, *(node.text for node in block.tree.root.walk())]
        elif isinstance(block, Chart):
            found += [block.heading, *(bar.name for bar in block.bars)]
        elif isinstance(block, Photograph):
            found.append(" ".join(piece.text for piece in block.caption))
        elif isinstance(block, Blanks):
            found += [" ".join(piece.text for piece in block.pieces), *block.names]
    return tuple(text for text in found if text)
