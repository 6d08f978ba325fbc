"""Ratios, speeds and mismatches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.faults import MeasureError
from headwater.measure.ratios import (
    can_assemble,
    low_ratio,
    mismatch,
    misread_ratio,
    nearest_ratio,
    overall_ratio,
    planet_teeth,
    ratio_error,
    ring_speed,
    rolling_radius,
    sensed_ratio,
    shaft_speed,
    slipping_ratio,
    tone_frequency,
    tone_speed,
    turns_per_km,
    wind_up,
)

TEETH = st.integers(12, 60)


@pytest.mark.parametrize(
    ("sun", "ring", "ratio"),
    [
        # 33/75: Norton, Design of Machinery, chapter 9, exercise (sun 33, planet 21); rest by hand.
        (33, 75, 3.272727),
        (14, 56, 5.0),
        (24, 72, 4.0),
        (27, 73, 3.703704),
        (29, 79, 3.724138),
    ],
)
def test_low_range(sun: int, ring: int, ratio: float) -> None:
    assert low_ratio(sun, ring) == pytest.approx(ratio, abs=5e-7)


def test_planets_of_norton() -> None:
    assert planet_teeth(33, 75) == 21


@pytest.mark.parametrize(
    ("sun", "ring", "planets", "fits"),
    [(33, 75, 3, True), (33, 75, 4, True), (24, 72, 4, True), (14, 56, 3, False)],
)
def test_assembly(sun: int, ring: int, planets: int, fits: bool) -> None:
    assert can_assemble(sun, ring, planets) is fits


def test_willis() -> None:
    # ws S + wr R = wc (S + R): sun 100 r/min, ring held, 33/75.
    assert ring_speed(100, 30.5556, 33, 75) == pytest.approx(0, abs=2e-4)
    assert ring_speed(100, 100 * 33 / 108, 33, 75) == pytest.approx(0, abs=1e-12)


def test_tone_ring() -> None:
    assert tone_frequency(40, 1500) == 1000
    assert tone_speed(40, 1000) == 1500


def test_road_to_shaft() -> None:
    # 100 km/h on a radius of 365 mm, axle 3.73, 40 teeth.
    wheel = shaft_speed(100, 365)
    shaft = shaft_speed(100, 365, 3.73)
    assert wheel == pytest.approx(726.7349, abs=5e-5)
    assert shaft == pytest.approx(2710.7212, abs=5e-5)
    assert tone_frequency(40, shaft) == pytest.approx(1807.1475, abs=5e-5)


def test_range_ratio_from_sensors() -> None:
    assert sensed_ratio(2720, 1000) == pytest.approx(2.72)
    index, error = nearest_ratio(2.70, [1.0, 2.72])
    assert index == 1
    assert error == pytest.approx(-0.735294, abs=1e-6)


def test_axle_mismatch() -> None:
    assert mismatch(3.73, 3.70) == pytest.approx(0.810811, abs=5e-7)


def test_slip_raises_and_a_wrong_wheel_scales_the_ratio() -> None:
    assert slipping_ratio(2.72, 10) == pytest.approx(2.72 / 0.9)
    assert misread_ratio(2.72, 40, 39) == pytest.approx(2.72 * 40 / 39)
    assert ratio_error(misread_ratio(2.72, 40, 44), 2.72) == pytest.approx(-100 / 11)


def test_overall() -> None:
    assert overall_ratio(2.72, 3.73) == pytest.approx(10.1456)
    assert overall_ratio() == 1


def test_wind_up() -> None:
    assert wind_up(365, 365, 3.73, 3.73) == 0
    # 1 km at 365 mm is 436.04 turns of the wheel; 0.03 of axle ratio adds 13.08 turns.
    assert wind_up(365, 365, 3.73, 3.70) == pytest.approx(0.03 * 436.0409, abs=1e-3)
    assert wind_up(372, 365, 3.73, 3.73) < 0


def test_rolling_radius() -> None:
    assert rolling_radius(22.933627, 10) == pytest.approx(365, abs=1e-4)
    assert turns_per_km(rolling_radius(1000, 430), 1) == pytest.approx(430)


def test_numbers_that_make_no_sense() -> None:
    with pytest.raises(MeasureError, match="no room for a sun"):
        low_ratio(75, 33)
    with pytest.raises(MeasureError, match="whole number"):
        low_ratio(33.5, 75)
    with pytest.raises(MeasureError, match="whole number"):
        tone_frequency(float("inf"), 100)
    with pytest.raises(MeasureError, match="slip must be"):
        slipping_ratio(2.72, 100)
    with pytest.raises(MeasureError, match="above zero"):
        sensed_ratio(2720, 0)
    with pytest.raises(MeasureError, match="no ratio"):
        nearest_ratio(2.72, [])


@given(TEETH, st.integers(1, 60), st.floats(-5000, 5000), st.floats(-5000, 5000))
def test_willis_holds_for_any_speeds(sun: int, more: int, ws: float, wr: float) -> None:
    ring = sun + more
    wc = (ws * sun + wr * ring) / (sun + ring)
    assert ring_speed(ws, wc, sun, ring) == pytest.approx(wr, rel=1e-9, abs=1e-6)


@given(TEETH, st.integers(1, 60))
def test_low_ratio_times_sun_is_sun_plus_ring(sun: int, more: int) -> None:
    assert low_ratio(sun, sun + more) * sun == pytest.approx(2 * sun + more)


@given(st.floats(1, 5), st.floats(0, 90), st.floats(0, 90))
def test_more_slip_is_a_higher_ratio(expected: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert expected <= slipping_ratio(expected, low) <= slipping_ratio(expected, high)


@given(st.integers(1, 200), st.floats(0.1, 10000))
def test_speed_and_frequency_undo_each_other(teeth: int, rpm: float) -> None:
    assert tone_speed(teeth, tone_frequency(teeth, rpm)) == pytest.approx(rpm)


@given(st.floats(250, 450), st.floats(250, 450), st.floats(3, 5))
def test_wind_up_turns_round_with_the_axles(front: float, rear: float, axle: float) -> None:
    one, other = wind_up(front, rear, axle, axle), wind_up(rear, front, axle, axle)
    assert one == pytest.approx(-other)
    assert (one > 0) is (turns_per_km(front, axle) > turns_per_km(rear, axle))
