"""The people who answer: what there is to see on a unit, and how well it is seen and told.

All figures are of this room. They differ from the book's on purpose: a planner that is tried on
answers drawn from its own table would only be told what it believes already. No source: they are
set by what seems likely in a shop.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from headwater.book.chances import Sureness
from headwater.book.model import Answer, Check
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, Seat
from headwater.measure.answer import bands_of
from headwater.measure.judge import Bands, band_of
from headwater.simulate.units import Setting, SimulatedUnit
from headwater.units import base_unit, parse_quantity

SIGNS: dict[str, tuple[float, float]] = {
    "decisive": (0.9995, 0.0005),
    "strong": (0.86, 0.13),
    "weak": (0.64, 0.34),
}
"""P(the sign is there | condition present) and the same if it is absent, by the book's word."""
NUMBERS_KEEP = 0.9
"""How much of its distance from one half a sign keeps whose sureness the book gives in numbers."""
PASSED_OVER = 0.1
"""Weight of an answer that is silent on something present which another answer would show."""
SILENT = 0.5
"""Weight of an answer for what it says nothing about."""
REPEATS_SLIP = 0.6
"""How often a person who was mistaken says the same when asked again."""


class Manner(StrEnum):
    """How an answer is come by."""

    LOOK = "look"
    READING = "reading"
    HEARSAY = "hearsay"


SKILL: dict[Manner, tuple[float, float]] = {
    Manner.LOOK: (0.985, 0.999),
    Manner.READING: (0.990, 0.999),
    Manner.HEARSAY: (0.930, 0.990),
}
"""From where to where the skill of the single checks lies: P(the true state is reported)."""
PLAIN_GAUGE = 0.02
"""Standard uncertainty of a reading whose check names no gauge, as a share of its narrowest band.
"""
TWO_READINGS = 2.0**0.5
"""A figure that is worked out has at least two readings in it."""


class Reply(NamedTuple):
    """An answer: the word that it comes to, and what the person says."""

    word: str
    given: str


class Asked(NamedTuple):
    """Which asking of a check it is: whom (0, 1 ...), and how often that person before."""

    person: int = 0
    time: int = 0


def way_of(check: Check) -> Manner:
    """Return how a check is answered."""
    if check.reading:
        return Manner.READING
    return Manner.HEARSAY if Seat.CALL in check.seats else Manner.LOOK


def skill_of(check: Check) -> float:
    """Return how often the true state is reported at this check; some are easier than others."""
    return random.Random(f"skill/{check.id}").uniform(*SKILL[way_of(check)])


def sign(sureness: Sureness) -> tuple[float, float]:
    """Return the figures of this room for what the book says of an answer."""
    if sureness.word in SIGNS:
        return SIGNS[sureness.word]
    return (
        0.5 + NUMBERS_KEEP * (sureness.present - 0.5),
        0.5 + NUMBERS_KEEP * (sureness.absent - 0.5),
    )


def pair_of(check: Check, answer: Answer, condition: str) -> tuple[float, float]:
    """Return the weights of an answer where a condition is present, and where it is absent."""
    shown = answer.shows.get(condition)  # type: ignore[call-overload]
    if shown:
        return sign(shown)
    denied = answer.rules_out.get(condition)  # type: ignore[call-overload]
    if denied:
        there, absent = sign(denied)
        return absent, there
    return (PASSED_OVER if condition in check.decides() else SILENT), SILENT


def weights_of(check: Check, present: Iterable[str]) -> list[float]:
    """Return how likely each answer of a check is to be the true one, up to a common factor."""
    there = frozenset(present)
    weights = []
    for answer in check.answers.values():
        weight = 1.0
        for condition in check.speaks_of():
            weight *= pair_of(check, answer, condition)[condition not in there]
        weights.append(weight)
    return weights


