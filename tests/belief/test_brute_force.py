"""The posterior against every set of sources in every world, on small random networks.

Origins, conditions and the probability of the findings are summed, so they must agree to rounding.
What is counted in drawn worlds (which source is behind a condition, which link fired, unlisted
causes) must agree within five standard errors.
"""

from __future__ import annotations

from itertools import pairwise
from math import log
from random import Random

import pytest
from belief.brute import Truth, draw_factors, draw_network, errors, truth

from headwater.belief.posterior import Posterior, posterior, posterior_without
from headwater.belief.question import HARD
from headwater.belief.steps import SLACK
from headwater.belief.worlds import Factors, Network, make_worlds

ROUNDING = 1e-9


def slack(network: Network, factors: Factors, exact: Truth) -> float:
    """Return how far the slack left to contradictions may move a probability.

    Certain findings, and conditions that nothing in the book makes, leave a world that cannot be
    `SLACK`; what that comes to is measured against the probability of the findings.
    """
    made = {effect for _, effect, _ in network.links} | set(network.priors)
    certain = any(min(pair) <= HARD * max(pair) for pair in factors.values())
    if not certain and made >= set(network.conditions):
        return ROUNDING
    return ROUNDING + len(network.conditions) * SLACK / exact.findings


def compare(network: Network, factors: Factors) -> None:
    exact = truth(network, factors)
    found = posterior(make_worlds(network), factors)
    close = slack(network, factors, exact)
    assert found.exact
    assert found.log_evidence == pytest.approx(log(exact.findings), abs=close)
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=close), origin
    for condition, p in exact.present.items():
        # A condition that no finding bears on is only met in the worlds.
        summed = condition in found.conditions
        within = close if summed else errors(p, found.count)
        assert found.reached(condition) == pytest.approx(p, abs=within), condition
        assert found.presence()[condition] == pytest.approx(p, abs=within), condition
    compare_counted(found, exact)


def compare_counted(found: Posterior, exact: Truth) -> None:
    """Compare what is counted in worlds."""
    network, count = found.worlds.network, found.count
    assert found.unlisted == pytest.approx(exact.unlisted, abs=errors(exact.unlisted, count))
    for index, p in enumerate(exact.fired):
        assert found.share(found.fired[index]) == pytest.approx(p, abs=errors(p, count)), index
    for condition in network.conditions:
        counted = found.explains(condition)
        pairs = {source for c, source in exact.behind if c == condition}
        assert counted.keys() <= pairs
        for source in pairs:
            p = exact.behind[condition, source]
            share = counted.get(source, 0.0)
            assert share == pytest.approx(p, abs=errors(p, count)), (condition, source)


def drawn(
    seed: int, unlisted: float, *, loops: bool, hard: bool
) -> tuple[Network, dict[str, tuple[float, float]]]:
    random = Random(seed)
    nodes, links = random.randint(4, 7), random.randint(5, 9)
    network = draw_network(random, nodes, links, loops=loops, unlisted=unlisted)
    return network, draw_factors(random, network, random.randint(1, 4), hard=hard)


@pytest.mark.parametrize("hard", [False, True], ids=["soft", "hard"])
@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("unlisted", [0.0, 0.002])
@pytest.mark.parametrize("seed", range(25))
def test_small_networks(seed: int, unlisted: float, loops: bool, hard: bool) -> None:
    compare(*drawn(seed, unlisted, loops=loops, hard=hard))


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", range(5))
def test_networks_of_more_links(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, 7, 13, loops=loops)
    compare(network, draw_factors(random, network, 3, hard=True))


