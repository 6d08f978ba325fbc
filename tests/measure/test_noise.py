"""Noise orders against worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.faults import MeasureError
from headwater.measure.noise import (
    bearing_orders,
    frequency,
    heard_order,
    match_order,
    mesh_order,
)


@pytest.mark.parametrize(
    ("elements", "d", "pitch", "outer", "inner", "element", "cage"),
    [
        # NPTEL machine-fault course, module 15, example 15.2.
        (8, 0.3125, 1.319, 3.05231, 4.94769, 1.99194, 0.381539),
        # University fault-data bearing of 25 mm bore; published 3.5848, 5.4152 and .39828
        # (quoted from memory).
        (9, 0.3126, 1.537, 3.584776, 5.415224, 2.356722, 0.398308),
    ],
)
def test_orders_of_a_bearing(
    elements: int, d: float, pitch: float, outer: float, inner: float, element: float, cage: float
) -> None:
    found = bearing_orders(elements, d, pitch)
    orders = (found.outer, found.inner, found.element)
    assert orders == pytest.approx((outer, inner, element), abs=6e-6)
    assert found.cage == pytest.approx(cage, abs=6e-7)
    assert found.named()["rolling element"] == pytest.approx(2 * element, abs=2e-5)


def test_a_textbook_bearing_of_25_mm_bore() -> None:
    # Z 9, d 7.94, D 38.5, 1500 r/min; the page rounds d/D to four digits first, which moves its
    # 89.31, 135.69 and 9.92 Hz by up to 0.02 Hz.
    found = bearing_orders(9, 7.94, 38.5)
    hertz = [frequency(o, 1500) for o in (found.outer, found.inner, found.element, found.cage)]
    assert hertz == pytest.approx([89.2987, 135.7013, 58.0329, 9.9221], abs=5e-5)
    assert [hertz[0], hertz[1], hertz[3]] == pytest.approx([89.31, 135.69, 9.92], abs=0.02)


def test_round_numbers() -> None:
    found = bearing_orders(8, 10, 50)
    hertz = [frequency(o, 1800) for o in (found.outer, found.inner, found.element, found.cage)]
    assert hertz == pytest.approx([96, 144, 72, 12])


@given(
    st.integers(3, 30),
    st.floats(0.01, 0.9),
    st.floats(0, 80),
    st.floats(1, 6000),
)
def test_outer_and_inner_add_up_to_all_elements(
    elements: int, share: float, angle: float, rpm: float
) -> None:
    found = bearing_orders(elements, share * 50, 50, angle)
    total = frequency(found.outer, rpm) + frequency(found.inner, rpm)
    assert total == pytest.approx(elements * rpm / 60)
    assert found.outer == pytest.approx(elements * found.cage)
    assert found.inner > found.outer


def test_meshes() -> None:
    assert mesh_order(35) == 35


def test_matching_a_heard_frequency() -> None:
    sources = bearing_orders(9, 7.94, 38.5).named() | {"sprocket": mesh_order(35)}
    heard = heard_order(89, 1500)
    assert [m.source for m in match_order(heard, sources)] == ["outer ring"]
    twice = match_order(heard_order(178, 1500), sources)
    assert [(m.source, m.multiple) for m in twice] == [("outer ring", 2)]
    assert match_order(20, sources) == ()


def test_low_multiples_and_near_orders_come_first() -> None:
    found = match_order(6.0, {"a": 3.0, "b": 6.1, "c": 6.0, "d": 2.0})
    assert [(m.source, m.multiple) for m in found] == [("c", 1), ("b", 1), ("a", 2), ("d", 3)]
    assert found[1].off_percent == pytest.approx(100 * (6.0 / 6.1 - 1))


@given(st.floats(0.5, 100), st.floats(0, 5), st.floats(0, 5))
def test_a_wider_tolerance_keeps_every_match(heard: float, one: float, other: float) -> None:
    sources = {"a": 3.0, "b": 5.4, "c": 33.0}
    narrow, wide = sorted((one, other))
    assert set(match_order(heard, sources, narrow)) <= set(match_order(heard, sources, wide))


@pytest.mark.parametrize(
    ("elements", "d", "pitch", "angle", "says"),
    [
        (2, 10, 50, 0, "whole number"),
        (8, 50, 50, 0, "larger than their pitch circle"),
        (8, 10, 50, 90, "contact angle"),
        (8, 0, 50, 0, "above zero"),
    ],
)
def test_bearings_that_make_no_sense(
    elements: int, d: float, pitch: float, angle: float, says: str
) -> None:
    with pytest.raises(MeasureError, match=says):
        bearing_orders(elements, d, pitch, angle)


def test_noises_that_make_no_sense() -> None:
    with pytest.raises(MeasureError, match="above zero"):
        heard_order(89, 0)
    with pytest.raises(MeasureError, match="cannot be below zero"):
        frequency(-1, 100)
    with pytest.raises(MeasureError, match="cannot be below zero"):
        match_order(3, {"a": 3}, -1)
