"""Chains against handbook figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.chains import (
    ChainDuty,
    centre_distance,
    elongation,
    length_in_pitches,
    pitch_diameter,
    replacement_limit,
)
from headwater.measure.faults import MeasureError


@pytest.mark.parametrize(
    ("measured", "pitch", "pitches", "percent", "within"),
    [
        # 24 pitches of 1 in measuring 24.75 in: 3.125 % in a chain handbook; the rest by hand.
        (24.75 * 25.4, 25.4, 24, 3.125, 1e-9),
        (627.888, 25.4, 24, 3.0, 1e-9),
        (235.46, 9.525, 24, 3.00087, 5e-6),
        (231.90, 9.525, 24, 1.44357, 5e-6),
    ],
)
def test_elongation(
    measured: float, pitch: float, pitches: int, percent: float, within: float
) -> None:
    assert elongation(measured, pitch, pitches) == pytest.approx(percent, abs=within)


@pytest.mark.parametrize(
    ("teeth", "duty", "limit"),
    [
        # Chain handbooks after ANSI B29.1: 3 %, 200/N % above 67 teeth, 1.5 % at fixed centres.
        (None, ChainDuty.ADJUSTABLE, 3.0),
        (40, ChainDuty.ADJUSTABLE, 3.0),
        (67, ChainDuty.ADJUSTABLE, 200 / 67),
        (100, ChainDuty.ADJUSTABLE, 2.0),
        (40, ChainDuty.FIXED_CENTRES, 1.5),
        (100, ChainDuty.FIXED_CENTRES, 1.5),
        (None, ChainDuty.INVERTED_TOOTH, 1.5),
    ],
)
def test_replacement_limit(teeth: int | None, duty: ChainDuty, limit: float) -> None:
    assert replacement_limit(teeth, duty) == pytest.approx(limit)


def test_length_and_centres_of_a_published_example() -> None:
    # 20 and 63 teeth, centres 36 pitches: L = 114.8; L = 114 back: C = 35.6 pitches.
    assert length_in_pitches(20, 63, 36) == pytest.approx(114.800992, abs=1e-6)
    assert centre_distance(20, 63, 114) == pytest.approx(35.592048, abs=1e-6)


def test_equal_sprockets() -> None:
    assert length_in_pitches(35, 35, 20) == 75
    assert centre_distance(35, 35, 75) == 20


def test_pitch_diameter() -> None:
    assert pitch_diameter(9.525, 35) == pytest.approx(106.259186, abs=1e-6)


def test_chains_that_make_no_sense() -> None:
    with pytest.raises(MeasureError, match="whole number"):
        elongation(100, 9.525, 10.5)
    with pytest.raises(MeasureError, match="above zero"):
        elongation(0, 9.525, 10)
    with pytest.raises(MeasureError, match="too short"):
        centre_distance(20, 63, 41)
    with pytest.raises(MeasureError, match="too short"):
        centre_distance(20, 200, 120)


@given(st.integers(10, 60), st.integers(0, 40), st.floats(30, 100))
def test_length_and_centres_undo_each_other(small: int, more: int, centres: float) -> None:
    length = length_in_pitches(small, small + more, centres)
    assert centre_distance(small, small + more, length) == pytest.approx(centres, rel=1e-9)


@given(st.floats(200, 300), st.floats(200, 300), st.integers(10, 40))
def test_a_longer_chain_is_more_worn(one: float, other: float, pitches: int) -> None:
    low, high = sorted((one, other))
    assert elongation(low, 9.525, pitches) <= elongation(high, 9.525, pitches)
