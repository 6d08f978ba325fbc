"""The drawn worlds: each is possible by itself, and together they agree with the probabilities."""

from __future__ import annotations

import json
import subprocess
import sys
from random import Random

import pytest
from belief.brute import draw_factors, draw_network, errors, spread, truth
from process import environment

from headwater.belief import question, sizing
from headwater.belief.posterior import Posterior, posterior
from headwater.belief.question import HARD, Question
from headwater.belief.worlds import Factors, Network, make_worlds

FOUND = (0.998, 0.002)
SURE = (1.0, 1e-6)
RULED_OUT = (1e-6, 1.0)
CASES = [(seed, loops) for loops in (False, True) for seed in range(12)]
Drawn = tuple[Network, dict[str, tuple[float, float]]]


def drawn(seed: int, *, loops: bool) -> Drawn:
    random = Random(seed)
    network = draw_network(random, 7, random.randint(7, 9), loops=loops, unlisted=0.002)
    return network, draw_factors(random, network, random.randint(2, 5), hard=True)


def check_worlds(found: Posterior, factors: Factors) -> None:
    """Check every world by itself: what is there reaches what is present, and no more."""
    network, count = found.worlds.network, found.count
    sources = list(found.starts)
    there = found.truths([found.starts[s] for s in sources])
    fired = found.truths(found.fired)
    present = found.columns()
    assert present.shape == (count, len(network.conditions))
    for world in range(count):
        starts = [
            s.condition for s, is_there in zip(sources, there[world], strict=True) if is_there
        ]
        ends = [e[:2] for e, fires in zip(network.links, fired[world], strict=True) if fires]
        reached = spread(ends, starts)
        marks = zip(network.conditions, present[world], strict=True)
        assert reached == {c for c, is_present in marks if is_present}, world
        for condition, pair in factors.items():
            if min(pair) <= HARD * max(pair):
                assert (condition in reached) == (pair[0] > pair[1]), (world, condition)


def check_shares(found: Posterior) -> None:
    """Check that each condition and origin is there in as many worlds as it is probable."""
    shares = found.columns().mean(axis=0)
    for condition, share in zip(found.worlds.network.conditions, shares, strict=True):
        p = found.reached(condition)
        assert share == pytest.approx(p, abs=errors(p, found.count)), condition
    for source, bits in found.starts.items():
        if not source.unlisted:
            p = found.probability(source.condition)
            within = errors(p, found.count)
            assert found.share(bits) == pytest.approx(p, abs=within), source


