"""Limits, guard bands and shares, against JCGM 106:2012, ISO 14253-1 and scipy."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from headwater.measure.faults import MeasureError
from headwater.measure.judge import (
    GUARD_FACTOR,
    Bands,
    Zone,
    band_of,
    band_shares,
    certain_band,
    judge,
    zone,
)

SHIM = Bands(("as new", "may be shimmed", "scrap"), (0.1, 0.508))
SIZES = st.floats(-100, 100)
SPREADS = st.floats(0, 10)
EDGES = st.lists(st.integers(-50, 50), min_size=1, max_size=4, unique=True).map(
    lambda numbers: tuple(float(number) for number in sorted(numbers))
)


@pytest.mark.parametrize(
    ("value", "u", "edges", "band", "share"),
    [
        # JCGM 106:2012, 7.4: engine oil of grade 40, 12.5 to 16.3 mm2/s, prints 0.66.
        (13.6, 1.8, (12.5, 16.3), 1, 0.6626297865),
        # 7.3.3 example 1, upper limit; the inputs are quoted from memory.
        (-5.47, 0.05, (-5.40,), 0, 0.9192433408),
        # 7.3.3 example 2, lower limit; the inputs are quoted from memory.
        (509.7, 8.6, (490.0,), 1, 0.9890095474),
    ],
)
def test_conformance_probability_of_jcgm_106(
    value: float, u: float, edges: tuple[float, ...], band: int, share: float
) -> None:
    assert band_shares(value, u, edges)[band] == pytest.approx(share, abs=1e-9)


def test_ball_bearing_example_of_jcgm_106() -> None:
    # JCGM 106:2012, 9.5.4: radial error motion, prior gamma(4, rate 4), limit 2 µm, u = 0.25 µm.
    # Prints: P(not conforming) 0.0424, global false acceptance 0.00802.
    prior = stats.gamma(4, scale=1 / 4)

    def wrongly_accepted(true: float) -> float:
        return float(prior.pdf(true)) * band_shares(true, 0.25, (2.0,))[0]

    risk, _ = integrate.quad(wrongly_accepted, 2, 6)
    assert prior.sf(2) == pytest.approx(0.0423801120, abs=1e-9)
    assert risk == pytest.approx(0.0080191119, abs=1e-7)


@pytest.mark.parametrize(
    ("reading", "share", "expected"),
    [
        # Housing bore 80 J7, 79.988 to 80.018 mm (ISO 286-2), u = 2 µm, ISO 14253-1.
        (80.013, 0.993790, Zone.INSIDE),
        (80.016, 0.841345, Zone.TOO_CLOSE),
        (80.018, 0.500000, Zone.TOO_CLOSE),
        (80.020, 0.158655, Zone.TOO_CLOSE),
        (80.023, 0.006210, Zone.OUTSIDE),
    ],
)
def test_a_bore_against_its_class(reading: float, share: float, expected: Zone) -> None:
    assert zone(reading, 0.002, 79.988, 80.018) is expected
    assert band_shares(reading, 0.002, (79.988, 80.018))[1] == pytest.approx(share, abs=1e-6)


def test_the_guard_factor_is_one_sided_95_percent() -> None:
    assert pytest.approx(stats.norm.ppf(0.95), abs=2e-4) == GUARD_FACTOR


@pytest.mark.parametrize(
    ("value", "u", "nearest", "certain"),
    [
        (0.05, 0.005, "as new", "as new"),
        (0.30, 0.005, "may be shimmed", "may be shimmed"),
        (0.508, 0.0, "may be shimmed", "may be shimmed"),
        (0.5081, 0.0, "scrap", "scrap"),
        (0.50, 0.005, "may be shimmed", None),
        (0.515, 0.005, "scrap", None),
        (0.60, 0.005, "scrap", "scrap"),
    ],
)
def test_a_float_at_just_under_and_just_over_the_shim_limit(
    value: float, u: float, nearest: str, certain: str | None
) -> None:
    found = judge(value, u, SHIM)
    assert (found.nearest, found.certain) == (nearest, certain)
    assert found.too_close is (certain is None)
    assert found.shares[SHIM.names.index(nearest)] == max(found.shares)


def test_without_uncertainty_an_edge_is_a_cliff() -> None:
    assert band_shares(0.508, 0, SHIM.edges) == (0.0, 1.0, 0.0)
    assert certain_band(math.nextafter(0.508, 1), 0, SHIM.edges) == 2


def test_one_sided_limits() -> None:
    assert zone(0.5, 0.01, upper=0.508) is Zone.TOO_CLOSE
    assert zone(0.4, 0.01, upper=0.508) is Zone.INSIDE
    assert zone(0.4, 0.01, lower=0.508) is Zone.OUTSIDE


def test_a_gauge_too_coarse_for_a_tolerance_proves_nothing_inside_it() -> None:
    assert zone(80.003, 0.02, 79.988, 80.018) is Zone.TOO_CLOSE
    assert zone(80.1, 0.02, 79.988, 80.018) is Zone.OUTSIDE


def test_limits_that_make_no_sense_are_refused() -> None:
    with pytest.raises(MeasureError, match="put them in order"):
        Bands(("a", "b", "c"), (2.0, 1.0))
    with pytest.raises(MeasureError, match="put them in order"):
        Bands(("a", "b"), (math.nan,))
    with pytest.raises(MeasureError, match="3 bands need 2 edges"):
        Bands(("a", "b", "c"), (1.0,))
    with pytest.raises(MeasureError, match="swap them"):
        zone(1, 0, 3, 2)
    with pytest.raises(MeasureError, match="cannot be below zero"):
        band_shares(1, -1, (2.0,))
    with pytest.raises(MeasureError, match="finite"):
        judge(math.nan, 0, SHIM)


@given(SIZES, SPREADS, EDGES)
def test_shares_are_a_distribution(value: float, u: float, edges: tuple[float, ...]) -> None:
    shares = band_shares(value, u, edges)
    assert len(shares) == len(edges) + 1
    assert sum(shares) == pytest.approx(1, abs=1e-12)
    assert all(0 <= share <= 1 for share in shares)


@given(SIZES, st.floats(0.01, 10), EDGES)
def test_scipy_agrees_on_the_shares(value: float, u: float, edges: tuple[float, ...]) -> None:
    below = [0.0, *stats.norm.cdf(edges, value, u), 1.0]
    expected = [high - low for low, high in itertools.pairwise(below)]
    assert band_shares(value, u, edges) == pytest.approx(expected, abs=1e-12)


@given(SIZES, SPREADS, EDGES)
def test_a_certain_band_is_the_nearest_and_likely(
    value: float, u: float, edges: tuple[float, ...]
) -> None:
    index = certain_band(value, u, edges)
    if index is not None:
        assert index == band_of(value, edges)
        # 95 % at each edge that the band has.
        assert band_shares(value, u, edges)[index] >= 0.9 - 1e-3


@given(SIZES, SIZES, SPREADS, EDGES)
def test_a_larger_reading_never_falls_into_a_lower_band(
    one: float, other: float, u: float, edges: tuple[float, ...]
) -> None:
    low, high = sorted((one, other))
    assert band_of(low, edges) <= band_of(high, edges)
    tails = [band_shares(value, u, edges)[-1] for value in (low, high)]
    assert tails[0] <= tails[1] + 1e-12


@given(SIZES, SPREADS, SPREADS, EDGES)
def test_a_better_gauge_never_loses_a_certain_band(
    value: float, one: float, other: float, edges: tuple[float, ...]
) -> None:
    fine, coarse = sorted((one, other))
    if certain_band(value, coarse, edges) is not None:
        assert certain_band(value, fine, edges) == certain_band(value, coarse, edges)


@given(SIZES, st.floats(0, 3), st.tuples(SIZES, SIZES).map(sorted))
def test_the_three_zones_partition_the_line(value: float, u: float, limits: list[float]) -> None:
    low, high = limits
    g = GUARD_FACTOR * u
    inside = low + g <= value <= high - g
    outside = value < low - g or value > high + g
    found = zone(value, u, low, high)
    assert (found is Zone.INSIDE, found is Zone.OUTSIDE) == (inside, outside)
    assert inside + outside + (found is Zone.TOO_CLOSE) == 1
