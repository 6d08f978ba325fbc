"""How many sampled worlds carry a probability."""

from __future__ import annotations

import pytest

from headwater.belief.posterior import posterior
from headwater.belief.worlds import Network, make_worlds
from headwater.verdict.gate import SUPPORT_FROM

FOUND = (1.0, 1e-6)


def fan(links: int, p: float) -> Network:
    marks = tuple(f"m{i}" for i in range(links))
    return Network(("o", *marks), {"o": 0.05}, tuple(("o", m, p) for m in marks), unlisted=0.0)


def test_support_falls_with_every_improbable_finding() -> None:
    worlds = make_worlds(fan(14, 0.4))
    found = [posterior(worlds, {f"m{i}": FOUND for i in range(n)}).support() for n in (1, 4, 9)]
    assert found[0] == pytest.approx(0.4 * worlds.count, rel=0.01)
    assert found[0] > found[1] > found[2]
    assert found[2] < SUPPORT_FROM


def test_enumerated_worlds_need_no_support() -> None:
    worlds = make_worlds(fan(5, 0.4))
    assert posterior(worlds, {"m0": FOUND}).support() == float("inf")
