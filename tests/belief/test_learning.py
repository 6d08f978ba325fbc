"""Expected counts against every world of small networks; figures learnt from drawn findings."""

from __future__ import annotations

from math import log
from random import Random

import pytest
from belief.brute import draw_factors, draw_network, truth

from headwater.belief.expected import expected
from headwater.belief.learning import LINK_WORTH, CasesAlike, figures_of, learn, with_figures
from headwater.belief.worlds import Factors, Network, make_worlds

CLOSE = 1e-6
"""What the slack left to contradictions may move, and rounding."""


def compare(network: Network, factors: Factors) -> None:
    """Of each figure: how often it held, less its share of how often it was tried, is exact."""
    exact, found = truth(network, factors), expected(make_worlds(network), factors)
    assert found.log_evidence == pytest.approx(log(exact.findings), abs=CLOSE)
    for figure, p in figures_of(network):
        tried = found.counts.get(figure)
        slope = tried.held - p * tried.times if tried else 0.0
        if len(figure) == 1:
            assert slope == pytest.approx(exact.origins[figure[0]] - p, abs=CLOSE), figure
            continue
        # A link whose cause is not there fires in its own share: P(fired) less that is the rest.
        index = [link[:2] for link in network.links].index((figure[0], figure[1]))
        assert slope == pytest.approx(exact.fired[index] - p, abs=CLOSE), figure
        if tried:
            assert tried.times == pytest.approx(exact.present[figure[0]], abs=CLOSE), figure


@pytest.mark.parametrize("seed", range(24))
def test_expected_counts_are_those_of_every_world(seed: int) -> None:
    draw = Random(f"expected/{seed}")
    network = draw_network(draw, 6, 9, loops=seed % 2 == 1, unlisted=0.02 * (seed % 3))
    factors = draw_factors(draw, network, 1 + seed % 4, hard=seed % 5 == 0)
    if truth(network, factors).findings > 1e-4:  # the slack is measured against it
        compare(network, factors)


# Learnt again from findings that were drawn ------------------------------------------------------

FORK = Network(
    ("bore", "oil", "howl", "pads"),
    {"bore": 0.2, "oil": 0.1},
    (("bore", "howl", 0.8), ("bore", "pads", 0.8), ("oil", "howl", 0.4)),
    unlisted=0.0,
)
SURE = {True: (0.98, 0.002), False: (0.02, 0.998)}


def drawn(network: Network, number: int, draw: Random, seen: tuple[str, ...]) -> list[Factors]:
    """Return the findings of some units: every look is answered, and errs as the book says."""
    cases: list[Factors] = []
    for _ in range(number):
        there = {c for c, p in network.priors.items() if draw.random() < p}
        for cause, effect, p in network.links:  # the causes of FORK stand before their effects
            if cause in there and draw.random() < p:
                there.add(effect)
        looks = {c: draw.random() < (0.98 if c in there else 0.002) for c in seen}
        cases.append({c: SURE[bad] for c, bad in looks.items()})
    return cases


def grouped(cases: list[Factors]) -> list[CasesAlike]:
    counts: dict[tuple[tuple[str, tuple[float, float]], ...], int] = {}
    for case in cases:
        key = tuple(sorted(case.items()))
        counts[key] = counts.get(key, 0) + 1
    return [CasesAlike("", dict(key), times) for key, times in counts.items()]


def test_a_figure_that_was_drawn_is_found_again() -> None:
    true = with_figures(FORK, {("bore", "pads"): 0.3})
    cases = drawn(true, 4000, Random(5), ("bore", "oil", "howl", "pads"))
    found = learn({"": FORK}, grouped(cases))
    for figure, p in figures_of(true):
        one = found[figure]
        error = (one.p * (1 - one.p) / one.worth) ** 0.5
        assert abs(one.p - p) < 4 * error, figure
        assert error < 0.05
    assert found["bore", "pads"].book == 0.8
    assert found["bore", "pads"].told > 400  # of about 800 units with a worn bore


def test_what_no_finding_bears_on_stays_as_the_book_has_it() -> None:
    cases = drawn(FORK, 300, Random(6), ("oil",))
    found = learn({"": FORK}, grouped(cases))
    assert set(found) == {("oil",)}
    assert learn({"": FORK}, []) == {}


def test_two_figures_seen_only_through_their_product_are_not_both_known() -> None:
    """A cause that nobody looks at and its only link: what is learnt is their product."""
    line = Network(("bore", "pads"), {"bore": 0.5}, (("bore", "pads", 0.5),), unlisted=0.0)
    cases = drawn(with_figures(line, {("bore", "pads"): 0.2}), 4000, Random(7), ("pads",))
    found = learn({"": line}, grouped(cases), lambda _: LINK_WORTH)
    product = found["bore",].p * found["bore", "pads"].p
    assert product == pytest.approx(0.1, abs=0.02)
    for one in found.values():
        assert one.worth < 60, "four thousand cases say little of either by itself"