@pytest.mark.parametrize(("seed", "loops"), CASES)
def test_every_world_is_possible(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    check_worlds(posterior(make_worlds(network, 300), factors), factors)


@pytest.mark.parametrize(("seed", "loops"), CASES)
def test_every_world_with_circles_that_are_sorted_out_is_possible(
    seed: int, loops: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    network, factors = drawn(seed, loops=loops)
    check_worlds(posterior(make_worlds(network, 300), factors), factors)


@pytest.mark.parametrize(("seed", "loops"), CASES)
def test_the_worlds_agree_with_the_probabilities(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    check_shares(posterior(make_worlds(network), factors))


@pytest.mark.parametrize("loops", [False, True])
def test_worlds_before_anything_is_found(loops: bool) -> None:
    network, _ = drawn(0, loops=loops)
    found = posterior(make_worlds(network), {})
    exact = truth(network, {})
    check_worlds(found, {})
    assert found.count == make_worlds(network).count
    assert found.log_evidence == pytest.approx(0.0, abs=1e-12)
    for condition, p in exact.present.items():
        within = errors(p, found.count)
        assert found.reached(condition) == pytest.approx(p, abs=within), condition


def test_two_conditions_of_one_world_belong_together() -> None:
    # Shares alone would not show it: left and right are both likely, and never there together.
    links = (("left", "found", 1.0), ("right", "found", 1.0))
    network = Network(("left", "right", "found"), {"left": 1e-5, "right": 1e-5}, links, 0.0)
    found = posterior(make_worlds(network), {"found": (1.0, 0.0)})
    left, right, _ = found.columns().T
    assert left.mean() == pytest.approx(0.5, abs=errors(0.5, found.count))
    assert (left ^ right).all()


def test_more_worlds_come_nearer() -> None:
    network, factors = drawn(3, loops=True)
    exact = truth(network, factors)

    def off(count: int) -> float:
        found = posterior(make_worlds(network, count), factors)
        return sum(
            abs(found.explains(c).get(source, 0.0) - p) for (c, source), p in exact.behind.items()
        ) / len(exact.behind)

    assert off(200_000) < off(2_000) / 3.0
    assert off(200_000) < 0.002


# Circles too large for turns: what holds itself up is drawn as well, and sorted out.


@pytest.mark.parametrize("seed", range(20))
def test_circles_that_are_sorted_out_agree_with_brute_force(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    random = Random(seed)
    network = draw_network(random, 6, 8, loops=True, unlisted=0.002)
    factors = draw_factors(random, network, random.randint(1, 4), hard=bool(seed % 2))
    exact = truth(network, factors)
    found = posterior(make_worlds(network, 20_000), factors)
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=errors(p, found.count)), origin
    for condition, p in exact.present.items():
        within = errors(p, found.count)
        assert found.reached(condition) == pytest.approx(p, abs=within), condition
    assert found.unlisted == pytest.approx(exact.unlisted, abs=errors(exact.unlisted, found.count))
    for (condition, source), p in exact.behind.items():
        share = found.explains(condition).get(source, 0.0)
        assert share == pytest.approx(p, abs=errors(p, found.count)), (condition, source)


def alone(unlisted: float) -> Network:
    """Return a network with a circle that nothing enters, beside an origin."""
    links = (("slap", "wear", 0.98), ("wear", "slap", 0.98), ("worn", "noise", 0.98))
    return Network(("worn", "slap", "wear", "noise"), {"worn": 0.06}, links, unlisted)


@pytest.mark.parametrize("small", [0, 12], ids=["sorted out", "turns"])
@pytest.mark.parametrize("pair", [FOUND, SURE, (0.7, 0.3)])
def test_a_circle_that_nothing_enters_holds_nothing_up(
    pair: tuple[float, float], small: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", small)
    network = alone(unlisted=0.0)
    found = posterior(make_worlds(network), {"slap": pair, "wear": pair})
    # With turns, what cannot be keeps the slack left to a contradiction.
    assert found.reached("slap") == pytest.approx(0.0, abs=1e-3)
    assert found.reached("wear") == pytest.approx(0.0, abs=1e-3)
    assert found.probability("worn") == pytest.approx(0.06, abs=1e-9)
    assert found.explains("slap") == {}


@pytest.mark.parametrize("small", [0, 12], ids=["sorted out", "turns"])
def test_what_is_found_in_such_a_circle_came_from_something_unlisted(
    small: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", small)
    network, factors = alone(unlisted=0.002), {"slap": FOUND, "wear": FOUND}
    found = posterior(make_worlds(network, 20_000), factors)
    exact = truth(network, factors)
    assert found.unlisted == pytest.approx(exact.unlisted, abs=errors(exact.unlisted, found.count))
    assert found.reached("slap", listed_only=True) == 0.0
    shares = found.explains("slap")
    assert sum(shares.values()) > 0.99
    assert all(source.unlisted for source in shares)


def test_few_worlds_left_are_no_exact_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    # Round three conditions, for two that make each other are told apart without any sorting out.
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    ring = ("slap", "wear", "rub")
    links = tuple((a, b, 0.98) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    network, factors = Network(ring, {}, links, 0.002), dict.fromkeys(ring, FOUND)
    assert not posterior(make_worlds(network, 200), factors).exact
    assert posterior(make_worlds(network, 200_000), factors).exact


@pytest.mark.parametrize("seed", range(12))
def test_conditions_that_make_each_other_need_no_sorting_out(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    random = Random(seed)
    line = draw_network(random, 6, 7, loops=False, unlisted=0.002)
    ends = [link[:2] for link in line.links]
    # A pair that is on no longer circle: its second is reached from its first by the link alone.
    pair = next(e for e in ends if e[1] not in spread([o for o in ends if o != e], e[:1]))
    links = (*line.links, (pair[1], pair[0], 0.8))
    network = Network(line.conditions, line.priors, links, line.unlisted)
    factors = draw_factors(random, network, 3)
    exact, found = truth(network, factors), posterior(make_worlds(network), factors)
    assert found.count == found.drawn
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=1e-7), origin
    for condition in found.conditions:
        assert found.reached(condition) == pytest.approx(exact.present[condition], abs=1e-7)


# A model that is too large loses its rarest links, and says so.


def test_a_model_too_large_loses_its_rarest_links_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    links = (("worn", "burnt", 0.8), ("dry", "burnt", 0.4), ("bent", "burnt", 0.1))
    priors = {"worn": 0.02, "dry": 0.02, "bent": 0.02}
    network = Network(("worn", "dry", "bent", "burnt"), priors, links, 0.0)
    whole = posterior(make_worlds(network), {"burnt": FOUND})
    assert whole.exact
    _, plan = sizing.build_model(Question(make_worlds(network), {"burnt": FOUND}))
    monkeypatch.setattr(sizing, "CELLS", plan.cells - 1)
    found = posterior(make_worlds(network), {"burnt": FOUND})
    assert not found.exact
    fewer = Network(network.conditions, priors, links[:2], 0.0)
    exact = truth(fewer, {"burnt": FOUND})
    for origin, p in exact.origins.items():
        assert found.probability(origin) == pytest.approx(p, abs=1e-9)


@pytest.mark.parametrize("cells", [12, 30, 60])
@pytest.mark.parametrize(("seed", "loops"), CASES)
def test_worlds_without_the_links_left_out_are_possible(
    seed: int, loops: bool, cells: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    network, factors = drawn(seed, loops=loops)
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    monkeypatch.setattr(sizing, "CELLS", cells)
    found = posterior(make_worlds(network, 300), factors)
    assert all(0.0 <= p <= 1.0 for p in found.presence().values())
    check_worlds(found, factors)
    check_shares(found)


# The same everywhere.


def summary(found: Posterior) -> list[object]:
    """Return everything that a posterior says, in a form that can be written down."""
    starts = [(s.condition, s.unlisted, bits) for s, bits in found.starts.items()]
    return [
        found.count,
        found.log_evidence,
        list(found.marginals.items()),
        list(found.presence().items()),
        starts,
        found.fired,
        list(found.present.items()),
    ]


def every_summary() -> str:
    """Return what is believed of all drawn networks, as text."""
    cases = [drawn(seed, loops=loops) for seed, loops in CASES]
    told = [summary(posterior(make_worlds(network, 256), found)) for network, found in cases]
    return json.dumps(told)


def test_two_processes_with_other_hashes_believe_the_same() -> None:
    code = "from belief.test_worlds import every_summary; print(every_summary())"
    path = environment()["PYTHONPATH"]
    told = [
        subprocess.run(
            [sys.executable, "-c", code],
            env=environment(PYTHONHASHSEED=seed, PYTHONPATH=f"{path}:{path}/../tests"),
            capture_output=True,
            text=True,
            check=True,
            timeout=120,
        ).stdout
        for seed in ("1", "2")
    ]
    assert told[0] == told[1] == every_summary() + "\n"
