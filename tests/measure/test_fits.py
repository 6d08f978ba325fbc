"""Seats and fits against ISO 286-2, ISO 492 and a second implementation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.faults import MeasureError
from headwater.measure.fits import (
    MATERIALS,
    clearance,
    grip_lost,
    hot_clearance,
    housing_fit,
    material,
    release_temperature,
    worn_beyond,
)
from headwater.measure.tolerances import (
    HOLES,
    outside_deviations,
    seat_deviations,
)

SIZES = (25, 40, 65, 100)  # one in each band
IT6, IT7 = (13, 16, 19, 22), (21, 25, 30, 35)


def micrometres(deviations: tuple[float, float]) -> tuple[float, float]:
    return round(deviations[0] * 1000, 6), round(deviations[1] * 1000, 6)


@pytest.mark.parametrize("tolerance_class", sorted(HOLES))
def test_a_fit_spreads_over_both_tolerances(tolerance_class: str) -> None:
    for size in SIZES[1:]:
        fit = housing_fit(tolerance_class, size)
        lower, upper = seat_deviations(tolerance_class, size)
        ring = outside_deviations(size)
        spread = upper - lower + ring[1] - ring[0]
        assert fit.most_mm - fit.least_mm == pytest.approx(spread)


def test_rings_of_the_normal_class() -> None:
    # ISO 492 Normal. The metric outside diameters are quoted from memory; inch tables give
    # 0.0004, 0.0005, 0.0006 and 0.0007 in, which round to the same.
    outside = [outside_deviations(size)[0] for size in (50, 80, 120, 150)]
    assert outside == [-0.011, -0.013, -0.015, -0.018]
    for metric, inch in zip(outside, (0.0004, 0.0005, 0.0006, 0.0007), strict=True):
        assert -metric == pytest.approx(inch * 25.4, abs=0.001)


@pytest.mark.parametrize(
    ("tolerance_class", "size", "says"),
    [
        ("Z9", 80, "not in the table"),
        ("K7", 18, "outside the table"),
        ("K7", 121, "outside the table"),
        ("K7", -1, "must be above zero"),
    ],
)
def test_seats_that_are_not_in_the_table(tolerance_class: str, size: float, says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        seat_deviations(tolerance_class, size)


def test_rings_that_are_not_in_the_table() -> None:
    with pytest.raises(MeasureError, match="over 30 to 150 mm"):
        outside_deviations(200)


def test_a_bore_is_not_a_shaft() -> None:
    with pytest.raises(MeasureError, match="class of a bore"):
        housing_fit("k6", 80)


def test_clearance_and_wear() -> None:
    assert clearance(80.02, 79.994) == pytest.approx(0.026)
    assert worn_beyond(80.02, "K7", 80) == pytest.approx(0.011)
    assert worn_beyond(80.0, "K7", 80) == 0
    with pytest.raises(MeasureError):
        clearance(0, 80)


@pytest.mark.parametrize(
    ("housing", "losses"),
    [
        # D (α housing - α ring) ΔT, D = 80 mm, ΔT = 80 K, ring 11.9, 12.0 and 12.5e-6/K, in µm.
        # Expansion: Callister & Rethwisch, Table B.6; A380 from memory.
        ("magnesium-az91d", (90.24, 89.60, 86.40)),
        ("magnesium-die-cast", (85.12, 84.48, 81.28)),
        ("aluminium-a380", (63.36, 62.72, 59.52)),
        ("aluminium-a356", (61.44, 60.80, 57.60)),
        ("grey-iron", (-3.20, -3.84, -7.04)),
    ],
)
def test_grip_lost_on_warming(housing: str, losses: tuple[float, ...]) -> None:
    outer = MATERIALS[housing].expansion
    found = [grip_lost(80, outer, ring, 80) * 1000 for ring in (11.9, 12.0, 12.5)]
    assert found == pytest.approx(losses, abs=0.01)


@pytest.mark.parametrize(
    ("tolerance_class", "hot"),
    [
        ("H7", (89.6, 132.6)),
        ("J7", (77.6, 120.6)),
        ("K7", (68.6, 111.6)),
        ("M7", (59.6, 102.6)),
        ("N7", (50.6, 93.6)),
        ("P7", (38.6, 81.6)),
    ],
)
def test_no_class_holds_a_ring_in_hot_magnesium(
    tolerance_class: str, hot: tuple[float, float]
) -> None:
    # 80 mm, AZ91D at 26.0e-6/K, ring at 12.0e-6/K, 80 K warmer: every class has come loose.
    fit = housing_fit(tolerance_class, 80)
    found = [1000 * hot_clearance(c, 80, 26.0, 12.0, 80) for c in (fit.least_mm, fit.most_mm)]
    assert found == pytest.approx(hot, abs=0.05)


def test_the_tightest_press_fit_is_gone_at_45_kelvin() -> None:
    assert release_temperature(-0.051, 80, 26.0, 12.0, measured_at=0) == pytest.approx(
        45.5, abs=0.05
    )


def test_when_a_grip_is_gone() -> None:
    assert release_temperature(-0.02, 80, 11.4, 12.5) is None
    assert release_temperature(0.01, 80, 26.0, 12.5) == 20.0


def test_materials_are_known_by_name_and_source() -> None:
    assert material("steel").expansion == 12.3
    assert all(one.source for one in MATERIALS.values())
    with pytest.raises(MeasureError, match="known are magnesium-az91d"):
        material("wood")


@given(st.floats(-0.1, -0.001), st.floats(20, 150), st.floats(13, 30))
def test_at_the_release_temperature_the_clearance_is_nil(
    cold: float, diameter: float, outer: float
) -> None:
    freed = release_temperature(cold, diameter, outer, 12.0)
    assert freed is not None
    assert hot_clearance(cold, diameter, outer, 12.0, freed - 20) == pytest.approx(0, abs=1e-9)


@given(st.floats(-0.1, 0.1), st.floats(0, 100), st.floats(0, 100))
def test_a_light_alloy_bore_only_gets_looser(cold: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    cooler, warmer = (hot_clearance(cold, 80, 26.0, 12.5, warming) for warming in (low, high))
    assert cooler <= warmer
