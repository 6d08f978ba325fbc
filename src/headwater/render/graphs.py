"""The causal graph as text for drawing programs: Mermaid and DOT (open formats)."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import PurePath

from headwater.book.records import Book
from headwater.render.clean import clean

_MERMAID = {ord(sign): f"#{ord(sign)};" for sign in '#"<>&`'}
_DOT = {ord(sign): f"\\{sign}" for sign in '\\"'}


def around(book: Book, condition: str, depth: int) -> set[str]:
    """Return the conditions at most `depth` links away from one, up or down."""
    found = {condition}
    for _ in range(depth):
        found |= {end for ends in book.links if not found.isdisjoint(ends) for end in ends}
    return found


def areas(book: Book) -> dict[str, set[str]]:
    """Return the conditions by the folder in which their pack file lies."""
    found: dict[str, set[str]] = {}
    for cid, condition in book.conditions.items():
        found.setdefault(PurePath(condition.place.file).parent.name, set()).add(cid)
    return found


def as_mermaid(book: Book, only: Collection[str] | None = None) -> str:
    """Return the graph, or `only` these conditions, in Mermaid: origins as stadiums, else boxes."""
    names = _shown(book, only)
    lines = ["flowchart LR"]
    for cid, name in names.items():
        condition = book.conditions[cid]
        text = f'"{_mermaid(condition.title)}"'
        lines.append(f"  {name}([{text}])" if condition.origin else f"  {name}[{text}]")
    for (cause, effect), link in book.links.items():
        if cause in names and effect in names:
            often = _mermaid(link.often.word)
            lines.append(f"  {names[cause]} -- {often} --> {names[effect]}")
    return "\n".join(lines) + "\n"


def as_dot(book: Book, only: Collection[str] | None = None) -> str:
    """Return the graph, or `only` these conditions, in DOT: origins as ovals, else boxes."""
    names = _shown(book, only)
    lines = ["digraph book {", "  rankdir=LR;"]
    for cid in names:
        condition = book.conditions[cid]
        shape = "oval" if condition.origin else "box"
        lines.append(f"  {_dot(cid)} [label={_dot(condition.title)}, shape={shape}];")
    for (cause, effect), link in book.links.items():
        if cause in names and effect in names:
            lines.append(f"  {_dot(cause)} -> {_dot(effect)} [label={_dot(link.often.word)}];")
    return "\n".join([*lines, "}"]) + "\n"


def _shown(book: Book, only: Collection[str] | None) -> dict[str, str]:
    """Return a short name for each condition that is drawn, in the order of the book."""
    shown = (cid for cid in book.conditions if only is None or cid in only)
    return {cid: f"c{index}" for index, cid in enumerate(shown)}


def _mermaid(text: str) -> str:
    """Return a label in which no sign of Mermaid or of HTML works."""
    return clean(text).translate(_MERMAID)


def _dot(text: str) -> str:
    return f'"{clean(text).translate(_DOT)}"'
