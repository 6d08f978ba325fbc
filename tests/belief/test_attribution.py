"""Attribution against its definition: every set of sources in every world of links, walked."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from belief.brute import doing, draw_factors, draw_network, truth
from belief.test_brute_force import slack

from headwater.belief.attribution import Attribution
from headwater.belief.figures import FAR, Figures, tallied
from headwater.belief.posterior import posterior
from headwater.belief.worlds import Factors, Network, make_worlds

SEEDS = range(12)
LINES = (0.10, 0.50, 0.90)


def drawn(seed: int, *, loops: bool) -> tuple[Network, Factors]:
    """Draw a small network; its first origin is a usage, and a later condition a fault as well."""
    random = Random(seed)
    network = draw_network(random, 5, 6, loops=loops, unlisted=0.002)
    first, *_ = network.priors
    late = network.conditions[-2]
    network = replace(network, priors={**network.priors, late: 0.02}, usages=frozenset({first}))
    return network, draw_factors(random, network, random.randint(1, 3))


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", SEEDS)
def test_shares_agree_with_every_world_walked(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    exact = doing(network, factors)
    close = slack(network, factors, truth(network, factors))
    found = posterior(make_worlds(network), factors)
    told = Attribution(Figures(found))
    faults = [c for c in network.priors if c not in network.usages]
    for condition in network.conditions:
        shares = told.shares(condition)
        for origin in (*network.priors, None):
            p = exact.share([origin], condition)
            counted = tallied(shares.get(origin, 0.0), found.count, FAR)
            assert counted.low - close <= p <= counted.high + close, (origin, condition)
            for line in LINES:
                figure = told.together([origin], condition, line)
                assert figure.low - close <= p <= figure.high + close, (origin, condition, line)
        p = exact.share(faults, condition)
        for line in LINES:
            figure = told.together(faults, condition, line)
            assert figure.low - close <= p <= figure.high + close, (condition, line)


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_bound_the_shares(seed: int) -> None:
    network, factors = drawn(seed, loops=False)
    exact = doing(network, factors)
    close = slack(network, factors, truth(network, factors))
    told = Attribution(Figures(posterior(make_worlds(network), factors)))
    for condition in network.conditions:
        for origin in (*network.priors, None):
            figure = told.summed([origin], condition)
            assert figure is not None
            p = exact.share([origin], condition)
            assert figure.low - close <= p <= figure.high + close, (origin, condition)


def row() -> tuple[Network, Factors]:
    """towed (a usage) -usually-> worn (a fault) -usually-> burnt, which is found for certain."""
    network = Network(
        ("towed", "worn", "burnt"),
        {"towed": 0.06, "worn": 0.06},
        (("towed", "worn", 0.8), ("worn", "burnt", 0.8)),
        0.0,
        frozenset({"towed"}),
    )
    return network, {"burnt": (1.0, 0.0)}


def test_a_chain_is_named_at_its_topmost_fault() -> None:
    """All that towing did here it did through the fault: its share goes there, whole."""
    network, factors = row()
    told = Attribution(Figures(posterior(make_worlds(network), factors)))
    assert told.shares("burnt") == {"worn": 1.0}
    assert told.together(["towed"], "burnt", 0.10).high < 0.10


def test_a_usage_that_reaches_it_by_itself_keeps_its_share() -> None:
    network, factors = row()
    network = replace(network, links=(*network.links, ("towed", "burnt", 0.8)))
    told = Attribution(Figures(posterior(make_worlds(network), factors)))
    exact = doing(network, factors)
    for origin in ("towed", "worn"):
        share = told.shares("burnt")[origin]
        assert share == pytest.approx(exact.share([origin], "burnt"), abs=0.04)
    assert exact.share(["towed"], "burnt") > 0.3


def test_presence_is_not_cause() -> None:
    """Both origins are seen for certain; one of them leads to the finding by a rare link only."""
    network = Network(
        ("left", "right", "burnt"),
        {"left": 0.06, "right": 0.06},
        (("left", "burnt", 0.98), ("right", "burnt", 0.1)),
        0.0,
    )
    factors = {"left": (1.0, 0.0), "right": (1.0, 0.0), "burnt": (1.0, 0.0)}
    found = posterior(make_worlds(network), factors)
    told = Attribution(Figures(found))
    assert found.probability("right") == pytest.approx(1.0)
    # By hand: P(right's link fired | burnt, both there) = 0.1 / (1 - 0.02 * 0.9).
    figure = told.summed(["right"], "burnt")
    assert figure is not None
    assert figure.low == figure.high == pytest.approx(0.1 / (1 - 0.02 * 0.9), abs=1e-6)


def test_what_is_present_is_somebodys_doing() -> None:
    """The oracle agrees with the plain one on what is there, and blames somebody for all of it."""
    for seed in SEEDS:
        network, factors = drawn(seed, loops=bool(seed % 2))
        exact, plain = doing(network, factors), truth(network, factors)
        for condition, p in plain.present.items():
            assert exact.present(condition) == pytest.approx(p)
            assert exact.share([*network.priors, None], condition) == pytest.approx(p)
