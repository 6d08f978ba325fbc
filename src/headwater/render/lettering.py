"""How wide text runs, guessed, and how it wraps in a drawing, where no browser measures it."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.render.clean import clean

_WIDE = dict.fromkeys("mMWwQO@%—ŒÆ", 1.0)
_NARROW = dict.fromkeys("iljI.,:;'|!", 0.37) | dict.fromkeys("frt()[]- /", 0.45)
_LETTER = 0.65
_BOLD = 1.1


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
