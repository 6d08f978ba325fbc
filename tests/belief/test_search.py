"""The search over sets of sources, where single sources explain little by themselves."""

from __future__ import annotations

import pytest
from belief.brute import truth

from headwater.belief.posterior import posterior
from headwater.belief.worlds import Network, make_worlds

FOUND = (1.0, 1e-6)


@pytest.mark.parametrize("unlisted", [0.0, 0.002])
def test_two_common_origins_beat_a_rare_one_that_covers_all(unlisted: float) -> None:
    marks = ("m1", "m2", "m3", "m4")
    network = Network(
        ("left", "right", "rare", *marks),
        {"left": 0.06, "right": 0.06, "rare": 0.005},
        (
            *(("left", m, 0.98) for m in marks[:2]),
            *(("right", m, 0.98) for m in marks[2:]),
            *(("rare", m, 0.1) for m in marks),
        ),
        unlisted,
    )
    factors = dict.fromkeys(marks, FOUND)
    exact = truth(network, factors)
    found = posterior(make_worlds(network), factors)
    assert exact.origins["left"] > 0.98
    assert exact.origins["rare"] < 0.01
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=0.01)
