"""The posterior against every set of sources in every world, on small random networks."""

from __future__ import annotations

from random import Random

import pytest
from belief.brute import draw_factors, draw_network, truth

from headwater.belief.posterior import posterior
from headwater.belief.worlds import ENUMERATE_UP_TO, Network, make_worlds

CLOSE = 0.01
SEEDS = range(30)


def compare(network: Network, factors: dict[str, tuple[float, float]], worlds: int = 2048) -> float:
    """Return the greatest difference between the posterior and the truth."""
    exact = truth(network, factors)
    found = posterior(make_worlds(network, worlds), factors)
    return max(
        [abs(found.probability(c) - p) for c, p in exact.origins.items()]
        + [abs(found.reached(c) - exact.present[c]) for c in network.conditions]
        + [abs(found.unlisted - exact.unlisted)]
    )


@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_enumerated(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, random.randint(4, 7), random.randint(5, 9), loops=loops)
    print("DIFF", compare(network, draw_factors(random, network, random.randint(1, 4))))

@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_unl(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, 6, 8, loops=loops, unlisted=.002)
    print("DIFFU", compare(network, draw_factors(random, network, 3)))

@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_samp(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, 7, 13, loops=loops)
    f=draw_factors(random, network, 3)
    print("DIFFS", len(network.links), compare(network,f ), compare(network,f,20000))
