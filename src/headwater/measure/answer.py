"""Takes an answer as a person gives it and says which answer of the check it is, and how surely.

A word is matched to the answers of the check. A reading is parsed with its unit, computed from
several inputs where the check says so, and judged against the bands of the limit: near an edge it
belongs partly to either side and settles nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.tables import SPECIAL, TAKEN_BACK, Seat
from headwater.book.things import Limit
from headwater.errors import HeadwaterError, Place
from headwater.measure.judge import Bands, judge
from headwater.units import Quantity, parse_quantity, parse_uncertain, show

RawAnswer = str | tuple[str, ...] | Mapping[str, str]
"""A word, one or several readings, or the inputs of bench arithmetic by name."""


class AnswerError(HeadwaterError):
    """An answer that cannot be understood; says which answers there are."""


@dataclass(frozen=True, slots=True)
class Judged:
    """An answer to a check, understood.

    `shares` gives each answer of the check its probability and adds up to 1 (empty for an answer
    that tells nothing). `settled` is the answer that is certain; None where a reading is too close
    to call. `working` are the lines of bench arithmetic, if any.
    """

    check: str
    given: RawAnswer
    shares: tuple[tuple[str, float], ...] = ()
    settled: str | None = None
    special: str | None = None
    quantity: Quantity | None = None
    uncertainty: float = 0.0
    seat: Seat | None = None
    working: tuple[str, ...] = ()

    @property
    def too_close(self) -> bool:
        """True for a reading that decides nothing."""
        return self.special is None and self.settled is None


def understand(book: Book, check: Check, given: RawAnswer, place: Place | None = None) -> Judged:
    """Return an answer, understood. Raises AnswerError with the mend, at `place`."""
    try:
        if isinstance(given, str) and given.strip().lower() in (*SPECIAL, TAKEN_BACK):
            return Judged(check.id, given, special=given.strip().lower())
        if check.reading:
            return _measured(book, check, given)
        return _chosen(check, given)
    except HeadwaterError as error:
        raise AnswerError(f"{check.id}: {error.message}", error.place or place) from None


def _chosen(check: Check, given: RawAnswer) -> Judged:
    words = list(check.answers)
    if not isinstance(given, str):
        raise AnswerError(f"one of {', '.join(words)} is wanted")
    word = meant(check, given)
    if word not in check.answers:
        known = ", ".join((*words, *SPECIAL))
        raise AnswerError(f"'{given}' is not one of {known}{nearest(word, (*words, *SPECIAL))}")
    return Judged(check.id, word, ((word, 1.0),), settled=word)


def meant(check: Check, given: str) -> str:
    """Return the answer that a word means: itself, or the one that lists it as `also`."""
    word = given.strip().lower()
    if word in check.answers:
        return word
    return next((str(key) for key, answer in check.answers.items() if word in answer.also), word)


def _measured(book: Book, check: Check, given: RawAnswer) -> Judged:
    assert check.reading is not None
    limit = book.limits[check.reading.limit]
    if isinstance(given, str) and given.strip().lower() in check.answers:
        word = given.strip().lower()
        return Judged(check.id, word, ((word, 1.0),), settled=word)
    gauge = book.gauges.get(check.reading.gauge) if check.reading.gauge else None
    gauge_u = parse_quantity(gauge.u, _difference(limit.dimension)).value if gauge else 0.0
    working: tuple[str, ...] = ()
    if check.reading.work:
        quantity, u, working = _worked(check, given, limit.dimension, gauge_u)
    else:
        if isinstance(given, Mapping):
            raise AnswerError(f"one reading in {limit.unit} is wanted")
        quantity, own = parse_uncertain(given, limit.dimension)
        u = own if _states_uncertainty(given) else math.hypot(own, gauge_u)
    judgement = judge(quantity.value, u, bands_of(limit))
    shares = tuple(zip(judgement.bands.names, judgement.shares, strict=True))
    return Judged(
        check.id,
        given,
        tuple((name, share) for name, share in shares if share > 1e-9),
        settled=judgement.certain,
        quantity=quantity,
        uncertainty=u,
        working=working,
    )


def _states_uncertainty(given: str | tuple[str, ...]) -> bool:
    text = given if isinstance(given, str) else " ".join(given)
    return "±" in text or "+/-" in text


def _worked(
    check: Check, given: RawAnswer, dimension: str, gauge_u: float
) -> tuple[Quantity, float, tuple[str, ...]]:
    from headwater.measure.registry import WORKS, run_work

    assert check.reading is not None
    assert check.reading.work is not None
    fixed = dict(check.reading.inputs)
    if not isinstance(given, Mapping):
        asked = asked_inputs(check)
        if len(asked) == 1:
            given = {asked[0]: given if isinstance(given, str) else "; ".join(given)}
        else:
            text = given if isinstance(given, str) else "; ".join(given)
            # The result itself may be given, worked out elsewhere.
            quantity, u = parse_uncertain(text, dimension)
            return quantity, u, ()
    gauged = {
        item.name: gauge_u
        for item in WORKS[check.reading.work].inputs
        if gauge_u
        and item.dimension == dimension
        and not item.many
        and item.name in given
        and not _states_uncertainty(given[item.name])
    }
    result = run_work(check.reading.work, {**fixed, **given}, gauged)
    return result.value, result.uncertainty, result.lines


def asked_inputs(check: Check) -> list[str]:
    """Return the inputs of a check's bench arithmetic that a person must give."""
    from headwater.measure.registry import WORKS

    assert check.reading is not None
    if not check.reading.work:
        return []
    return [
        item.name
        for item in WORKS[check.reading.work].inputs
        if item.name not in check.reading.inputs and item.default is None and not item.optional
    ]


def bands_of(limit: Limit) -> Bands:
    """Return the bands of a limit in the base unit of its dimension."""
    edges = [parse_quantity(b.upto, limit.dimension).value for b in limit.bands if b.upto]
    return Bands(tuple(str(band.name) for band in limit.bands), tuple(edges))


def limit_of(book: Book, check: str) -> Limit | None:
    """Return the limit that a check is judged against; None where nothing is measured."""
    reading = book.checks[check].reading
    return book.limits[reading.limit] if reading else None


def _difference(dimension: str) -> str:
    return "temperature-difference" if dimension == "temperature" else dimension


def say_given(judged: Judged, limit: Limit | None = None) -> str:
    """Return the answer in words: a reading in the limit's unit with the band it lies in."""
    if judged.quantity is None or limit is None:
        return judged.given if isinstance(judged.given, str) else str(judged.settled)
    text = show(judged.quantity, limit.unit)
    if judged.settled:
        return f"{text}: {judged.settled}"
    return f"{text}: too close to call"
