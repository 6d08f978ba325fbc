"""What was said and could not be placed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from headwater.hearing import english
from headwater.hearing.index import Index
from headwater.hearing.reading import Token
from headwater.hearing.targets import Target


def is_common(token: Token) -> bool:
    """Say whether a word is one that nobody misses."""
    return token.word in english.GENERAL or token.word.isdecimal()


def unplaced_in(
    index: Index, tokens: Sequence[Token], placed: set[int], verbatim: Sequence[Target]
) -> Iterator[str]:
    """Yield what was said and not placed, neighbouring words together.

    A thing that is only named beside something placed is no more than where that is.
    """
    known = {word for target in verbatim for phrase in target.phrases for word in phrase.split()}
    for _, clause in groupby(enumerate(tokens), key=lambda item: item[1].clause):
        here = list(clause)
        left = [token for place, token in here if place not in placed and not token.small]
        left = [token for token in left if token.word not in known]
        named = len(left) < len(here) and all(token.stem in index.things for token in left)
        if not named and not all(map(is_common, left)):
            yield " ".join(dict.fromkeys(token.word for token in left))
