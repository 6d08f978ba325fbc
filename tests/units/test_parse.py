"""Readings as shops and data sheets write them."""

from __future__ import annotations

import math

import pytest

from headwater.units import (
    Quantity,
    UnitError,
    convert,
    dimensions,
    mean_and_spread,
    parse_quantities,
    parse_quantity,
    parse_uncertain,
    units_of,
)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("0.045 in", "length", 1.143),
        ("45 thou", "length", 1.143),
        ('0.045"', "length", 1.143),
        ("1.14 mm", "length", 1.14),
        ("1.14mm", "length", 1.14),
        (".5 mm", "length", 0.5),
        ("1,14 mm", "length", 1.14),
        ("0,045 in", "length", 1.143),
        ("80,0135 mm", "length", 80.0135),
        ("3/64 in", "length", 1.190625),
        ("1 1/2 in", "length", 38.1),
        ("1-1/2 in", "length", 38.1),
        ("-1 1/2 in", "length", -38.1),
        ("−0.02 mm", "length", -0.02),
        ("–0.02 mm", "length", -0.02),
        ("+0.02 mm", "length", 0.02),
        ("22 µm", "length", 0.022),
        ("22 μm", "length", 0.022),
        ("1e-3 mm", "length", 0.001),
        ("18 Nm", "torque", 18.0),
        ("18 N·m", "torque", 18.0),
        ("18 N.m", "torque", 18.0),
        ("18 lbf·ft", "torque", 24.40472307),
        ("18 lbf.ft", "torque", 24.40472307),
        ("18 lb-ft", "torque", 24.40472307),
        ("18 ft-lb", "torque", 24.40472307),
        ("18 ft lbs", "torque", 24.40472307),
        ("2 kgf·m", "torque", 19.6133),
        ("82 °C", "temperature", 82.0),
        ("82 C", "temperature", 82.0),
        ("180 F", "temperature", 82.2222222222),
        ("180°F", "temperature", 82.2222222222),
        ("-40 F", "temperature", -40.0),
        ("373.15 K", "temperature", 100.0),
        ("144 F", "temperature-difference", 80.0),
        ("80 K", "temperature-difference", 80.0),
        ("80 °C", "temperature-difference", 80.0),
        ("2.72:1", "ratio", 2.72),
        ("2.72 : 1", "ratio", 2.72),
        ("2,72:1", "ratio", 2.72),
        ("41:11", "ratio", 3.72727272727),
        ("2.72", "ratio", 2.72),
        ("3 %", "percent", 3.0),
        ("3%", "percent", 3.0),
        ("3 per cent", "percent", 3.0),
        ("1500 rpm", "rotation", 1500.0),
        ("1500 r/min", "rotation", 1500.0),
        ("1500 1/min", "rotation", 1500.0),
        ("1500 min⁻¹", "rotation", 1500.0),
        ("1 kHz", "frequency", 1000.0),
        ("7.2 cSt", "viscosity", 7.2),
        ("7.2 mm²/s", "viscosity", 7.2),
        ("7.2 mm^2/s", "viscosity", 7.2),
        ("15°", "angle", 15.0),
        ("15 deg", "angle", 15.0),
        ("2 bar", "pressure", 200.0),
        ("1.9 l", "volume", 1.9),
        ("2 qt", "volume", 1.892705892),
        ("1 imp pt", "volume", 0.56826125),
        ("38 kg", "mass", 38.0),
        ("5 lb", "force", 22.2411080763),
        ("60 mph", "speed", 96.56064),
        ("60 km/h", "speed", 60.0),
        ("100 miles", "distance", 160.9344),
        ("1.5 h", "time-of-work", 90.0),
        ("25 min", "time-of-work", 25.0),
        ("24", "count", 24.0),
        ("24 pitches", "count", 24.0),
        ("30 turns/km", "turns-per-distance", 30.0),
    ],
)
def test_a_reading_is_understood(text: str, dimension: str, value: float) -> None:
    read = parse_quantity(text, dimension)
    assert read.value == pytest.approx(value, rel=1e-11)
    assert (read.dimension, read.text) == (dimension, text)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("82 C", "temperature"),
        ("82 K", "temperature"),
        ("5 lb", "mass"),
        ("2 m", "length"),
        ("24", "count"),
        ("2.72:1", "ratio"),
        ("15°", "angle"),
        ("3 %", "percent"),
        ("25 min", "time-of-work"),
        ("25 1/min", "rotation"),
    ],
)
def test_the_unit_tells_the_dimension(text: str, dimension: str) -> None:
    assert parse_quantity(text).dimension == dimension


