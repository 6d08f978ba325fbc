"""How wide text runs, guessed, and how it wraps in a drawing, where no browser measures it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.render.clean import clean

_WIDE = dict.fromkeys("mMWwQO@%—ŒÆ", 1.0)
_NARROW = dict.fromkeys("iljI.,:;'|!", 0.37) | dict.fromkeys("frt()[]- /", 0.45)
_LETTER = 0.65
_BOLD = 1.1
_LEADING = 1.3


@dataclass(frozen=True, slots=True)
class Face:
    """How letters are set: their size in units of the drawing, and the name of their colour."""

    size: float
    ink: str
    bold: bool = False

    @property
    def leading(self) -> float:
        """From one line to the next."""
        return self.size * _LEADING


def text_width(text: str, face: Face) -> float:
    """Return a generous guess of how wide a text runs in any sans-serif face.

    >>> text_width("ill", Face(10, "ink")) < text_width("mow", Face(10, "ink"))
    True
    """
    ems = sum(_WIDE.get(ch) or _NARROW.get(ch) or _ems(ch) for ch in text)
    return ems * face.size * (_BOLD if face.bold else 1.0)


def _ems(ch: str) -> float:
    if ord(ch) > 0x2E80:
        return 1.05
    return 0.78 if ch.isupper() else _LETTER


def wrap(text: str, room: float, face: Face) -> list[str]:
    """Return a text in lines that fit; a word wider than the room is cut."""
    lines: list[str] = []
    current = ""
    for word in clean(text).split(" "):
        for piece in _cut(word, room, face):
            longer = f"{current} {piece}" if current else piece
            if text_width(longer, face) <= room:
                current = longer
            else:
                lines.append(current)
                current = piece
    return [*lines, current] if current else lines


def _cut(word: str, room: float, face: Face) -> Iterator[str]:
    piece = ""
    for ch in word:
        if piece and text_width(piece + ch, face) > room:
            yield piece
            piece = ""
        piece += ch
    if piece:
        yield piece
