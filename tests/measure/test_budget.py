"""Uncertainty budgets against worked examples."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headwater.measure.budget import budget, combine
from headwater.measure.faults import MeasureError


def test_dial_indicator_budget() -> None:
    # Worked with the formulas of GUM 4.2.3, 4.3.7, 4.3.3, 5.1.2 and G.4.1; an independent
    # error-propagation library gives the same combined figure.
    found = budget([0.112, 0.115, 0.110, 0.114, 0.113], 0.001, 0.004)
    assert found.mean == pytest.approx(0.1128)
    assert found.spread == pytest.approx(0.00192353841, abs=1e-11)
    assert found.from_readings == pytest.approx(0.000860232527, abs=1e-12)
    assert found.from_resolution == pytest.approx(0.000288675135, abs=1e-12)
    assert found.from_certificate == pytest.approx(0.002)
    assert found.combined == pytest.approx(0.00219620885, abs=1e-11)
    assert found.degrees_of_freedom == pytest.approx(169.94, abs=0.005)
    assert found.expanded() == pytest.approx(0.00439241771, abs=1e-11)


def test_end_gauge_of_the_gum() -> None:
    # JCGM 100:2008, H.1: u(d) from 5.8, 3.9 and 6.7 nm; combined 32 nm (unrounded 31.66).
    u_d = combine(5.8, 3.9, 6.7)
    assert u_d == pytest.approx(9.68194195, abs=1e-8)
    assert combine(25, u_d, 2.88675135, 16.59882) == pytest.approx(31.66376741, abs=1e-4)


def test_one_reading_has_only_the_gauge() -> None:
    found = budget([1.14], resolution=0.01)
    assert found.combined == pytest.approx(0.01 / math.sqrt(12))
    assert found.degrees_of_freedom == math.inf


@pytest.mark.parametrize(
    ("readings", "resolution", "certificate", "coverage"),
    [([], 0, 0, 2), ([math.nan], 0, 0, 2), ([1], -1, 0, 2), ([1], 0, -1, 2), ([1], 0, 1, 0)],
)
def test_a_budget_that_makes_no_sense(
    readings: list[float], resolution: float, certificate: float, coverage: float
) -> None:
    with pytest.raises(MeasureError):
        budget(readings, resolution, certificate, coverage)


@given(
    st.lists(st.floats(-10, 10), min_size=1, max_size=8),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_another_contribution_never_makes_it_smaller(
    readings: list[float], resolution: float, certificate: float, more: float
) -> None:
    less = budget(readings, resolution, certificate).combined
    assert budget(readings, resolution, certificate + more).combined >= less - 1e-12
    assert budget(readings, resolution + more, certificate).combined >= less - 1e-12
