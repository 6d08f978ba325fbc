"""Takes an answer as a person gives it and says which answer of the check it is, and how surely.

A word is matched to the answers of the check. A reading is parsed with its unit, computed from
several inputs where the check says so, and judged against the bands of the limit: near an edge it
belongs partly to either side and settles nothing. What gauge and geometry cannot give is refused.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from headwater.book.model import Check, HowMeasured
from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.tables import SPECIAL, TAKEN_BACK, Seat
from headwater.book.things import Limit
from headwater.errors import HeadwaterError, Place
from headwater.estimates import is_rough
from headwater.measure.judge import Bands, judge
from headwater.units import Quantity, UnitError, parse_quantity, parse_uncertain, show

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
        if isinstance(given, str) and plain(given) in (*SPECIAL, TAKEN_BACK):
            return Judged(check.id, given, special=plain(given))
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


def plain(given: str) -> str:
    """Return a word as answers are compared: small letters, no blanks or full stop round it.

    >>> plain(" Whole. ")
    'whole'
    """
    return " ".join(given.lower().split()).strip(" .,;!")


def meant(check: Check, given: str) -> str:
    """Return the answer that a word means: itself, or the one that says it, or lists it as said.

    One of several looks is enough if no other answer has it: 'melted' is 'dark, melted, cracked'.
    """
    word = plain(given)
    if word in check.answers:
        return word
    listed = [str(key) for key, answer in check.answers.items() if word in map(plain, answer.said)]
    looks = [str(key) for key, answer in check.answers.items() if word in _looks(answer.says)]
    return listed[0] if listed else looks[0] if len(looks) == 1 else word


def _looks(says: str) -> set[str]:
    """Return what an answer says, and each of the looks that it lists."""
    return {plain(says), *(plain(look) for look in says.split(","))}


def _measured(book: Book, check: Check, given: RawAnswer) -> Judged:
    assert check.reading is not None
    limit = book.limits[check.reading.limit]
    if isinstance(given, str) and (word := meant(check, given)) in check.answers:
        return Judged(check.id, word, ((word, 1.0),), settled=word)
    gauge = book.gauges.get(check.reading.gauge) if check.reading.gauge else None
    gauge_u = parse_quantity(gauge.u, _difference(limit.dimension)).value if gauge else 0.0
    working: tuple[str, ...] = ()
    if check.reading.work:
        quantity, u, working = _worked(check, given, limit.dimension, gauge_u)
    else:
        if isinstance(given, Mapping):
            raise AnswerError(f"one reading in {limit.unit} is wanted")
        quantity, u = _read_off(given, limit.dimension, gauge_u)
    _refuse_impossible(quantity, check.reading, limit)
    working = (*_told_roughly(given, u, limit), *working)
    judgement = judge(quantity.value, u, bands_of(limit))
    for name in judgement.bands.names:
        if name not in check.answers:
            raise AnswerError(
                f"limit '{limit.id}' has a band '{name}' that is no answer; mend the book"
            )
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


def _read_off(
    given: str | tuple[str, ...], dimension: str, gauge_u: float
) -> tuple[Quantity, float]:
    """Return a reading with its standard uncertainty: the one it states, else the gauge's with it.

    A reading said to be rough ('about 1 mm') has the uncertainty of `headwater.estimates` as well.
    """
    quantity, own = parse_uncertain(given, dimension)
    return quantity, own if _states_uncertainty(given) else math.hypot(own, gauge_u)


def _states_uncertainty(given: str | tuple[str, ...]) -> bool:
    text = given if isinstance(given, str) else " ".join(given)
    return "±" in text or "+/-" in text


def _refuse_impossible(quantity: Quantity, reading: HowMeasured, limit: Limit) -> None:
    """Raise AnswerError for a figure that gauge and geometry cannot give."""
    if len(reading.possible) != 2:  # none declared; the book's checker says so
        return
    try:
        least, most = (parse_quantity(text, limit.dimension) for text in reading.possible)
    except UnitError as error:
        raise AnswerError(f"its 'possible': {error.message}", reading.place) from None
    if least.value <= quantity.value <= most.value:
        return
    told, low, high = (show(one, limit.unit) for one in (quantity, least, most))
    text = f"that is {told}, but it can only be {low} to {high}; is the unit right?"
    raise AnswerError(text)


def _told_roughly(given: RawAnswer, u: float, limit: Limit) -> tuple[str, ...]:
    """Return how a reading that is said to be rough was taken, as a line; else nothing."""
    if isinstance(given, Mapping) or _states_uncertainty(given):
        return ()
    if not is_rough(given if isinstance(given, str) else "; ".join(given)):
        return ()
    spread = show(Quantity(u, _difference(limit.dimension)), _unit_of_difference(limit))
    told = "taken as rough, good to half a step of its last figure or a tenth, whichever is more"
    return (f"{told}: standard uncertainty {spread}",)


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
            return *_read_off(text, dimension, gauge_u), ()
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
    own = gauge_u if _reads_result(check, given, dimension) else 0.0
    return result.value, math.hypot(result.uncertainty, own), result.lines


def _reads_result(check: Check, given: Mapping[str, str], dimension: str) -> bool:
    """Say whether a gauge reads the result itself: no single input has its dimension."""
    from headwater.measure.registry import WORKS

    assert check.reading is not None
    assert check.reading.work is not None
    inputs = WORKS[check.reading.work].inputs
    read = [item for item in inputs if item.dimension == dimension and not item.many]
    return not any(item.name in given for item in read)


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


def with_unit(typed: str, unit: str) -> str:
    """Return a reading with the unit chosen beside it, where it carries none of its own.

    >>> with_unit("0,045", "in"), with_unit("45 thou", "in"), with_unit("2.72:1", "")
    ('0,045 in', '45 thou', '2.72:1')
    """
    return f"{typed} {unit}" if unit and typed[-1:].isdigit() else typed


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


def _unit_of_difference(limit: Limit) -> str:
    return "K" if limit.dimension == "temperature" else limit.unit


def say_given(judged: Judged, limit: Limit | None = None) -> str:
    """Return the answer in words: a reading in the limit's unit with the band it lies in."""
    if judged.quantity is None or limit is None:
        return judged.given if isinstance(judged.given, str) else str(judged.settled)
    text = show(judged.quantity, limit.unit)
    if judged.settled:
        return f"{text}: {judged.settled}"
    return f"{text}: too close to call"
