"""What a piece of bench arithmetic is: its inputs, its formula and source, and how it is run.

A work turns readings as a person writes them into one judged number, further results and notes.
Uncertainties of the inputs are carried to the result by the law of propagation, each input being
moved up and down by its standard uncertainty (GUM, JCGM 100:2008, 5.1.2 and the note on numerical
coefficients in 5.1.3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from headwater.errors import HeadwaterError
from headwater.measure.faults import MeasureError, not_negative
from headwater.units import (
    COVERAGE_FACTOR,
    Quantity,
    parse_quantities,
    parse_uncertain,
    show,
)

Reading = str | Quantity | Iterable[str | float]
"""What a caller may put in: a text, a parsed quantity, or a list of texts or numbers."""


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a work asks for.

    `dimension` is one of `headwater.units`; with `choices` the answer is one of these words and
    the dimension is 'choice'. `many` takes a list. An input with neither `default` nor `optional`
    must be given.
    """

    name: str
    dimension: str
    ask: str
    default: str | None = None
    choices: tuple[str, ...] | None = None
    optional: bool = False
    many: bool = False


@dataclass(frozen=True, slots=True)
class Given:
    """The inputs of one run in base units, and the standard uncertainties of the readings."""

    numbers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    words: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    lists: Mapping[str, tuple[float, ...]] = field(default_factory=lambda: MappingProxyType({}))
    uncertainties: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def __getitem__(self, name: str) -> float:
        """Return a number that must be there."""
        return self.numbers[name]

    def uncertainty(self, name: str) -> float:
        """Return the standard uncertainty of an input; 0 when it has none."""
        return self.uncertainties.get(name, 0.0)

    def moved(self, name: str, by: float) -> Given:
        """Return the same inputs with one number moved."""
        return replace(self, numbers={**self.numbers, name: self.numbers[name] + by})


@dataclass(frozen=True, slots=True)
class Worked:
    """What a work's function returns; `uncertainty` is a part the inputs do not account for."""

    value: float
    further: tuple[tuple[str, Quantity], ...] = ()
    notes: tuple[str, ...] = ()
    uncertainty: float = 0.0


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of bench arithmetic under the name the trade gives it."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    formula: str
    source: str
    dimension: str
    function: Callable[[Given], Worked]


@dataclass(frozen=True, slots=True)
class WorkResult:
    """The result of a work, ready to be judged and to be shown.

    `uncertainty` is the standard uncertainty of `value` in its base unit, 0 when nothing was
    known of the inputs'. `lines` say the whole of it, a line each.
    """

    name: str
    value: Quantity
    uncertainty: float
    put_in: tuple[str, ...]
    further: tuple[tuple[str, Quantity], ...]
    notes: tuple[str, ...]
    formula: str
    source: str

    @property
    def lines(self) -> tuple[str, ...]:
        """The numbers put in, the result, what follows from it, the formula and the source."""
        result = f"{self.name} = {say(self.value, self.uncertainty)}"
        more = (f"{name} = {say(quantity)}" for name, quantity in self.further)
        told = (f"formula: {self.formula}", f"source: {self.source}")
        return (*self.put_in, result, *more, *self.notes, *told)


def perform(
    work: Work,
    inputs: Mapping[str, Reading],
    uncertainties: Mapping[str, float] | None = None,
) -> WorkResult:
    """Run a work on readings.

    A single input may be given as several readings; their mean is used and their scatter counts.
    `uncertainties` are standard uncertainties in base units, by input, such as those of the
    gauges used; they add to what a reading carries itself. Raises `UnitError` for a reading that
    cannot be understood and `MeasureError` for one that is missing or makes no sense.
    """
    given, put_in = _read(work, inputs, uncertainties or {})
    outcome = _work_out(work, given)
    uncertainty = math.hypot(_propagated(work, given, outcome.value), outcome.uncertainty)
    _refuse_endless(work, uncertainty)
    value = Quantity(_clean(outcome.value), work.dimension, work.name)
    return WorkResult(
        work.name,
        value,
        _clean(uncertainty),
        put_in,
        outcome.further,
        outcome.notes,
        work.formula,
        work.source,
    )


def _work_out(work: Work, given: Given) -> Worked:
    """Return what the formula makes of numbers; raise MeasureError where it makes nothing of them.

    A reading may be as small or as large as a person can write: any formula meets its end there.
    """
    try:
        outcome = work.function(given)
    except (ArithmeticError, ValueError):
        raise MeasureError(_NO_RESULT.format(work.name)) from None
    figures = (quantity.value for _, quantity in outcome.further)
    _refuse_endless(work, outcome.value, outcome.uncertainty, *figures)
    return outcome


