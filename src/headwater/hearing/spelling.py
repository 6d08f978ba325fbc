"""Words spelled nearly right (only user of `rapidfuzz`)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rapidfuzz.distance import OSA
from rapidfuzz.fuzz import token_set_ratio
from rapidfuzz.process import extract, extractOne

MANY_SHARED = 75.0
"""From how like two phrases are (of 100) the one is taken for the other."""
SHORTEST = 4
"""Letters from which on a slip is forgiven: shorter words are too many others."""


def nearest_word(word: str, known: Sequence[str]) -> str | None:
    """Return the known word that a word is a slip of: a letter wrong, or two in a long word.

    The first letter is taken as right.

    >>> nearest_word("transfur", ["transfer", "transport"])
    'transfer'
    """
    if len(word) < SHORTEST:
        return None
    slips = 1 if len(word) < 8 else 2
    found = extract(word, known, scorer=OSA.distance, score_cutoff=slips, limit=8)
    near = [one for one, _, _ in found if one[0] == word[0] and len(one) >= SHORTEST]
    return near[0] if near else None


def nearest_phrase(words: str, known: Iterable[str]) -> str | None:
    """Return the phrase that shares most of its words with some words; None where few are shared.

    >>> nearest_phrase("a wheel came off", ["a wheel is loose or off", "the brakes do not hold"])
    'a wheel is loose or off'
    """
    found = extractOne(
        words, list(known), scorer=token_set_ratio, processor=str.lower, score_cutoff=MANY_SHARED
    )
    return found[0] if found and words.strip() else None
