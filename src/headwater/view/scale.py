"""A reading against its limit, as a bar: the bands from low to high, and where the reading lies."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from headwater.book.records import Book
from headwater.measure.answer import Judged, bands_of, limit_of
from headwater.measure.judge import GUARD_FACTOR
from headwater.view.answers import answer_words, limit_words
from headwater.view.words import plain_word

WIDTH = 1000
PAST_THE_EDGE = 1.5
"""The last band has no end: it is shown half as far again as where it begins."""
ROOM = 1.1
"""A reading keeps away from the end of the bar."""


@dataclass(frozen=True, slots=True)
class ScaleBand:
    """A band of the limit on the bar, from its left edge on."""

    name: str
    left: int
    width: int
    here: bool


@dataclass(frozen=True, slots=True)
class Scale:
    """A bar of `WIDTH` steps: its bands, the reading and what the gauge leaves open about it.

    `words` say all of it.
    """

    bands: tuple[ScaleBand, ...]
    at: int
    low: int
    high: int
    words: str


def scale_of(book: Book, judged: Judged) -> Scale | None:
    """Return the bar of a reading; None where nothing was measured."""
    limit = limit_of(book, judged.check)
    if judged.quantity is None or limit is None:
        return None
    bands, value = bands_of(limit), judged.quantity.value
    if not bands.edges:
        return None
    spread = GUARD_FACTOR * judged.uncertainty
    least = min(0.0, value - spread, bands.edges[0])
    most = max(bands.edges[-1] * PAST_THE_EDGE, (value + spread) * ROOM, bands.edges[-1] + 1e-9)

    def place(of: float) -> int:
        return round(WIDTH * (min(max(of, least), most) - least) / (most - least))

    places = [0, *map(place, bands.edges), WIDTH]
    drawn = tuple(
        ScaleBand(plain_word(name), left, right - left, name == judged.settled)
        for name, (left, right) in zip(bands.names, pairwise(places), strict=True)
    )
    words = f"{answer_words(book, judged)}. {limit_words(limit)}."
    return Scale(drawn, place(value), place(value - spread), place(value + spread), words)
