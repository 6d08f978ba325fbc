"""Which part is meant by an id, a title or plain words: the one place that says so."""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches
from math import fsum

from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.errors import HeadwaterError, Place
from headwater.hearing.reading import telling

EXACT = 99.0
"""How well a part fits that is named by its id or its title."""
_NO_PART = frozenset({"new", "set", "kit", "fit", "replac", "chang", "old", "both"})
"""Stems that name no part in 'just a new seal kit'."""


class PartError(HeadwaterError):
    """Words that do not say which part is meant."""


def parts_fitting(book: Book, text: str, *, about: bool = False) -> dict[str, float]:
    """Return the parts that words fit, with how well, best first; an id or a title fits alone.

    A word counts whole where it names the part and, with `about`, half where it names a damage on
    it ('just the pads').
    """
    plain = " ".join(text.lower().replace("-", " ").split())
    for part, record in book.parts.items():
        title = record.title.lower().replace("-", " ")
        if plain in (part.replace("-", " "), title, *record.said):
            return {str(part): EXACT}
    asked = [word for word in _stems(plain) if word not in _NO_PART]
    scores: dict[str, float] = {}
    for part, record in book.parts.items():
        own = _stems(" ; ".join((part, record.title, *record.said)))
        near = _damage_stems(book, str(part)) if about else {}
        hits = sum(1.0 if word in own else 0.5 if word in near else 0.0 for word in asked)
        if hits:
            # Of parts that fit alike, the one whose name says least besides is meant.
            scores[str(part)] = hits + 0.1 * hits / max(1, len(_stems(part.replace("-", " "))))
    return dict(sorted(scores.items(), key=lambda item: -item[1]))


def parts_named(book: Book, asked: Collection[str]) -> dict[str, float]:
    """Return the parts that all of some stems name, or a damage on them; how well, best first."""
    found: dict[str, float] = {}
    for part, record in book.parts.items():
        own = _stems(" ; ".join((part, record.title, *record.said)))
        near = _damage_stems(book, str(part))
        hits = [1.0 if word in own else 0.5 for word in asked if word in own or word in near]
        if hits and len(hits) == len(asked):
            found[str(part)] = fsum(hits)
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def part_meant(book: Book, text: str, place: Place | None = None) -> str | None:
    """Return the part that every word of a text names; None if the book knows none.

    Raises PartError where the words fit several parts equally well.
    """
    asked = [word for word in _stems(text.lower().replace("-", " ")) if word not in _NO_PART]
    scores = parts_fitting(book, text)
    best = max(scores.values(), default=0.0)
    if not asked or best < len(asked):
        return None
    fits = [part for part, score in scores.items() if score == best]
    if len(fits) > 1:
        known = ", ".join(book.parts[part].title for part in fits[:5])
        raise PartError(f"'{text}' may mean {known}; name one", place)
    return fits[0]


def part_known(book: Book, text: str, place: Place | None = None) -> str:
    """Return the part that a text names; raises PartError that names the nearest one."""
    part = part_meant(book, text, place)
    if part is None:
        raise PartError(f"the book knows no part '{text}'{part_hint(book, text)}", place)
    return part


def part_hint(book: Book, text: str) -> str:
    """Return `; did you mean 'ID' (TITLE)?` for the part that words come nearest to, or nothing.

    Nearest by letters, of the id or of the title; else by the most words in common.
    """
    plain = " ".join(text.lower().split())
    names = {str(part): str(part) for part in book.parts}
    names |= {record.title.lower(): str(part) for part, record in book.parts.items()}
    close = get_close_matches(plain, names, n=1, cutoff=0.6)
    fits = [names[close[0]]] if close else list(parts_fitting(book, text))
    return f"; did you mean '{fits[0]}' ({book.parts[fits[0]].title})?" if fits else ""


def _damage_stems(book: Book, part: str) -> dict[str, None]:
    on_part = (c for c in book.conditions.values() if c.part == part)
    return _stems(" ".join(c.title for c in on_part if c.kind is Nature.DAMAGE))


def _stems(text: str) -> dict[str, None]:
    """Return the telling words in the order written; 'tyre' and 'tyres' come out alike."""
    return dict.fromkeys(telling(text))
