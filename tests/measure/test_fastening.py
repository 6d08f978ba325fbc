"""Threads, coils and fitted bearings, against published figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.fastening import (
    CLEARANCE,
    engaged,
    fitted_clearance,
    group_clearance,
    resistance_at_20,
)
from headwater.measure.faults import MeasureError
from headwater.measure.registry import run_work

# ISO 5753-1, deep groove ball bearings, µm (three open copies agree).
GROUPS = [
    (30, "C2", 1, 11),
    (30, "C4", 23, 41),
    (40, "CN", 6, 20),
    (45, "CN", 6, 23),
    (45, "C3", 18, 36),
    (65, "C3", 23, 43),
    (80, "CN", 10, 30),
    (100, "C4", 53, 84),
]


@pytest.mark.parametrize(("bore", "group", "least", "most"), GROUPS)
def test_groups_of_clearance(bore: float, group: str, least: float, most: float) -> None:
    assert group_clearance(group, bore) == pytest.approx((least / 1000, most / 1000))


def test_groups_overlap() -> None:
    """One measured value may belong to two groups (ISO 5753-1)."""
    for one, other in zip(list(CLEARANCE)[:-1], list(CLEARANCE)[1:], strict=True):
        assert group_clearance(one, 45)[1] > group_clearance(other, 45)[0]


def test_a_tight_seat_takes_the_clearance_away() -> None:
    """45 mm on k5 (2 to 25 µm of grip, ISO 286-2): CN ends at -14.0 to 21.4, C3 at -2.0 to 34.4.

    The share of 0.8 that widens the ring is from memory of bearing guides.
    """
    for group, ends in {"CN": (-0.0140, 0.0214), "C3": (-0.0020, 0.0344)}.items():
        least, most = group_clearance(group, 45)
        left = fitted_clearance(least, 0.025), fitted_clearance(most, 0.002)
        assert left == pytest.approx(ends)


def test_copper_grows_in_resistance_as_the_standard_says() -> None:
    """IEC 60028: 0.00393 per K at 20 °C, so that 100 K more are 1.393 times as much."""
    assert resistance_at_20(1.393, 120) == pytest.approx(1.0)
    assert resistance_at_20(4.0, 20) == pytest.approx(4.0)


def test_a_bolt_that_reaches_its_hole_by_too_little() -> None:
    """Two and a half diameters in magnesium: common practice, no source."""
    found = run_work(
        "thread-engagement",
        {
            "length": "30 mm",
            "clamped": "18 mm",
            "diameter": "8 mm",
            "pitch": "1.25 mm",
            "tapped": "magnesium",
        },
    )
    assert found.value.value == pytest.approx(1.5)
    assert dict(found.further)["turns of the thread"].value == pytest.approx(9.6)
    assert any(note.startswith("too short") for note in found.notes)
    assert engaged(40, 14, 8, 12) == pytest.approx(1.5), "the thread in the hole ends first"
    assert engaged(10, 14, 8) == 0


@given(st.floats(0.001, 0.1), st.floats(-0.05, 0.05), st.floats(0, 0.05))
def test_more_grip_never_leaves_more_play(play: float, grip: float, more: float) -> None:
    assert fitted_clearance(play, grip + more) <= fitted_clearance(play, grip) + 1e-12


def test_numbers_that_make_no_sense_are_refused() -> None:
    with pytest.raises(MeasureError, match="24 to 100"):
        group_clearance("CN", 24)
    with pytest.raises(MeasureError, match="known are C2"):
        group_clearance("C9", 45)
    with pytest.raises(MeasureError, match="above zero"):
        resistance_at_20(math.inf, 20)
    with pytest.raises(MeasureError, match="or the 'group'"):
        run_work("fitted-clearance", {"shaft": "45 mm", "ring-bore": "45 mm"})