@dataclass(frozen=True, slots=True)
class Observer:
    """The people at one unit. Every answer has a random stream of its own: order changes nothing.

    What a person does not know, he does not know when asked again; another may. Who was mistaken
    repeats it with `REPEATS_SLIP`. 'Cannot check now' is of that moment.
    """

    book: Book
    unit: SimulatedUnit
    setting: Setting

    def truth(self, check: Check) -> str:
        """Return the answer that fits the unit, whoever looks."""
        if check.id in self.unit.told:
            return self.unit.told[check.id]
        words, weights = [*map(str, check.answers)], weights_of(check, self.unit.present)
        if self.setting.plain:
            return words[weights.index(max(weights))]
        return self._stream(check, "truth").choices(words, weights)[0]

    def exactly(self, check: Check) -> Reply:
        """Return the true answer; a reading from the middle of its band, without error."""
        word = self.truth(check)
        if not check.reading:
            return Reply(word, word)
        low, high = span_of(self.bands(check), word)
        return Reply(word, self._written(check, (low + high) / 2.0))

    def answer(self, check: Check, asked: Asked = Asked()) -> Reply:  # noqa: B008 - a value
        """Return what is answered; the word of a special answer is the answer itself."""
        key = f"{asked.person}/{asked.time}"
        if self._stream(check, f"now/{key}").random() < self.setting.not_now:
            return Reply(CANNOT_CHECK, CANNOT_CHECK)
        if self.unknown(check, asked.person):
            return Reply(DONT_KNOW, DONT_KNOW)
        word = self.slip(check, asked) or self.truth(check)
        return self.read(check, word, key) if check.reading else Reply(word, word)

    def unknown(self, check: Check, person: int) -> bool:
        """Say whether a person cannot answer a check; nobody can where it makes no sense."""
        return (
            not self.makes_sense(check)
            or self._stream(check, f"unsure/{person}").random() < self.setting.unsure
        )

    def makes_sense(self, check: Check) -> bool:
        """Say whether what a check presumes is there."""
        presumed = {str(condition) for condition in check.presumes}
        return not presumed or bool(presumed & self.unit.present)

    def slip(self, check: Check, asked: Asked) -> str | None:
        """Return the mistaken answer of a person, or None: another ordinary answer of the check."""
        if asked.time and (before := self.slip(check, Asked(asked.person, asked.time - 1))):
            again = self._stream(check, f"again/{asked.person}/{asked.time}").random()
            return before if again < REPEATS_SLIP else None
        stream = self._stream(check, f"slip/{asked.person}/{asked.time}")
        right = skill_of(check) * (1.0 - self.setting.slips)
        if stream.random() < right or len(check.answers) < 2:
            return None
        truth = self.truth(check)
        return stream.choice([str(word) for word in check.answers if word != truth])

    def read(self, check: Check, word: str, key: str) -> Reply:
        """Return a reading: the true figure lies in the band, the gauge errs about it."""
        bands, u = self.bands(check), self.gauge(check)
        true = self._stream(check, f"figure/{word}").uniform(*span_of(bands, word))
        read = true + self._stream(check, f"gauge/{key}").gauss(0.0, u)
        low, high = self.possible(check)
        read = min(max(read, low), high)
        given = self._written(check, read)
        if check.reading and check.reading.work:  # worked out elsewhere, with its uncertainty
            given = f"{given} ± {2.0 * u:.3g} {self._unit(check)}".strip()
        return Reply(bands.names[band_of(read, bands.edges)], given)

    def bands(self, check: Check) -> Bands:
        """Return the bands of a measured check, in the base unit."""
        assert check.reading is not None
        return bands_of(self.book.limits[check.reading.limit])

    def gauge(self, check: Check) -> float:
        """Return the standard uncertainty of a reading, in the base unit."""
        assert check.reading is not None
        if not check.reading.gauge:
            return PLAIN_GAUGE * narrowest(self.bands(check))
        dimension = self.book.limits[check.reading.limit].dimension
        difference = "temperature-difference" if dimension == "temperature" else dimension
        u = parse_quantity(self.book.gauges[check.reading.gauge].u, difference).value
        return u * TWO_READINGS if check.reading.work else u

    def possible(self, check: Check) -> tuple[float, float]:
        """Return the least and the most that can be read, in the base unit."""
        assert check.reading is not None
        bands = self.bands(check)
        if check.reading.possible:
            dimension = self.book.limits[check.reading.limit].dimension
            low, high = (parse_quantity(p, dimension).value for p in check.reading.possible)
            return low, high
        return span_of(bands, bands.names[0])[0], span_of(bands, bands.names[-1])[1]

    def _written(self, check: Check, value: float) -> str:
        low, high = self.possible(check)
        return f"{min(max(value, low), high):.6g} {self._unit(check)}".strip()

    def _unit(self, check: Check) -> str:
        assert check.reading is not None
        return base_unit(self.book.limits[check.reading.limit].dimension)

    def _stream(self, check: Check, what: str) -> random.Random:
        return random.Random(f"{self.unit.seed}/{len(self.unit.origins)}/{check.id}/{what}")


def narrowest(bands: Bands) -> float:
    """Return the width of the narrowest band that has two edges, or the size of the only edge."""
    widths = [high - low for low, high in zip(bands.edges, bands.edges[1:], strict=False)]
    return min(widths, default=abs(bands.edges[0]) or 1.0)


def span_of(bands: Bands, word: str) -> tuple[float, float]:
    """Return from where to where true figures of a band lie; open bands are as wide as the next.

    What cannot be negative by its edges is not.
    """
    edges: Sequence[float] = bands.edges
    index, wide = bands.names.index(word), narrowest(bands)
    low = edges[index - 1] if index else edges[0] - wide
    high = edges[index] if index < len(edges) else edges[-1] + wide
    return (max(low, 0.0) if edges[0] > 0.0 else low), high
