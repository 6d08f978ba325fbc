"""Several origins at once, where single ones explain little by themselves."""

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
        # A finding taken as settled is: what it leaves to the contrary, one in a million, is
        # measured against findings that are themselves as likely as 0.003.
        assert found.probability(origin) == pytest.approx(p, abs=4e-6 / exact.findings)


@pytest.mark.parametrize("faults", [2, 5, 8])
def test_any_number_of_origins_that_are_each_found_by_their_own_effect(faults: int) -> None:
    # Every pair of origin and effect stands alone, so that each may be worked out by hand.
    pairs = [(f"o{i}", f"e{i}") for i in range(8)]
    links = tuple((origin, effect, 0.8) for origin, effect in pairs)
    names = tuple(name for pair in pairs for name in pair)
    network = Network(names, {origin: 0.02 for origin, _ in pairs}, links, 0.002)
    factors = {effect: (1.0, 0.0) for _, effect in pairs[:faults]}
    found = posterior(make_worlds(network), factors)
    both = 1 - (1 - 0.02 * 0.8) * (1 - 0.002)
    expected = 0.02 * (1 - 0.2 * 0.998) / both
    for place, (origin, _) in enumerate(pairs):
        p = expected if place < faults else 0.02
        assert found.probability(origin) == pytest.approx(p, abs=1e-6)
    together = (1 << found.count) - 1
    for source, bits in found.starts.items():
        if source.condition in {origin for origin, _ in pairs[:faults]}:
            together &= bits
    assert found.share(together) == pytest.approx(expected**faults, abs=0.05)
