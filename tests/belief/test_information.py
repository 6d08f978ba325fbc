"""Published figures of what an answer tells, in bits; the source stands beside each.

The information of an answer is counted in worlds: with N of them it errs by about the spread of the
bits that a world gives, over the square root of N.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from math import log2
from random import Random

import numpy as np
import pytest
from belief.brute import Truth, draw_factors, draw_network, truth
from belief.sources import by_sources
from strategies import check

from headwater.belief.gain import answers_of, gains, told_of_each
from headwater.belief.particles import Particles
from headwater.belief.posterior import posterior
from headwater.belief.worlds import Network, make_worlds
from headwater.book.chances import Sureness
from headwater.book.model import Answer, Check
from headwater.book.shape import Ref
from headwater.book.tables import Seat

MANY = 200_000
CLOSE = 0.012
"""Five standard errors of so many worlds, where what they tell spreads by one bit."""

YES = (1.0, 0.0)


def entropy(p: float) -> float:
    return -p * log2(p) - (1 - p) * log2(1 - p)


def gain_of(particles: Particles, check: Check) -> float:
    return gains(particles, answers_of(particles, [check]))[check.id]


def asked(cid: str, about: str, pair: tuple[float, float]) -> Check:
    """Return a check with P(yes | present), P(yes | absent), and the complements for no."""
    yes, no = Sureness(*pair, ""), Sureness(1 - pair[1], 1 - pair[0], "")
    return Check(
        id=cid,
        ask=f"{cid}?",
        seats=(Seat.BENCH,),
        minutes=1.0,
        answers={
            Ref("yes"): Answer(says="yes", shows={Ref(about): yes}),
            Ref("no"): Answer(says="no", rules_out={Ref(about): no}),
        },
    )


# Asia: Lauritzen and Spiegelhalter, J. R. Statist. Soc. B 50 (1988) 157-224, with the visit and
# smoking folded into the priors.


def test_information_of_the_xray() -> None:
    # The X-ray hangs on 'either' alone, so what it tells of the set of origins is what it tells of
    # 'either': H(P(xray)) less the noise, with P(either) = 0.064828 and P(xray) = 0.11029004.
    noise = 0.064828 * entropy(0.98) + 0.935172 * entropy(0.05)
    told = entropy(0.11029004) - noise
    links = (("tub", "either", 1.0), ("lung", "either", 1.0))
    network = Network(("tub", "lung", "either"), {"tub": 0.0104, "lung": 0.055}, links, 0.0)
    # A finding that hardly speaks makes the origins something in question.
    found = posterior(make_worlds(network, MANY), {"either": (0.5 + 1e-9, 0.5)})
    xray = asked("xray", "either", (0.98, 0.05))
    particles = by_sources(found, MANY)
    assert gain_of(particles, xray) == pytest.approx(told, abs=CLOSE)
    marks = particles.present([particles.posterior.worlds.network.conditions[2]]).astype(np.float64)
    [each] = told_of_each(marks, answers_of(particles, [xray]))
    assert each["xray"] == pytest.approx(told, abs=CLOSE)


# Three multipliers and two adders: de Kleer and Williams, 'Diagnosing multiple faults', Artificial
# Intelligence 32 (1987) 97-130. The four minimal candidates enter as origins, 99 to 1 as single
# and double faults at 0.01 each; the values are worked out from that model, not quoted. Sets of
# candidates weigh next to nothing, as the candidates are minimal.


CANDIDATES = Network(
    ("a1", "m1", "a2-m2", "m2-m3", "x-wrong", "y-wrong", "z-wrong", "f-wrong"),
    {"a1": 99e-6, "m1": 99e-6, "a2-m2": 1e-6, "m2-m3": 1e-6},
    (
        ("a1", "f-wrong", 1.0),
        ("m1", "x-wrong", 1.0),
        ("x-wrong", "f-wrong", 1.0),
        ("a2-m2", "y-wrong", 1.0),
        ("m2-m3", "y-wrong", 1.0),
        ("m2-m3", "z-wrong", 1.0),
        ("y-wrong", "f-wrong", 1.0),
    ),
    unlisted=0.0,
)


def test_which_point_of_the_circuit_to_measure() -> None:
    found = posterior(make_worlds(CANDIDATES, MANY), {"f-wrong": YES})
    exact = truth(CANDIDATES, {"f-wrong": YES})
    for candidate, p in exact.origins.items():
        # The slack of the finding, 1e-9, against its probability, 0.0002.
        assert found.probability(candidate) == pytest.approx(p, abs=1e-5)
    assert found.probability("a1") == pytest.approx(0.495, abs=2e-4)
    assert found.probability("m1") == pytest.approx(0.495, abs=2e-4)
    assert found.probability("a2-m2") == pytest.approx(0.005, abs=2e-4)
    particles = by_sources(found, MANY)
    sure = (1 - 1e-9, 1e-9)
    gains = [gain_of(particles, asked(p, f"{p}-wrong", sure)) for p in ("x", "y", "z")]
    assert gains == pytest.approx([0.9999278640, 0.0807931359, 0.0454146923], abs=CLOSE)
    assert gains[0] > gains[1] > gains[2]


def test_a_check_of_something_certain_tells_nothing() -> None:
    found = posterior(make_worlds(CANDIDATES), {"f-wrong": YES})
    again = check("f", {"yes": ({"f-wrong": "decisive"}, {}), "no": ({}, {"f-wrong": "decisive"})})
    assert gain_of(by_sources(found), again) == pytest.approx(0.0, abs=1e-9)


# The same against every set of sources in every world.


def information(joint: dict[tuple[Hashable, str], float]) -> float:
    """Return what an answer tells of a label, in bits: `joint` has (label, answer)."""
    labels: dict[Hashable, float] = defaultdict(float)
    answers: dict[str, float] = defaultdict(float)
    for (label, answer), p in joint.items():
        labels[label] += p
        answers[answer] += p
    return sum(p * log2(p / labels[k] / answers[a]) for (k, a), p in joint.items() if p > 0.0)


def told(exact: Truth, about: str, pair: tuple[float, float]) -> tuple[float, dict[str, float]]:
    """Return what a look at a condition tells of the set of sources, and of each condition."""
    of_sources: dict[tuple[Hashable, str], float] = defaultdict(float)
    of_each: dict[str, dict[tuple[Hashable, str], float]] = {
        c: defaultdict(float) for c in exact.present
    }
    for (sources, present), p in exact.joint.items():
        yes = pair[0] if about in present else pair[1]
        for answer, share in (("yes", yes), ("no", 1.0 - yes)):
            of_sources[sources, answer] += p * share
            for condition, joint in of_each.items():
                joint[condition in present, answer] += p * share
    return information(of_sources), {c: information(joint) for c, joint in of_each.items()}


@pytest.mark.parametrize("loops", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_what_a_look_tells_agrees_with_brute_force(seed: int, loops: bool) -> None:
    random = Random(seed)
    network = draw_network(random, 6, 8, loops=loops, unlisted=0.0)
    # An answer that hardly speaks of the last condition puts all that leads to it in question.
    factors = {"n5": (0.5 + 1e-9, 0.5)} | draw_factors(random, network, 2)
    exact = truth(network, factors)
    found = posterior(make_worlds(network, MANY), factors)
    particles = by_sources(found, MANY)
    marks = particles.present(particles.posterior.worlds.network.conditions).astype(np.float64)
    for condition in network.conditions:
        look = asked(f"look-{condition}", condition, (0.9, 0.1))
        of_sources, of_each = told(exact, condition, (0.9, 0.1))
        unasked = [c for c in network.priors if c not in found.marginals]
        if not unasked:
            assert gain_of(particles, look) == pytest.approx(of_sources, abs=CLOSE)
        by_condition = told_of_each(marks, answers_of(particles, [look]))
        for name, each in zip(network.conditions, by_condition, strict=True):
            assert each[look.id] == pytest.approx(of_each[name], abs=CLOSE), (condition, name)
