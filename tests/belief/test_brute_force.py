"""The posterior against every set of sources in every world, on small random networks.

`reached` is compared for what lies upstream of the positive findings: the search weighs the origins
that could have caused those, and leaves every other origin at its prior, out of the sets.
"""

from __future__ import annotations

from random import Random

import pytest
from belief.brute import draw_factors, draw_network, truth

from headwater.belief.posterior import Factors, posterior
from headwater.belief.worlds import ENUMERATE_UP_TO, Network, make_worlds, upstream

CLOSE = 0.01


def compare(network: Network, factors: Factors) -> None:
    exact = truth(network, factors)
    found = posterior(make_worlds(network), factors)
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=CLOSE)
    positive = [c for c, (present, absent) in factors.items() if present > absent]
    near = upstream(network.links, positive) if positive else set(network.conditions)
    for condition in near:
        assert found.reached(condition) == pytest.approx(exact.present[condition], abs=CLOSE)
    assert found.unlisted == pytest.approx(exact.unlisted, abs=CLOSE)


@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("unlisted", [0.0, 0.002])
@pytest.mark.parametrize("seed", range(25))
def test_small_networks_enumerated(seed: int, unlisted: float, loops: bool) -> None:
    random = Random(seed)
    nodes, links = random.randint(4, 7), random.randint(5, 9)
    network = draw_network(random, nodes, links, loops=loops, unlisted=unlisted)
    assert len(network.links) <= ENUMERATE_UP_TO
    compare(network, draw_factors(random, network, random.randint(1, 4)))


@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_networks_that_are_sampled(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, 7, 13, loops=loops)
    assert len(network.links) > ENUMERATE_UP_TO
    compare(network, draw_factors(random, network, 3))


def test_an_origin_that_explains_nothing_found_keeps_its_prior() -> None:
    links = (("worn", "burnt", 0.8), ("bent", "noisy", 0.8))
    network = Network(("worn", "bent", "burnt", "noisy"), {"worn": 0.06, "bent": 0.02}, links, 0.0)
    found = posterior(make_worlds(network), {"burnt": (0.998, 0.002)})
    assert found.probability("bent") == 0.02
    assert found.probability("worn") == pytest.approx(
        truth(network, {"burnt": (0.998, 0.002)}).origins["worn"], abs=1e-9
    )


def test_the_brute_force_itself_on_one_link() -> None:
    # By hand, with `e` present unless neither the link fires nor an unlisted cause is there.
    network = Network(("a", "e"), {"a": 0.1}, (("a", "e", 0.8),), 0.002)
    exact = truth(network, {"e": (1.0, 0.0)})
    both = 1 - (1 - 0.1 * 0.8) * (1 - 0.002)
    assert exact.findings == pytest.approx(both, abs=1e-12)
    assert exact.origins["a"] == pytest.approx(0.1 * (1 - 0.2 * 0.998) / both, abs=1e-12)
    assert exact.unlisted == pytest.approx(0.002 / both, abs=1e-12)
