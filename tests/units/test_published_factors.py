"""Factors against NIST SP 811 and the exact definitions, and against other libraries."""

from __future__ import annotations

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from headwater.units import Quantity, convert, parse_quantity

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("text", "unit", "factor"),
    [
        # Exact by definition: inch of 1959, pound of 1959, standard gravity, US gallon.
        ("1 in", "mm", 25.4),
        ("1 thou", "µm", 25.4),
        ("1 lbf", "N", 4.4482216152605),
        ("1 lbf·ft", "Nm", float(Fraction(3389544870828501, 2500000000000000))),
        ("1 lbf·in", "Nm", 0.1129848290276167),
        ("1 kgf·m", "Nm", 9.80665),
        ("100 Nm", "lbf·ft", 73.75621492772655),
        ("1 psi", "kPa", 6.894757293168),
        ("1 bar", "psi", 14.50377377302),
        ("1 US qt", "l", 0.946352946),
        ("1 US pt", "l", 0.473176473),
        ("1 imp pt", "l", 0.56826125),
        ("1 mile", "km", 1.609344),
        ("-40 °C", "°F", -40),
        ("100 °C", "°F", 212),
        ("120 °C", "°F", 248),
        ("150 °C", "°F", 302),
        # NIST SP 811 appendix B prints 1.355 818 E+00 and 1.129 848 E-01: from memory.
    ],
)
def test_published_conversions(text: str, unit: str, factor: float) -> None:
    dimension = {"1 lbf": "force"}.get(text)
    assert convert(parse_quantity(text, dimension), unit) == pytest.approx(factor, rel=1e-11)


def test_a_difference_of_80_k_is_144_fahrenheit_degrees() -> None:
    assert convert(parse_quantity("80 K", "temperature-difference"), "F") == pytest.approx(144)


@pytest.mark.parametrize(
    ("text", "dimension", "ours", "theirs"),
    [
        # pint calls a thousandth of an inch 'thou'; its 'mil' is something else.
        ("thou", "length", "mm", "thou -> mm"),
        ("ft", "length", "mm", "ft -> mm"),
        ("lbf·ft", "torque", "Nm", "lbf*ft -> N*m"),
        ("psi", "pressure", "kPa", "psi -> kPa"),
        ("US qt", "volume", "l", "quart -> l"),
        ("imp qt", "volume", "l", "imperial_quart -> l"),
        ("lb", "mass", "kg", "lb -> kg"),
        ("oz", "mass", "kg", "oz -> kg"),
        ("mph", "speed", "km/h", "mph -> km/h"),
        ("rad", "angle", "°", "rad -> degree"),
        ("rad/s", "rotation", "rpm", "rad/s -> rpm"),
        ("cSt", "viscosity", "mm2/s", "centistokes -> mm**2/s"),
    ],
)
@given(st.floats(0.01, 1e4))
def test_pint_agrees(text: str, dimension: str, ours: str, theirs: str, number: float) -> None:
    source, target = theirs.split(" -> ")
    expected = REGISTRY.Quantity(number, source).to(target).magnitude
    got = convert(parse_quantity(f"{number:.10f} {text}", dimension), ours)
    assert got == pytest.approx(expected, rel=1e-7)


@given(st.floats(-200, 2000))
def test_pint_agrees_on_fahrenheit(celsius: float) -> None:
    # pint gives 31.999999999999936 for 0 °C: compare within 1e-9, never exactly.
    expected = REGISTRY.Quantity(celsius, "degC").to("degF").magnitude
    assert convert(Quantity(celsius, "temperature"), "°F") == pytest.approx(expected, abs=1e-8)


def test_scipy_constants_agree() -> None:
    assert convert(parse_quantity("1 in"), "m") == pytest.approx(constants.inch, rel=1e-12)
    assert convert(parse_quantity("1 lb"), "kg") == pytest.approx(constants.lb, rel=1e-12)
    assert convert(parse_quantity("1 psi"), "kPa") == pytest.approx(constants.psi / 1e3, rel=1e-11)
    assert convert(parse_quantity("1 rad"), "°") == pytest.approx(math.degrees(1), rel=1e-11)
