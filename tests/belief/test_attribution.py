"""Attribution by its definition: every set of sources in every world of links, walked by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import prod
from random import Random

import pytest
from belief.brute import draw_factors, draw_network, spread, truth
from belief.test_brute_force import slack

from headwater.belief.attribution import Attribution
from headwater.belief.figures import FAR, Figures, interval
from headwater.belief.posterior import posterior
from headwater.belief.worlds import Factors, Network, Root, make_worlds

SEEDS = range(12)
LINES = (0.10, 0.50, 0.90)
Behind = dict[tuple[str | None, str], float]


def blamed(
    network: Network, links: list[tuple[str, str]], there: list[Root], condition: str
) -> set[str | None]:
    """Return whose doing a condition is in one world: faults that something else let in, else it.

    A fault is let in by itself, or by a usage or an unlisted cause over conditions that are no
    faults. What reaches the condition without passing a fault is the doing of its own source.
    """
    faults = set(network.priors) - network.usages
    free = [ends for ends in links if ends[0] not in faults]
    found: set[str | None] = set()
    for root in there:
        start = root.condition
        met = {start} if start in faults else spread(free, [start])
        found |= {f for f in met & faults if condition in spread(links, [f])}
        if start not in faults and condition in met - faults:
            found.add(None if root.unlisted else start)
    return found


def behind_by_hand(network: Network, factors: Factors) -> tuple[Behind, dict[str, float]]:
    """Return P(origin is behind condition | findings), and that any fault but the first is."""
    chances = {Root(c): p for c, p in network.priors.items()}
    positive = [c for c, (there, absent) in factors.items() if there > absent]
    if network.unlisted:
        extra = [Root(c, unlisted=True) for c in positive if c not in network.priors]
        chances |= dict.fromkeys(extra, network.unlisted)
    behind: Behind = {}
    any_fault: dict[str, float] = {}
    total = 0.0
    faults = set(network.priors) - network.usages
    for fired in product((False, True), repeat=len(network.links)):
        links = [link[:2] for link, on in zip(network.links, fired, strict=True) if on]
        weight = prod(
            link[2] if on else 1 - link[2] for link, on in zip(network.links, fired, strict=True)
        )
        for has in product((False, True), repeat=len(chances)):
            roots = [root for root, on in zip(chances, has, strict=True) if on]
            present = spread(links, [root.condition for root in roots])
            told = prod(factors[c][0 if c in present else 1] for c in factors)
            own = prod(p if on else 1 - p for p, on in zip(chances.values(), has, strict=True))
            here = weight * own * told
            total += here
            for condition in present:
                who = blamed(network, links, roots, condition)
                assert who, "what is there is somebody's doing"
                for origin in who:
                    behind[origin, condition] = behind.get((origin, condition), 0.0) + here
                if who & faults:
                    any_fault[condition] = any_fault.get(condition, 0.0) + here
    return (
        {key: p / total for key, p in behind.items()},
        {condition: p / total for condition, p in any_fault.items()},
    )


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
    exact, any_fault = behind_by_hand(network, factors)
    close = slack(network, factors, truth(network, factors))
    found = posterior(make_worlds(network), factors)
    told = Attribution(Figures(found))
    faults = [c for c in network.priors if c not in network.usages]
    for condition in network.conditions:
        shares = told.shares(condition)
        for origin in (*network.priors, None):
            p = exact.get((origin, condition), 0.0)
            counted = interval(shares.get(origin, 0.0), found.count, FAR)
            assert counted.low - close <= p <= counted.high + close, (origin, condition)
            for line in LINES:
                figure = told.together([origin], condition, line)
                assert figure.low - close <= p <= figure.high + close, (origin, condition, line)
        p = any_fault.get(condition, 0.0)
        for line in LINES:
            figure = told.together(faults, condition, line)
            assert figure.low - close <= p <= figure.high + close, (condition, line)


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_bound_the_shares(seed: int) -> None:
    network, factors = drawn(seed, loops=False)
    exact, _ = behind_by_hand(network, factors)
    close = slack(network, factors, truth(network, factors))
    told = Attribution(Figures(posterior(make_worlds(network), factors)))
    for condition in network.conditions:
        for origin in (*network.priors, None):
            figure = told.summed([origin], condition)
            assert figure is not None
            p = exact.get((origin, condition), 0.0)
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
    exact, _ = behind_by_hand(network, factors)
    for origin in ("towed", "worn"):
        share = told.shares("burnt")[origin]
        assert share == pytest.approx(exact[origin, "burnt"], abs=0.04)
    assert exact["towed", "burnt"] > 0.3


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
