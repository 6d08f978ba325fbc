"""Quantities as text, and round trips."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.units import (
    Quantity,
    UnitError,
    base_unit,
    convert,
    dimensions,
    parse_quantity,
    show,
    units_of,
)

UNITS = [(dimension, unit) for dimension in dimensions() for unit in units_of(dimension)]


@pytest.mark.parametrize(
    ("value", "dimension", "unit", "digits", "text"),
    [
        (1.143, "length", None, None, "1.143 mm"),
        (1.14, "length", None, None, "1.14 mm"),
        (1.143, "length", "in", None, "0.045 in"),
        (1.143, "length", "thou", 1, "45.0 thou"),
        (0.0004, "length", None, None, "0.0004 mm"),
        (-0.021, "length", None, None, "-0.021 mm"),
        (0.0, "length", None, None, "0 mm"),
        (-0.0001, "length", None, 2, "0.00 mm"),
        (100.0, "temperature", "F", None, "212 °F"),
        (80.0, "temperature-difference", "F", None, "144 °F"),
        (2.72, "ratio", None, None, "2.72"),
        (2.72, "ratio", ":1", None, "2.72:1"),
        (3.0, "percent", None, None, "3 %"),
        (15.0, "angle", None, None, "15°"),
        (24.0, "count", None, None, "24"),
        (1500.0, "rotation", None, None, "1500 rpm"),
    ],
)
def test_showing(
    value: float, dimension: str, unit: str | None, digits: int | None, text: str
) -> None:
    assert show(Quantity(value, dimension), unit, digits) == text


def test_a_unit_of_another_dimension_is_not_shown() -> None:
    with pytest.raises(UnitError):
        show(Quantity(1.0, "length"), "Nm")


def test_base_units() -> None:
    bases = {name: base_unit(name) for name in ("length", "torque", "ratio", "viscosity")}
    assert bases == {"length": "mm", "torque": "Nm", "ratio": "", "viscosity": "mm2/s"}


@given(st.sampled_from(UNITS), st.floats(-1e4, 1e4).map(lambda value: round(value, 6)))
def test_a_number_survives_a_trip_through_any_unit(kind: tuple[str, str], number: float) -> None:
    dimension, unit = kind
    if dimension == "temperature":
        number = abs(number)
    read = parse_quantity(f"{number:.6f} {unit}", dimension)
    assert (
        convert(read, unit) == pytest.approx(number, rel=1e-9, abs=1e-9)
        if unit
        else (read.value == pytest.approx(number))
    )


@given(st.sampled_from(UNITS), st.floats(0.001, 1e4))
def test_what_is_shown_can_be_read_again(kind: tuple[str, str], number: float) -> None:
    dimension, unit = kind
    shown = show(Quantity(number, dimension), unit or None, digits=12)
    assert parse_quantity(shown, dimension).value == pytest.approx(number, rel=1e-3)


@given(st.floats(-100, 100), st.floats(-100, 100), st.sampled_from(["in", "thou", "µm", "ft"]))
def test_conversion_keeps_the_order(one: float, other: float, unit: str) -> None:
    low, high = sorted((one, other))
    assert convert(Quantity(low, "length"), unit) <= convert(Quantity(high, "length"), unit)


@given(st.text(max_size=30), st.sampled_from([None, *dimensions()]))
def test_any_text_is_read_or_refused_in_one_line(text: str, dimension: str | None) -> None:
    says = ""
    try:
        read = parse_quantity(text, dimension)
    except UnitError as fault:
        says = fault.message
    else:
        assert dimension in (None, read.dimension)
    assert len(says.splitlines()) <= 1
