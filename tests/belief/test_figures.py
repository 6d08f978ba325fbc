"""Figures near a line: exact where they say so, and never on the wrong side of what they say."""

from __future__ import annotations

from random import Random

import pytest
from belief.brute import draw_factors, draw_network, truth
from belief.test_brute_force import slack

from headwater.belief import figures, question, sizing
from headwater.belief.figures import FAR, Figure, Figures, exact_share, tallied
from headwater.belief.posterior import posterior
from headwater.belief.worlds import Network, Root, make_worlds

SEEDS = range(20)


def drawn(seed: int, *, loops: bool) -> tuple[Network, dict[str, tuple[float, float]]]:
    random = Random(seed)
    network = draw_network(random, 7, random.randint(7, 9), loops=loops, unlisted=0.002)
    return network, draw_factors(random, network, random.randint(1, 3))


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_near_the_line_is_summed_exactly(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    found = Figures(posterior(make_worlds(network), factors))
    for condition, p in exact.present.items():
        figure = found.presence_of([condition], [p])[condition]
        assert figure.low - close <= p <= figure.high + close, condition
        if condition in found.posterior.conditions or figure.low > 0.0:
            # The line lies on the figure itself, so that neither bound nor draws decide it.
            assert figure.high - figure.low < close, condition


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", SEEDS)
def test_shares_agree_with_brute_force(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    worlds = make_worlds(network)
    found = posterior(worlds, factors)
    met = 0
    for (condition, root), p in exact.behind.items():
        summed = exact_share(worlds, factors, [root], condition)
        if summed is not None:
            assert summed == pytest.approx(p, abs=close), (condition, root)
            met += 1
        counted = found.explains(condition).get(root, 0.0)
        figure = tallied(counted, found.count, FAR)
        assert figure.low - close <= p <= figure.high + close, (condition, root)
    assert met
    assert loops or met == len(exact.behind)


@pytest.mark.parametrize("loops", [False, True], ids=["tree", "loops"])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_share_of_all_that_is_listed_leaves_what_is_not(seed: int, loops: bool) -> None:
    network, factors = drawn(seed, loops=loops)
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    worlds = make_worlds(network)
    every = {root for _, root in exact.behind}
    for condition in posterior(worlds, factors).conditions:
        summed = exact_share(worlds, factors, every, condition)
        assert loops or summed is not None
        if summed is not None:
            assert summed == pytest.approx(exact.present[condition], abs=close), condition


@pytest.mark.parametrize("seed", SEEDS)
def test_bounds_hold(seed: int) -> None:
    network, factors = drawn(seed, loops=bool(seed % 2))
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    found = Figures(posterior(make_worlds(network), factors))
    for condition, p in exact.present.items():
        assert found._at_most[found.posterior.worlds.position[condition]] >= p - close, condition
    before = truth(network, {})
    close = slack(network, {}, before)
    for condition, p in before.present.items():
        figure = found.before(condition, p)
        assert figure.low - close <= p <= figure.high + close, condition


@pytest.mark.parametrize("seed", SEEDS)
def test_figures_round_large_loops_are_intervals(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # No turns counted but in pairs: what is left is drawn, and the intervals must hold the truth.
    # 99.9 % of them do; a hundred or so here, and the same at every run.
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    network, factors = drawn(seed, loops=True)
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    found = Figures(posterior(make_worlds(network), factors))
    for condition, p in exact.present.items():
        figure = found.presence_of([condition], [p])[condition]
        assert figure.low - close <= p <= figure.high + close, condition


@pytest.mark.parametrize("seed", SEEDS)
def test_the_bounds_of_what_is_masked_hold(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With turns counted in pairs alone the rest is masked; the truth lies within all the same."""
    monkeypatch.setattr(question, "SMALL_LOOP", 0)
    monkeypatch.setattr(question, "PART", 2)
    network, factors = drawn(seed, loops=True)
    exact = truth(network, factors)
    found = posterior(make_worlds(network), factors)
    close = slack(network, factors, exact)
    assert bool(found.bounds) == bool(found.model.circles)
    for condition, (least, most) in found.bounds.items():
        assert least - close <= exact.present[condition] <= most + close, condition


def test_a_model_too_large_says_that_it_does_not_know(monkeypatch: pytest.MonkeyPatch) -> None:
    network = Network(
        ("worn", "dry", "burnt", "smoke"),
        {"worn": 0.06, "dry": 0.06},
        (("worn", "burnt", 0.8), ("dry", "burnt", 0.4), ("burnt", "smoke", 0.4)),
    )
    monkeypatch.setattr(sizing, "CELLS", 1)
    found = Figures(posterior(make_worlds(network), {"burnt": (0.998, 0.002)}))
    told = found.presence_of(["burnt", "smoke"], [0.5])
    assert told["burnt"] == figures.UNKNOWN
    assert not told["burnt"].decides([0.5])
    # What the cause cannot be more than, its effect cannot be either.
    assert told["smoke"].high == pytest.approx(0.4)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_cannot_be_summed_is_counted_in_more_worlds(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the sum that a figure needs is too large, its interval still holds the truth."""
    network, factors = drawn(seed, loops=False)
    exact = truth(network, factors)
    close = slack(network, factors, exact)
    found = Figures(posterior(make_worlds(network), factors))
    monkeypatch.setattr(figures, "whole_model", lambda _: None)
    for condition, p in exact.present.items():
        figure = found.presence_of([condition], [p])[condition]
        assert figure.low - close <= p <= figure.high + close, condition
        assert figure.decides([p]) or figure.high - figure.low < 0.05
    unseen = truth(network, {})
    for condition, p in unseen.present.items():
        figure = found.before(condition, p)
        assert figure.low - close <= p <= figure.high + close, condition
        assert figure.decides([p]) or figure.high - figure.low < 0.05


def test_one_elimination_tells_a_share_from_a_presence() -> None:
    # By hand: both are there for certain, each leads on to what was found by its own link.
    links = (("left", "found", 0.5), ("right", "found", 0.5))
    network = Network(("left", "right", "found"), {"left": 1.0, "right": 1.0}, links, 0.0)
    worlds, factors = make_worlds(network), {"found": (1.0, 0.0)}
    share = exact_share(worlds, factors, [Root("left")], "found")
    assert share == pytest.approx(0.5 / 0.75, abs=1e-8)


def test_a_figure_is_not_widened_by_lines_that_need_fewer_draws(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Met on the shipped book: sure of one line, it was asked of others and forgot the first."""
    network = Network(("heat", "smoke"), {"heat": 0.4}, (("heat", "smoke", 0.9),))
    found = Figures(posterior(make_worlds(network), {}))
    told = iter([Figure(0.35, 0.39), Figure(0.34, 0.43)])
    monkeypatch.setattr(Figures, "glance", lambda *_: Figure(0.2, 0.6))
    monkeypatch.setattr(Figures, "_summed", lambda *_: {"smoke": next(told)})
    assert found.presence_of(["smoke"], [0.4])["smoke"] == Figure(0.35, 0.39)
    assert found.presence_of(["smoke"], [0.3])["smoke"] == Figure(0.35, 0.39)
