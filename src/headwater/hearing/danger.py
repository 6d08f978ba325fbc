"""Which sign of danger is meant, where it is sure that one is."""

from __future__ import annotations

from rapidfuzz import fuzz, process

from headwater.book.records import Book


def nearest_sign(book: Book, words: str) -> str | None:
    """Return the sign of danger that words come nearest to; None where there are no words."""
    signs = book.emergencies.items()
    said = {text.lower(): oid for oid, sign in signs for text in (sign.title, *sign.said)}
    best = process.extractOne(words.lower(), list(said), scorer=fuzz.token_set_ratio)
    return said[best[0]] if best and words.strip() else None
