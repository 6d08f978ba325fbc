"""What is hinted at by the things that are named together, beside what the phrases give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from headwater.hearing.cover import Known
from headwater.hearing.index import Index
from headwater.hearing.targets import Target
from headwater.hearing.together import Ear


@dataclass(frozen=True, slots=True)
class Hinted:
    """Something that is hinted at, with the words that do."""

    target: Target
    words: str


def hinted(index: Index, ears: Sequence[Ear], known: Known) -> Iterator[Hinted]:
    """Yield what is hinted at, in the order of the book: the special before the general."""
    for sign, target in index.hints:
        if not known(target):
            continue
        for ear in ears:
            if places := ear.told(sign):
                yield Hinted(target, ear.words(places))
                break