def test_equal_lengths_in_shop_and_si_units_are_equal() -> None:
    # A float of exactly 45 thou must not miss a limit of 1.143 mm by the last bit.
    assert parse_quantity("45 thou").value == parse_quantity("0.045 in").value == 1.143


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("0.045", "length", "the unit is missing; a length is written in mm, in, thou"),
        ("3", "percent", "the unit is missing; a percentage is written in %"),
        ("18 Nm", "length", "is a torque, but a length is wanted"),
        ("2 C", "length", "is a temperature or a temperature difference, but a length"),
        ("3 %", "ratio", "is a percentage, but a ratio is wanted; write 2.72:1"),
        ("5 mm", "count", "is a length, but a count is wanted; write a bare number"),
        ("2.72:1", "percent", "is a ratio, but a percentage is wanted"),
        ("12 tou", "length", "'tou' is not known; did you mean thou?"),
        ("5 rmp", None, "'rmp' is not known; did you mean rpm?"),
        ("5 zzzz", "angle", "'zzzz' is not known; an angle is written in °, rad"),
        ("5 zzzz", None, "'zzzz' is not known"),
        ("41 mil", "length", "a thousandth of an inch to one and a millimetre to another"),
        ("41 mils", None, "write thou or mm"),
        ("1,140 mm", "length", "can be read in two ways; write 1140 or 1.140"),
        ("80,013 mm", None, "write 80013 or 80.013"),
        ("1,140.5 mm", None, "one decimal sign and no thousands marks"),
        ("1 140 mm", None, "more than one number"),
        ("1.12-1.14 mm", None, "more than one number"),
        ("nan mm", None, "not a reading"),
        ("inf mm", None, "not a reading"),
        ("", None, "not a reading"),
        ("mm", "length", "not a reading"),
        ("1e999 mm", None, "too large for a length"),
        ("1e13", None, "too large for a count"),
        ("-300 C", None, "below absolute zero"),
        ("1:0", None, "a ratio cannot be to 0"),
        ("a:1", None, "not a ratio"),
        ("1/0 in", None, "0 below the line"),
        ("9" * 200, None, "too long for a reading"),
        ("5 mm", "lenght", "'lenght' is no dimension; known are length"),
    ],
)
def test_a_reading_that_cannot_be_used_says_how_to_mend_it(
    text: str, dimension: str | None, says: str
) -> None:
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, dimension)
    assert says in caught.value.message
    assert "\n" not in caught.value.message


def test_a_message_stays_one_line_whatever_was_given() -> None:
    with pytest.raises(UnitError) as caught:
        parse_quantity("5\nfurlongs\t", "length")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("texts", "values"),
    [
        ("1.14, 1.12 mm", [1.14, 1.12]),
        ("1,14, 1,12 mm", [1.14, 1.12]),
        ("1.14; 1.12 mm", [1.14, 1.12]),
        ("1.14 and 1.12 mm", [1.14, 1.12]),
        ("1.14 mm, 45 thou", [1.14, 1.143]),
        (["1.14 mm", "1.12 mm"], [1.14, 1.12]),
        ([1.14, "1.12 mm"], [1.14, 1.12]),
        ("1.14 mm", [1.14]),
    ],
)
def test_several_readings(texts: str | list[str | float], values: list[float]) -> None:
    assert [read.value for read in parse_quantities(texts, "length")] == values


