"""A small part of the planner's trial, to notice when asking gets worse; `run.py` is the whole."""

from __future__ import annotations

import pytest
from trial.policies import POLICIES
from trial.sitting import Sitting, sit
from trial.units import Setting, draw_unit

from headwater.verdict.assess import Reasoner
from headwater.verdict.ending import Ending

pytestmark = pytest.mark.trial

ONE = Setting("one origin", 1)
TWO = Setting("two origins", 2)


def met(reasoner: Reasoner, setting: Setting, policy: str, seeds: range) -> list[Sitting]:
    """Return what a policy makes of some units."""
    units = [draw_unit(reasoner.book, setting, seed) for seed in seeds]
    return [sit(reasoner, unit, POLICIES[policy]) for unit in units]


def test_one_origin_is_named_and_nothing_wrong_released(reasoner: Reasoner) -> None:
    found = met(reasoner, ONE, "planner", range(8))
    assert sum(s.right for s in found) >= 7
    assert sum(s.leading for s in found) >= 7
    assert sum(s.wrong for s in found) == 0
    assert sum(s.released for s in found) > 0
    assert sum(s.questions for s in found) / len(found) < 16


def test_two_origins_release_nothing_wrong(reasoner: Reasoner) -> None:
    found = met(reasoner, TWO, "planner", range(3))
    assert sum(s.wrong for s in found) == 0
    assert all(s.outcome in (Ending.SETTLED, Ending.UNDETERMINED) for s in found)


def test_the_planner_takes_less_than_half_of_the_minutes_of_a_checklist(reasoner: Reasoner) -> None:
    (planned,) = met(reasoner, ONE, "planner", range(1))
    (listed,) = met(reasoner, ONE, "cheapest", range(1))
    assert planned.right
    assert planned.minutes < listed.minutes / 2.0


def test_a_unit_is_the_same_for_every_policy(reasoner: Reasoner) -> None:
    one, other = (draw_unit(reasoner.book, TWO, 3) for _ in range(2))
    assert one == other
    for check in list(reasoner.book.checks.values())[:40]:
        assert one.answer(check) == other.answer(check)