_NO_RESULT = "{}: these numbers give no finite result; check them and their units"


def _refuse_endless(work: Work, *figures: float) -> None:
    if not all(map(math.isfinite, figures)):
        raise MeasureError(_NO_RESULT.format(work.name))


def say(quantity: Quantity, uncertainty: float = 0.0) -> str:
    """Return a quantity in words of the bench: lengths also in inches, ± with k = 2."""
    expanded = _clean(uncertainty * COVERAGE_FACTOR)
    # Two figures of U, and the value to the same place (GUM 7.2.6).
    digits = min(12, max(0, 1 - math.floor(math.log10(expanded)))) if expanded else None
    text = show(quantity, digits=digits)
    if quantity.dimension == "length":
        text += f" ({show(quantity, 'in')})"
    if expanded:
        spread = Quantity(expanded, _difference(quantity.dimension))
        text += f" ± {show(spread, digits=digits)} (U, k = 2)"
    return text


def _read(
    work: Work, inputs: Mapping[str, Reading], uncertainties: Mapping[str, float]
) -> tuple[Given, tuple[str, ...]]:
    known = {item.name: item for item in work.inputs}
    for name in (*inputs, *uncertainties):
        if name not in known:
            raise MeasureError(f"{work.name} does not ask for '{name}'; it asks for {_list(known)}")
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    lists: dict[str, tuple[float, ...]] = {}
    spread: dict[str, float] = {}
    put_in = []
    for name, item in known.items():
        reading = inputs.get(name, item.default)
        if reading is None:
            if not item.optional:
                raise MeasureError(f"{work.name} needs '{name}': {item.ask}")
            continue
        with_default = "" if name in inputs else " (taken, not given)"
        try:
            if item.choices is not None:
                words[name] = text = _choice(item, reading)
            elif item.many:
                quantities = _several(item, reading)
                lists[name] = tuple(quantity.value for quantity in quantities)
                text = ", ".join(show(quantity) for quantity in quantities)
            else:
                quantity, own = _single(item, reading)
                also = not_negative(uncertainties.get(name, 0.0), "an uncertainty")
                numbers[name] = quantity.value
                spread[name] = math.hypot(own, also)
                text = say(quantity, spread[name])
        except HeadwaterError as fault:
            raise type(fault)(f"{name}: {fault.message}", fault.place) from None
        put_in.append(f"{name}: {text}{with_default}")
    return Given(numbers, words, lists, spread), tuple(put_in)


def _choice(item: Input, reading: Reading) -> str:
    choices = item.choices or ()
    if reading not in choices:
        raise MeasureError(f"'{reading}' is not one of {', '.join(choices)}")
    return str(reading)


def _several(item: Input, reading: Reading) -> tuple[Quantity, ...]:
    if isinstance(reading, Quantity):
        return (_single(item, reading)[0],)
    return parse_quantities(reading, item.dimension)


def _single(item: Input, reading: Reading) -> tuple[Quantity, float]:
    if not isinstance(reading, Quantity):
        return parse_uncertain(reading, item.dimension)
    if reading.dimension != item.dimension:
        raise MeasureError(f"is a {reading.dimension}, but a {item.dimension} is wanted")
    return reading, 0.0


def _propagated(work: Work, given: Given, value: float) -> float:
    parts = [_effect(work, given, name, u, value) for name, u in given.uncertainties.items() if u]
    return math.hypot(*parts)


def _effect(work: Work, given: Given, name: str, u: float, value: float) -> float:
    ends = []
    for by in (u, -u):
        try:
            ends.append(_work_out(work, given.moved(name, by)).value)
        except MeasureError:
            continue  # this side leaves what the formula allows; the other one speaks for both
    if not ends:
        raise MeasureError(f"{name}: ± leaves nothing the formula can use; enter it without")
    low, high = (ends[0], ends[1]) if len(ends) == 2 else (ends[0], 2 * value - ends[0])
    return abs(low - high) / 2


def _clean(value: float) -> float:
    # 80.02 - 79.994 is 0.0260000000000105 and would miss a limit of 0.026; nine figures are more
    # than any gauge has.
    return float(f"{value:.9g}")


def _difference(dimension: str) -> str:
    return "temperature-difference" if dimension == "temperature" else dimension


def _list(names: Iterable[str]) -> str:
    return ", ".join(names)
