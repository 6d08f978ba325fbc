"""Joints, tubes and balance, against published figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.faults import MeasureError
from headwater.measure.shafts import (
    as_one_joint,
    critical_speed,
    joint_lead,
    joint_span,
    permissible_unbalance,
    shaft_span,
    unbalance_of_run_out,
)

BENDS = st.floats(0, 30)

# Kinematics of the cross joint, computed apart from this program by a scan of 2e6 places of
# tan th2 = tan th1 / cos a; its extremes cos a and 1 / cos a are in technical pages on joints.
SPANS = [
    (1, 0.0003046, 0.004364),
    (3, 0.0027428, 0.039288),
    (5, 0.0076251, 0.109222),
    (8, 0.0195595, 0.280164),
    (12, 0.0441930, 0.632954),
    (20, 0.1244852, 1.781682),
    (30, 0.2886751, 4.117194),
]
# Two joints on one shaft, chained exactly: angles, span in phase, as one joint, span 90 deg out.
CHAINED = [
    (5, 5, 0.0, 0.0, 0.0152504),
    (5, 4, 0.0027473, 3.0024, 0.0125030),
    (5, 3, 0.0048823, 4.0018, 0.0103680),
    (6, 4.5, 0.0048115, 3.9727, 0.0171614),
    (3, 2, 0.0015241, 2.2365, 0.0039615),
]
TWISTED = [(2, 0.0005322), (5, 0.0013291), (10, 0.0026482), (22.5, 0.0058360), (45, 0.0107836)]


@pytest.mark.parametrize(("bend", "span", "lead"), SPANS)
def test_one_joint(bend: float, span: float, lead: float) -> None:
    assert joint_span(bend) == pytest.approx(span, abs=6e-8)
    assert joint_lead(bend) == pytest.approx(lead, abs=6e-7)
    assert as_one_joint(joint_span(bend)) == pytest.approx(bend, abs=1e-6)


@pytest.mark.parametrize(("first", "second", "span", "one", "crossed"), CHAINED)
def test_two_joints(first: float, second: float, span: float, one: float, crossed: float) -> None:
    assert shaft_span([first, second]) == pytest.approx(span, abs=2e-7)
    assert as_one_joint(shaft_span([first, second])) == pytest.approx(one, abs=2e-4)
    assert shaft_span([first, second], 90) == pytest.approx(crossed, rel=2e-3)


@pytest.mark.parametrize(("twist", "span"), TWISTED)
def test_yokes_out_of_line(twist: float, span: float) -> None:
    """The exact chain at 5 and 5 degrees; the sum of spans is good to a fifth of a percent."""
    assert shaft_span([5, 5], twist) == pytest.approx(span, rel=2e-3)


def test_the_limit_of_a_whole_shaft_is_one_joint_at_three_degrees() -> None:
    """U of at most 0.0027 (a technical page on propeller shafts): 2.97651 degrees."""
    assert as_one_joint(0.0027) == pytest.approx(2.97651, abs=5e-5)


def test_three_joints_add_with_alternating_signs() -> None:
    """+3 -4 +2.6 degrees leave 0.48990 by the rule of squares (the form: a technical page)."""
    assert as_one_joint(shaft_span([3, 4, 2.6])) == pytest.approx(0.48990, rel=0.02)


@pytest.mark.parametrize(
    ("outside", "bore", "length", "published"),
    [
        # An engineering page: 3.5 in tube of 0.083 in wall, 45 in long, 30e6 psi: 11 390 r/min.
        (88.9, 88.9 - 2 * 2.1082, 1143.0, 11390),
        # K = 1.21e8 in mm (guides of shaft makers), computed with it.
        (76.2, 72.0, 1500, 5637.81),
        (76.2, 72.0, 1200, 8809.08),
        (101.6, 96.6, 1800, 5235.61),
    ],
)
def test_a_tube_whips(outside: float, bore: float, length: float, published: float) -> None:
    """Their steel is 0.3 % faster (30e6 psi, 0.283 lb/in³), and the page rounds its steps."""
    assert critical_speed(outside, bore, length) == pytest.approx(published, rel=5e-3)


@pytest.mark.parametrize(
    ("grade", "speed", "per_kg"),
    [
        ("G16", 1000, 152.789),
        ("G16", 3000, 50.9296),
        ("G16", 5000, 30.5577),
        ("G40", 4000, 95.4930),
        ("G6.3", 3000, 20.0535),
    ],
)
def test_balance_grades(grade: str, speed: float, per_kg: float) -> None:
    """U = 9549 G m / n in g·mm (ISO 21940-11:2016, table copy; 9549 is 30 000 / π)."""
    assert permissible_unbalance(1, speed, grade) == pytest.approx(per_kg, rel=1e-5)


def test_a_run_out_is_unbalance() -> None:
    """Half the dial's swing is how far the mass stands off: 0.25 mm on 12 kg is 3.27 times G16."""
    own = unbalance_of_run_out(12, 0.25)
    assert own == pytest.approx(1500)
    assert own / permissible_unbalance(12, 4000, "G16") == pytest.approx(3.2725, abs=1e-4)


@given(BENDS, BENDS, st.floats(0, 90))
def test_two_joints_lie_between_their_difference_and_their_sum(
    a: float, b: float, t: float
) -> None:
    one, other, both = joint_span(a), joint_span(b), shaft_span([a, b], t)
    assert abs(one - other) - 1e-12 <= both <= one + other + 1e-12
    assert math.isclose(joint_span(as_one_joint(both)), both, rel_tol=1e-6, abs_tol=1e-9)


@pytest.mark.parametrize("bend", [-1, 46, math.nan])
def test_a_joint_that_cannot_be_is_refused(bend: float) -> None:
    with pytest.raises(MeasureError, match="measure it again"):
        joint_span(bend)


def test_numbers_that_make_no_shaft_are_refused() -> None:
    with pytest.raises(MeasureError, match="bore must be less"):
        critical_speed(70, 72, 1500)
    with pytest.raises(MeasureError, match="known are G6"):
        permissible_unbalance(12, 4000, "G1")
    with pytest.raises(MeasureError, match="at least one joint"):
        shaft_span([])