def test_several_ratios_and_counts_need_no_unit() -> None:
    assert [q.value for q in parse_quantities([1, 2.72], "ratio")] == [1, 2.72]
    assert [q.value for q in parse_quantities("1:1, 2.72", "ratio")] == [1, 2.72]
    assert [q.value for q in parse_quantities("33, 75 teeth")] == [33, 75]


@pytest.mark.parametrize(
    "texts", ["1.14, 1.12", [1.14, 1.12], "1.14, 3 Nm", "1.14,1.12 mm", "", []]
)
def test_several_readings_that_cannot_be_used(texts: str | list[str | float]) -> None:
    with pytest.raises(UnitError):
        parse_quantities(texts, "length")


def test_readings_of_different_kinds_have_no_mean() -> None:
    mixed = [parse_quantity("1 mm"), parse_quantity("1 Nm")]
    with pytest.raises(UnitError, match="a length is wanted"):
        mean_and_spread(mixed)
    with pytest.raises(UnitError, match="at least one"):
        mean_and_spread([])


def test_mean_and_spread_of_five_dial_readings() -> None:
    # s = 1.92353841 µm: dial-indicator budget worked with the formulas of GUM 4.2.
    found = mean_and_spread(parse_quantities(".112, .115, .110, .114, .113 mm"))
    assert found.mean.value == pytest.approx(0.1128)
    assert found.deviation == pytest.approx(0.00192353841, abs=1e-10)
    assert (found.count, found.low, found.high) == (5, 0.110, 0.115)


def test_one_reading_has_no_spread() -> None:
    assert mean_and_spread([parse_quantity("1.14 mm")]).deviation == 0


@pytest.mark.parametrize(
    ("text", "dimension", "value", "uncertainty"),
    [
        ("80.02 mm ± 0.002 mm", "length", 80.02, 0.001),
        ("80.02 ± 0.002 mm", "length", 80.02, 0.001),
        ("80.02 mm ± 0.002", "length", 80.02, 0.001),
        ("80.02 mm +/- 2 µm", "length", 80.02, 0.001),
        ("180 F ± 9 F", "temperature", 82.2222222222, 2.5),
        ("80 °C ± 2 K", "temperature", 80, 1.0),
        ("2.72:1 ± 0.02", "ratio", 2.72, 0.01),
        ("2.72 ± 0.02", "ratio", 2.72, 0.01),
        ("80.02 mm", "length", 80.02, 0.0),
    ],
)
def test_a_reading_with_its_uncertainty(
    text: str, dimension: str, value: float, uncertainty: float
) -> None:
    read, u = parse_uncertain(text, dimension)
    assert read.value == pytest.approx(value)
    assert u == pytest.approx(uncertainty)
    assert read.text == text


def test_scatter_and_certificate_add_as_squares() -> None:
    read, u = parse_uncertain("1.0, 1.2 mm ± 0.1 mm", "length")
    scatter = math.sqrt(0.02) / math.sqrt(2)
    assert read.value == pytest.approx(1.1)
    assert u == pytest.approx(math.hypot(scatter, 0.05))
    assert parse_uncertain([1.0, "1.2 mm ± 0.1 mm"], "length")[1] == pytest.approx(u)


@pytest.mark.parametrize("text", ["1 mm ± -0.1 mm", "1 ± 0.1 ± 0.1 mm", "1 mm ± 2 Nm", "1 ± x mm"])
def test_an_uncertainty_that_cannot_be_used(text: str) -> None:
    with pytest.raises(UnitError):
        parse_uncertain(text, "length")


def test_every_shown_unit_is_also_read() -> None:
    for dimension in dimensions():
        for unit in units_of(dimension):
            assert parse_quantity(f"1 {unit}", dimension).dimension == dimension


def test_converting_to_a_foreign_unit_is_refused() -> None:
    with pytest.raises(UnitError, match="a torque, but a length"):
        convert(Quantity(1.0, "length"), "Nm")
    with pytest.raises(UnitError, match="the unit is missing"):
        convert(Quantity(1.0, "length"), "")
