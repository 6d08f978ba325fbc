"""The posterior against exact Bayesian inference (pyAgrum) on networks without loops.

Findings enter both sides as the same pair of likelihoods (`belief.noisy_or`). Nothing here is
counted in worlds, so the usual number of worlds must do.
"""

from __future__ import annotations

from math import log
from random import Random

import pytest
from belief.brute import draw_factors, draw_network
from belief.noisy_or import allow_unlisted, infer, noisy_or_net, spoken_for

from headwater.belief.posterior import posterior
from headwater.belief.worlds import Factors, Network, make_worlds

pytest.importorskip("pyagrum")

CLOSE = 1e-6
CLOSE_IF_CERTAIN = 1e-4
"""A contradiction of certain findings keeps a slack of 1e-9, which shows where the findings are as
improbable as one in a hundred thousand; half of these networks agree within 1e-7."""
SEEDS = range(80)


def exact(network: Network, factors: Factors) -> tuple[dict[str, float], float]:
    """Return the exact probability of each node, and of the findings themselves."""
    unlisted = spoken_for(network, factors)
    net = noisy_or_net(network, unlisted)
    allow_unlisted(net, network, factors, unlisted)
    chances, inference = infer(net, factors, net.names())
    return chances, float(inference.evidenceProbability())


def compare(network: Network, factors: Factors, close: float = CLOSE) -> None:
    """Compare the origins, the conditions that findings bear on, and the findings themselves."""
    truth, findings = exact(network, factors)
    found = posterior(make_worlds(network), factors)
    assert found.exact
    assert found.log_evidence == pytest.approx(log(findings), abs=close)
    assert found.conditions.keys() >= {c for c, pair in factors.items() if pair[0] > pair[1]}
    for origin in network.priors:
        assert found.probability(origin) == pytest.approx(truth[f"+{origin}"], abs=close), origin
    for condition, p in found.conditions.items():
        assert p == pytest.approx(truth[condition], abs=close), condition


@pytest.mark.parametrize("seed", SEEDS)
def test_noisy_or_networks(seed: int) -> None:
    random = Random(seed)
    network = draw_network(random, random.randint(8, 12), random.randint(12, 18), loops=False)
    compare(network, draw_factors(random, network, random.randint(2, 5)))


@pytest.mark.parametrize("seed", SEEDS)
def test_noisy_or_networks_with_certain_findings(seed: int) -> None:
    random = Random(seed)
    network = draw_network(random, random.randint(8, 12), random.randint(12, 18), loops=False)
    factors = draw_factors(random, network, random.randint(2, 6), hard=True)
    compare(network, factors, CLOSE_IF_CERTAIN)


@pytest.mark.parametrize("seed", range(10))
def test_larger_networks_with_many_findings(seed: int) -> None:
    random = Random(seed)
    network = draw_network(random, 40, 70, loops=False, unlisted=0.002)
    factors = draw_factors(random, network, 8, hard=True)
    compare(network, factors)


def test_the_whole_of_a_wide_fan() -> None:
    # Twelve origins of one finding: taken in one after the other, as a table of 2^12 in one.
    marks = [f"o{i}" for i in range(12)]
    links = tuple((mark, "found", 0.1 + 0.07 * i) for i, mark in enumerate(marks))
    priors = {mark: 0.005 * (i + 1) for i, mark in enumerate(marks)}
    network = Network((*marks, "found"), priors, links, 0.0)
    compare(network, {"found": (0.998, 0.002), "o3": (0.3, 0.7)})
