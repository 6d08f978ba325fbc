"""What is hinted at by the things that are named together, beside what the phrases give."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from headwater.hearing.cover import Known
from headwater.hearing.index import Index
from headwater.hearing.targets import Target
from headwater.hearing.together import Ear, listen


@dataclass(frozen=True, slots=True)
class Hinted:
    """Something that is hinted at, with the words that do."""

    target: Target
    words: str


def hinted(index: Index, ears: Sequence[Ear], known: Known) -> Iterator[Hinted]:
    """Yield what is hinted at, in the order of the book: the special before the general.

    What a single concept hints at is left where it is among those of something more special.
    """
    taken: set[int] = set()
    for sign, target in index.hints:
        if not known(target):
            continue
        for ear in ears:
            if places := ear.told(sign):
                if len(places) > 1 or not taken.issuperset(places):
                    yield Hinted(target, ear.words(places))
                taken.update(places if len(places) > 1 else ())
                break


def hinted_words(hints: Iterable[Hinted], ids: Collection[str]) -> set[str]:
    """Return the words that hint at some things, by id."""
    return {word for hint in hints if hint.target.id in ids for word in hint.words.split()}


_PIECE = re.compile(r"[.,;!?]+")


def is_explained(index: Index, target: Target, words: Sequence[str], text: str) -> bool:
    """Say whether beside some words stands what makes them mean something else than a target.

    What a hint at it has as calm speaks against its phrases, too, in a piece with one of the words.
    """
    signs = [sign for sign, hinted_at in index.hints if hinted_at.id == target.id]
    pieces = [piece for piece in _PIECE.split(text) if _has_any(piece.lower(), words)]
    return any(Ear(listen(piece)).is_calmed(sign) for piece in pieces for sign in signs)


def _has_any(piece: str, words: Sequence[str]) -> bool:
    return any(word in piece for word in words)
