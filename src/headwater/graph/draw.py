"""The causal graph as text for drawing programs: Mermaid and DOT (open formats)."""

from __future__ import annotations

from headwater.book.records import Book


def as_mermaid(book: Book) -> str:
    """Return the graph in Mermaid: origins as stadiums, everything else as boxes."""
    names = {cid: f"c{index}" for index, cid in enumerate(book.conditions)}
    lines = ["flowchart LR"]
    for cid, condition in book.conditions.items():
        text = condition.title.replace('"', "'")
        shape = f'(["{text}"])' if condition.origin else f'["{text}"]'
        lines.append(f"  {names[cid]}{shape}")
    for (cause, effect), link in book.links.items():
        lines.append(f"  {names[cause]} -- {link.often.word} --> {names[effect]}")
    return "\n".join(lines) + "\n"


def as_dot(book: Book) -> str:
    """Return the graph in DOT: origins as ovals, everything else as boxes."""
    lines = ["digraph book {", "  rankdir=LR;"]
    for cid, condition in book.conditions.items():
        shape = "oval" if condition.origin else "box"
        lines.append(f"  {_quoted(cid)} [label={_quoted(condition.title)}, shape={shape}];")
    for (cause, effect), link in book.links.items():
        lines.append(f"  {_quoted(cause)} -> {_quoted(effect)} [label={_quoted(link.often.word)}];")
    return "\n".join([*lines, "}"]) + "\n"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