@pytest.mark.parametrize("seed", range(5))
def test_links_in_every_direction(seed: int) -> None:
    # All pairs of four are tied both ways: every chain may run against the order of the summing.
    random = Random(seed)
    network = draw_network(random, 4, 12, loops=True, unlisted=0.002)
    assert len(network.links) == 12
    compare(network, draw_factors(random, network, 2))


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", range(25))
def test_with_findings_taken_away_their_unlisted_causes_go(seed: int, loops: bool) -> None:
    """Or come, where the others are weighed anew; unlisted causes are as common as rare origins."""
    random = Random(seed)
    network, factors = drawn(seed, 0.06, loops=loops, hard=False)
    worlds = make_worlds(network)
    kept = random.sample(sorted(factors), random.randrange(len(factors)))
    rest = {c: factors[c] for c in kept}
    compare_counted(posterior_without(posterior(worlds, factors), rest), truth(network, rest))
    turned = {c: pair[::-1] for c, pair in factors.items()}
    compare_counted(posterior_without(posterior(worlds, factors), turned), truth(network, turned))


@pytest.mark.parametrize("rungs", [3, 5, 6, 8])
def test_a_chain_that_only_runs_back(rungs: int) -> None:
    # Each condition makes the next, and the next makes it: in whatever order they stand, a chain
    # from one of the two ends passes only links that lead back.
    ids = tuple(f"n{i}" for i in range(rungs))
    steps = list(pairwise(ids))
    links = [(a, b, 0.98) for a, b in steps] + [(b, a, 0.8) for a, b in steps]
    network = Network(ids, {ids[0]: 0.005, ids[-1]: 0.06}, tuple(links), 0.0)
    factors = {ids[0]: (0.998, 0.002)}
    exact = truth(network, factors)
    found = posterior(make_worlds(network), factors)
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=errors(p, found.count)), origin


def test_an_origin_that_explains_nothing_found_keeps_its_prior() -> None:
    links = (("worn", "burnt", 0.8), ("bent", "noisy", 0.8))
    network = Network(("worn", "bent", "burnt", "noisy"), {"worn": 0.06, "bent": 0.02}, links, 0.0)
    factors = {"burnt": (0.998, 0.002)}
    found = posterior(make_worlds(network), factors)
    assert found.probability("bent") == 0.02
    worn = truth(network, factors).origins["worn"]
    assert found.probability("worn") == pytest.approx(worn, abs=ROUNDING)


def test_findings_about_nothing_in_the_book_change_nothing() -> None:
    network = Network(("a", "e"), {"a": 0.1}, (("a", "e", 0.8),), 0.002)
    plain = posterior(make_worlds(network), {"e": (0.9, 0.1)})
    more = {"e": (0.9, 0.1), "elsewhere": (1.0, 0.0), "a": (0.5, 0.5)}
    assert posterior(make_worlds(network), more).presence() == plain.presence()


@pytest.mark.parametrize("strong", [1e-6, 1e-9, 0.0])
def test_findings_that_contradict_each_other_leave_probabilities(strong: float) -> None:
    # The cause always has its effect, is confirmed, and the effect is ruled out. Nothing fits, and
    # yet nothing may break: every figure stays a probability.
    network = Network(("a", "e"), {"a": 0.1}, (("a", "e", 1.0),), 0.0)
    found = posterior(make_worlds(network), {"a": (1.0, strong), "e": (strong, 1.0)})
    for p in (found.probability("a"), *found.presence().values(), found.unlisted):
        assert 0.0 <= p <= 1.0
    assert found.log_evidence < log(1e-5)


def test_the_brute_force_itself_on_one_link() -> None:
    # By hand, with `e` present unless neither the link fires nor an unlisted cause is there.
    network = Network(("a", "e"), {"a": 0.1}, (("a", "e", 0.8),), 0.002)
    exact = truth(network, {"e": (1.0, 0.0)})
    both = 1 - (1 - 0.1 * 0.8) * (1 - 0.002)
    assert exact.findings == pytest.approx(both, abs=1e-12)
    assert exact.origins["a"] == pytest.approx(0.1 * (1 - 0.2 * 0.998) / both, abs=1e-12)
    assert exact.unlisted == pytest.approx(0.002 / both, abs=1e-12)
    assert exact.fired[0] == pytest.approx((0.8 * 0.1 + 0.8 * 0.9 * 0.002) / both, abs=1e-12)
