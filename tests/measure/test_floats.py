"""Floats and shims, against figures of workshop instructions."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.faults import MeasureError
from headwater.measure.floats import (
    SHIM_LIMIT_MM,
    ShimAdvice,
    axial_float,
    changed_shim,
    pack_window,
    preload_shim,
    shim_pack,
    stack_float,
)


def test_window_of_a_gearbox_workshop_instruction() -> None:
    # End play 0.47 mm without a shim, 0.06 to 0.11 mm wanted: shim 0.36 to 0.41 mm.
    assert pack_window(0.47, 0.06, 0.11) == pytest.approx((0.36, 0.41))


def test_the_shim_from_stock_in_steps_of_five_hundredths() -> None:
    steps = [0.05 * n for n in range(1, 20)]
    found = shim_pack(0.47, 0.06, 0.11, steps)
    assert found.advice is ShimAdvice.FIT
    assert [len(pack.shims) for pack in found.packs] == [1]
    assert found.packs[0].thickness_mm == pytest.approx(0.40)
    assert found.packs[0].float_left_mm == pytest.approx(0.07)


def test_a_float_below_the_wanted_one_is_measured_again() -> None:
    # The same instruction: measured 0.02 mm is less than the least wanted, so invalid.
    assert shim_pack(0.02, 0.06, 0.11, [0.1]).advice is ShimAdvice.MEASURE_AGAIN


def test_preload_shim_of_a_reduction_gear_instruction() -> None:
    # Clearance 0.009 in plus preload 0.004 in: shim 0.013 in.
    assert preload_shim(0.009 * 25.4, 0.004 * 25.4) == pytest.approx(0.013 * 25.4)


def test_changing_a_fitted_shim() -> None:
    # 0.62 mm fitted: 0.21 thinner is 0.41, 0.14 thicker is 0.76.
    assert changed_shim(0.62, -0.21) == pytest.approx(0.41)
    assert changed_shim(0.62, 0.14) == pytest.approx(0.76)


def test_floats_from_dial_and_from_parts() -> None:
    assert axial_float(1.26, 0.12) == pytest.approx(1.14)
    assert stack_float(20.0, [17.0, 1.9]) == pytest.approx(1.1)
    assert stack_float(20.0, [17.0, 3.1]) < 0


def test_edges_of_the_window_are_allowed() -> None:
    assert shim_pack(0.47, 0.06, 0.11, [0.36]).advice is ShimAdvice.FIT
    assert shim_pack(0.47, 0.06, 0.11, [0.41]).advice is ShimAdvice.FIT
    assert shim_pack(0.47, 0.06, 0.11, [0.355, 0.415]).advice is ShimAdvice.NOT_IN_STOCK


def test_a_float_within_limits_needs_no_shim() -> None:
    assert shim_pack(0.08, 0.06, 0.11, [0.1]).advice is ShimAdvice.NONE_NEEDED
    assert shim_pack(0.11, 0.06, 0.11, [0.1]).advice is ShimAdvice.NONE_NEEDED
    assert shim_pack(0.06, 0.06, 0.11, [0.1]).advice is ShimAdvice.NONE_NEEDED


def test_fewest_shims_then_nearest_the_middle() -> None:
    found = shim_pack(0.60, 0.0, 0.10, [0.25, 0.30])
    assert [pack.shims for pack in found.packs] == [(0.25, 0.30), (0.25, 0.25), (0.30, 0.30)]


@pytest.mark.parametrize(
    ("measured", "u", "advice"),
    [
        # 0.020 in may be shimmed, more is scrap (common practice, no source).
        (0.45, 0.01, ShimAdvice.FIT),
        (SHIM_LIMIT_MM, 0.0, ShimAdvice.FIT),
        (0.50, 0.01, ShimAdvice.TOO_CLOSE),
        (0.515, 0.01, ShimAdvice.TOO_CLOSE),
        (0.60, 0.01, ShimAdvice.SCRAP),
        (0.045 * 25.4, 0.01, ShimAdvice.SCRAP),
    ],
)
def test_no_pack_at_or_past_the_scrap_limit(measured: float, u: float, advice: ShimAdvice) -> None:
    stock = [0.05 * n for n in range(1, 20)]
    found = shim_pack(measured, 0.06, 0.11, stock, scrap_over_mm=SHIM_LIMIT_MM, uncertainty_mm=u)
    assert found.advice is advice
    assert bool(found.packs) is (advice is ShimAdvice.FIT)


@pytest.mark.parametrize(
    ("measured", "least", "most", "stock"),
    [
        (-0.1, 0.06, 0.11, [0.1]),
        (0.5, 0.11, 0.06, [0.1]),
        (0.5, -0.1, 0.06, [0.1]),
        (0.5, 0.06, 0.11, [0.0]),
        (0.5, 0.06, 0.11, [0.01 * n for n in range(1, 60)]),
    ],
)
def test_shimming_that_makes_no_sense(
    measured: float, least: float, most: float, stock: list[float]
) -> None:
    with pytest.raises(MeasureError):
        shim_pack(measured, least, most, stock)


def test_shims_thinner_than_nothing_are_refused() -> None:
    with pytest.raises(MeasureError):
        changed_shim(0.2, -0.3)
    with pytest.raises(MeasureError):
        preload_shim(-0.3, 0.1)


@given(
    st.floats(0, 2),
    st.floats(0, 0.2),
    st.floats(0, 0.2),
    st.lists(st.floats(0.05, 1), min_size=1, max_size=6),
)
def test_every_offered_pack_leaves_the_wanted_float(
    measured: float, least: float, width: float, stock: list[float]
) -> None:
    found = shim_pack(measured, least, least + width, stock)
    assert (found.advice is ShimAdvice.FIT) is bool(found.packs)
    for pack in found.packs:
        assert least - 1e-6 <= pack.float_left_mm <= least + width + 1e-6
        assert len(pack.shims) == len(found.packs[0].shims)
