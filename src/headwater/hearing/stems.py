"""The stem of a word: leaks, leaking and leaked are one (only user of `snowballstemmer`)."""

from __future__ import annotations

from functools import cache

import snowballstemmer

_STEMMER = snowballstemmer.stemmer("english")


@cache
def stem(word: str) -> str:
    """Return the stem of a word in small letters.

    >>> stem("hopping"), stem("leaks"), stem("pads")
    ('hop', 'leak', 'pad')
    """
    found: str = _STEMMER.stemWord(word)
    return found
