"""Every registered attack in its small size; `run.py` has the large ones."""

from __future__ import annotations

import pytest
from attack.registry import Attack
from attack.run import attacks, strike

SEED = 13


@pytest.mark.parametrize("attack", attacks(), ids=lambda attack: attack.name)
def test_nothing_comes_of_it(attack: Attack) -> None:
    outcome = strike(attack, SEED, "small")
    assert outcome.runs > 0
    assert outcome.failures == ()


def test_names_are_told_apart() -> None:
    names = [attack.name for attack in attacks()]
    assert len(set(names)) == len(names)
