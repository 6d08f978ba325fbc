"""What each complaint says by itself, beside all that acquits."""

from __future__ import annotations

from collections.abc import Mapping

from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.rules.evidence import Pair
from headwater.verdict.acts import joined
from headwater.verdict.known import Known


def speaks_against(pair: Pair) -> bool:
    """Say whether likelihoods speak against a condition."""
    return pair[0] < pair[1]


def speaks_for(pair: Pair) -> bool:
    """Say whether likelihoods speak for a condition."""
    return pair[0] > pair[1]


def as_told(known: Known) -> list[dict[str, Pair]]:
    """Return the likelihoods of each complaint by itself, and of all, with all that acquits."""
    pairs = known.weighed.pairs
    complaints = [check for check, said in pairs.items() if _complains(known.book, said)]
    kept = [{check} for check in complaints]
    if len(complaints) > 1:
        kept.append(set(complaints))
    return [_factors(pairs, some) for some in kept]


def _complains(book: Book, said: Mapping[str, Pair]) -> bool:
    return any(
        pair[0] > pair[1] and book.conditions[cid].kind is Nature.COMPLAINT
        for cid, pair in said.items()
        if cid in book.conditions
    )


def _factors(pairs: Mapping[str, Mapping[str, Pair]], kept: set[str]) -> dict[str, Pair]:
    return joined(
        {c: pair for c, pair in said.items() if check in kept or speaks_against(pair)}
        for check, said in pairs.items()
    )
