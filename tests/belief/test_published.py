"""Published examples, as far as the engine's meaning covers them; the source stands beside each.

What is asked of each network is summed exactly: a probability of a condition given others is the
ratio of two probabilities of findings (`log_evidence`). Only where a figure is counted in worlds is
sampling error allowed.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp

import pytest
from belief.brute import errors, truth

from headwater.belief.posterior import Posterior, posterior
from headwater.belief.worlds import Network, make_worlds

YES = (1.0, 0.0)
NO = (0.0, 1.0)
Pair = tuple[float, float]

CLOSE = 1e-7
"""What slack (1e-9 for a contradiction) may move figures of findings that are not improbable."""


def believe(network: Network, **factors: Pair) -> Posterior:
    return posterior(make_worlds(network), factors)


def chance(network: Network, wanted: Mapping[str, Pair], given: Mapping[str, Pair]) -> float:
    """Return the probability of some findings given others."""
    both = believe(network, **(dict(given) | dict(wanted)))
    return exp(both.log_evidence - believe(network, **given).log_evidence)


# Noisy-OR: Pearl, Probabilistic Reasoning in Intelligent Systems (1988), page 184; the table of
# the fever example as in Russell and Norvig, Artificial Intelligence: A Modern Approach.


@pytest.mark.parametrize(
    ("cold", "flu", "malaria", "fever"),
    [
        (NO, NO, NO, 0.0),
        (NO, NO, YES, 0.9),
        (NO, YES, NO, 0.8),
        (NO, YES, YES, 0.98),
        (YES, NO, NO, 0.4),
        (YES, NO, YES, 0.94),
        (YES, YES, NO, 0.88),
        (YES, YES, YES, 0.988),
    ],
)
def test_fever_table(cold: Pair, flu: Pair, malaria: Pair, fever: float) -> None:
    network = Network(
        ("cold", "flu", "malaria", "fever"),
        {"cold": 0.1, "flu": 0.1, "malaria": 0.1},
        (("cold", "fever", 0.4), ("flu", "fever", 0.8), ("malaria", "fever", 0.9)),
        unlisted=0.0,
    )
    known = {"cold": cold, "flu": flu, "malaria": malaria}
    assert chance(network, {"fever": YES}, known) == pytest.approx(fever, abs=CLOSE)
    found = believe(network, **known)
    assert found.reached("fever") == pytest.approx(fever, abs=errors(fever, found.count))


# A leak as in Henrion, 'Some practical issues in constructing belief networks' (1987; from memory):
# a background cause that is always able to make the effect. The figures are worked out from the
# definition: priors a 0.10, b 0.05; strengths 0.8, 0.6; leak 0.05.

LEAKY = Network(
    ("a", "b", "background", "e"),
    {"a": 0.10, "b": 0.05, "background": 0.05},
    (("a", "e", 0.8), ("b", "e", 0.6), ("background", "e", 1.0)),
    unlisted=0.0,
)


def test_leak_before_anything_is_found() -> None:
    assert chance(LEAKY, {"e": YES}, {}) == pytest.approx(0.15222, abs=CLOSE)
    found = believe(LEAKY)
    assert found.reached("e") == pytest.approx(0.15222, abs=errors(0.15222, found.count))


@pytest.mark.parametrize(
    ("a", "b", "e"), [(NO, NO, 0.05), (YES, NO, 0.81), (YES, YES, 0.924), (NO, YES, 0.62)]
)
def test_leak_and_strengths_combine(a: Pair, b: Pair, e: float) -> None:
    # 1 - 0.95 * 0.2 = 0.81; 1 - 0.95 * 0.2 * 0.4 = 0.924; 1 - 0.95 * 0.4 = 0.62
    assert chance(LEAKY, {"e": YES}, {"a": a, "b": b}) == pytest.approx(e, abs=CLOSE)


def test_causes_given_the_effect() -> None:
    found = believe(LEAKY, e=YES)
    assert found.probability("a") == pytest.approx(0.5358691368, abs=CLOSE)
    assert found.probability("b") == pytest.approx(0.2136381553, abs=CLOSE)
    both = chance(LEAKY, {"a": YES, "b": YES}, {"e": YES})
    assert both == pytest.approx(0.0303508080, abs=CLOSE)


def test_explaining_away() -> None:
    assert believe(LEAKY, e=YES, a=YES).probability("b") == pytest.approx(0.05663847, abs=CLOSE)
    assert believe(LEAKY, e=YES, a=NO).probability("b") == pytest.approx(0.3949044586, abs=CLOSE)


def test_an_unlisted_cause_is_such_a_leak() -> None:
    links = (("a", "e", 0.8), ("b", "e", 0.6))
    network = Network(("a", "b", "e"), {"a": 0.10, "b": 0.05}, links, unlisted=0.05)
    found = believe(network, e=YES)
    assert found.probability("a") == pytest.approx(0.5358691368, abs=CLOSE)
    assert found.probability("b") == pytest.approx(0.2136381553, abs=CLOSE)
    leak = 0.05 / 0.15222
    assert found.unlisted == pytest.approx(leak, abs=errors(leak, found.count))


# Relative likelihood of covers: Peng and Reggia, Abductive Inference Models for Diagnostic
# Problem-Solving (1990). The example's figures are our own, worked out with the book's formula.


def test_relative_likelihood_of_covers() -> None:
    disorders = ("d1", "d2", "d3", "d4")
    network = Network(
        (*disorders, "m1", "m2", "m3", "m4"),
        {"d1": 0.01, "d2": 0.02, "d3": 0.05, "d4": 0.01},
        (
            ("d1", "m1", 0.9),
            ("d1", "m2", 0.5),
            ("d2", "m2", 0.8),
            ("d2", "m3", 0.4),
            ("d3", "m1", 0.3),
            ("d3", "m3", 0.7),
            ("d4", "m3", 0.6),
            ("d4", "m4", 0.9),
        ),
        unlisted=0.0,
    )
    marks = {"m1": YES, "m2": NO, "m3": YES, "m4": NO}
    # The likelihood of each cover, and its share among all covers.
    covers = {
        ("d3",): (1.105263e-2, 0.977775),
        ("d1", "d3"): (1.730463e-4, 0.015309),
        ("d2", "d3"): (5.284640e-5, 0.004675),
        ("d3", "d4"): (1.403509e-5, 0.001242),
        ("d1", "d2"): (7.421150e-6, 0.000657),
    }
    nothing = 0.99 * 0.98 * 0.95 * 0.99  # the likelihoods leave the chance of no disorder out
    for cover, (likelihood, share) in covers.items():
        clamped = {d: YES if d in cover else NO for d in disorders}
        weight = chance(network, clamped | marks, {})
        assert weight / nothing == pytest.approx(likelihood, rel=1e-5), cover
        assert chance(network, clamped, marks) == pytest.approx(share, abs=2e-6), cover


# Asia: Lauritzen and Spiegelhalter, J. R. Statist. Soc. B 50 (1988) 157-224. A visit, smoking, and
# each disease by itself are origins; a parent adds to the disease what makes up the table of its
# chances (0.01 alone and 0.05 with the visit: 1 - 0.95/0.99). 'Either' is the sure effect of both
# lung diseases; the X-ray is an answer about it. Dyspnoea is an answer whose chances hang on
# bronchitis too, so its two cases are believed one by one and weighed by their evidence.

ASIA = Network(
    ("asia", "smoke", "tub", "lung", "bronc", "either"),
    {"asia": 0.01, "smoke": 0.5, "tub": 0.01, "lung": 0.01, "bronc": 0.3},
    (
        ("asia", "tub", 1 - 0.95 / 0.99),
        ("smoke", "lung", 1 - 0.90 / 0.99),
        ("smoke", "bronc", 1 - 0.4 / 0.7),
        ("tub", "either", 1.0),
        ("lung", "either", 1.0),
    ),
    unlisted=0.0,
)
XRAY = {"xray": (0.98, 0.05), "no xray": (0.02, 0.95)}
DYSPNOEA = {YES: (0.9, 0.8), NO: (0.7, 0.1)}


def asia(told: str) -> tuple[dict[str, float], float]:
    """Return what is believed of each condition, and the probability of what was told."""
    names = told.split(", ")
    known = {n.removeprefix("not "): NO if n.startswith("not ") else YES for n in names}
    either = [XRAY[n] for n in names if n in XRAY]
    total, sums = 0.0, dict.fromkeys(ASIA.conditions, 0.0)
    for bronchitis in (YES, NO):
        if known.get("bronc", bronchitis) != bronchitis:
            continue
        pairs = [*either, *([DYSPNOEA[bronchitis]] if "dysp" in names else [])]
        factors = {n: pair for n, pair in known.items() if n in ASIA.conditions}
        factors["bronc"] = bronchitis
        factors["either"] = (1.0, 1.0)
        for there, absent in pairs:
            before = factors["either"]
            factors["either"] = (before[0] * there, before[1] * absent)
        found = believe(ASIA, **factors)
        weight = exp(found.log_evidence)
        total += weight
        for condition in ASIA.conditions:
            sums[condition] += weight * found.reached(condition)
    return {condition: value / total for condition, value in sums.items()}, total


@pytest.mark.parametrize(
    ("told", "tub", "lung", "bronc", "either", "smoke"),
    [
        ("dysp", 0.01884531, 0.10275922, 0.83396734, 0.12053583, 0.63399688),
        ("xray", 0.09241088, 0.48871140, 0.50632616, 0.57603969, 0.68775385),
        ("asia, dysp", 0.08775096, 0.09952515, 0.81140207, 0.18229985, 0.62591986),
        ("asia, dysp, xray", 0.39171172, 0.44427051, 0.62882178, 0.81376870, 0.70202512),
        ("asia, dysp, no xray", 0.00224870, 0.00255042, 0.86276077, 0.00467159, 0.60451192),
        ("asia, dysp, not smoke", 0.11283498, 0.02256700, 0.71794225, 0.13427362, 0.0),
        ("asia, dysp, smoke", 0.07275954, 0.14551908, 0.86725821, 0.21100266, 1.0),
        ("asia, dysp, xray, smoke", 0.28958141, 0.57916282, 0.70091963, 0.83978609, 1.0),
        ("bronc, dysp", 0.01158463, 0.07797346, 1.0, 0.08874717, 0.66911627),
    ],
)
def test_asia(
    told: str, tub: float, lung: float, bronc: float, either: float, smoke: float
) -> None:
    believed, _ = asia(told)
    expected = {"tub": tub, "lung": lung, "bronc": bronc, "either": either, "smoke": smoke}
    for condition, p in expected.items():
        assert believed[condition] == pytest.approx(p, abs=2e-7), condition


def test_asia_probability_of_what_was_told() -> None:
    assert asia("dysp")[1] == pytest.approx(0.4359706, abs=CLOSE)
    assert asia("xray")[1] == pytest.approx(0.11029004, abs=CLOSE)
    assert asia("asia, dysp")[1] == pytest.approx(0.004501375, abs=CLOSE)


# Burglary: Russell and Norvig. P(B) = .001, P(E) = .002, P(alarm) .95 .94 .29 .001; both neighbours
# ring. The alarm is a noisy-OR but for the case of burglary and earthquake together (0.957 instead
# of 0.95), which moves nothing in the first three digits.


def test_burglary() -> None:
    network = Network(
        ("burglary", "earthquake", "chance", "alarm"),
        {"burglary": 0.001, "earthquake": 0.002, "chance": 0.001},
        (
            ("burglary", "alarm", 1 - 0.06 / 0.999),
            ("earthquake", "alarm", 1 - 0.71 / 0.999),
            ("chance", "alarm", 1.0),
        ),
        unlisted=0.0,
    )
    both_ring = (0.90 * 0.70, 0.05 * 0.01)
    found = believe(network, alarm=both_ring)
    exact = truth(network, {"alarm": both_ring})
    assert found.probability("burglary") == pytest.approx(exact.origins["burglary"], abs=1e-9)
    assert found.reached("alarm") == pytest.approx(exact.present["alarm"], abs=1e-9)
    assert found.probability("burglary") == pytest.approx(0.284, abs=1e-3)
    assert found.reached("alarm") == pytest.approx(0.7606920, abs=1e-3)
