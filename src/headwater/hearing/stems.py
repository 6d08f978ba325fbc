"""The stem of a word: leaks, leaking and leaked are one (only user of `snowballstemmer`)."""

from __future__ import annotations

from functools import cache
from typing import Any


@cache
def _stemmer() -> Any:
    """Return the stemmer; it is imported when the first word is heard."""
    import snowballstemmer

    return snowballstemmer.stemmer("english")


@cache
def stem(word: str) -> str:
    """Return the stem of a word in small letters.

    >>> stem("hopping"), stem("leaks"), stem("pads")
    ('hop', 'leak', 'pad')
    """
    found: str = _stemmer().stemWord(word)
    return found
