"""The transfer-case book itself: its loops are large, and its findings many.

Findings are the answers of simulated units: some origins, links that fire by chance, and answers
drawn from what that makes. What is believed of them is compared with ten times the worlds and, for
few findings, with worlds that are drawn before anything is found and weighed by the findings.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from belief.brute import errors

from headwater.belief import sizing
from headwater.belief.posterior import Posterior, posterior
from headwater.belief.question import Question
from headwater.belief.worlds import WORLDS, Factors, Floats, Network, Worlds, make_worlds
from headwater.book.tables import Nature
from headwater.drill.truth import shares
from headwater.measure.answer import Judged
from headwater.rules.compile import Mark
from headwater.rules.evidence import SURPRISING_BELOW, weigh
from headwater.rules.status import Status
from headwater.simulate.units import reached
from headwater.verdict.assess import Reasoner

COUNTS = (1, 5, 20, 60)
UNITS = range(6)


@pytest.fixture(scope="module")
def many(reasoner: Reasoner) -> Worlds:
    """Ten times the usual worlds of the shipped book."""
    return make_worlds(reasoner.worlds.network, 10 * WORLDS)


def answers(reasoner: Reasoner, seed: int, count: int) -> list[Judged]:
    """Return so many answers of a simulated unit; its first answers stay the same."""
    random = Random(seed)
    book = reasoner.book
    origins = random.sample(list(book.origins), random.choice([1, 2, 3]))
    fired = {ends for ends, link in book.links.items() if random.random() < link.often.p}
    present = reached(origins, fired)
    checks = random.sample(list(book.checks.values()), len(book.checks))
    told = []
    for check in checks[:count]:
        chances = shares(check, present)
        word = random.choices([*chances], [*chances.values()])[0]
        told.append(Judged(check.id, word, ((word, 1.0),), settled=word))
    return told


def findings(reasoner: Reasoner, seed: int, count: int) -> Factors:
    """Return what so many answers of a simulated unit say."""
    told = weigh(reasoner.book, answers(reasoner, seed, count)).factors
    return {c: pair for c, pair in told.items() if c in reasoner.book.conditions}


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("seed", UNITS)
def test_ten_times_the_worlds_agree(
    reasoner: Reasoner, many: Worlds, seed: int, count: int
) -> None:
    factors = findings(reasoner, seed, count)
    few, more = posterior(reasoner.worlds, factors), posterior(many, factors)
    assert few.count >= 256
    for condition, p in more.presence().items():
        within = errors(p, few.count, more.count)
        assert few.presence()[condition] == pytest.approx(p, abs=within), condition
    for origin in reasoner.book.origins:
        p = more.probability(origin)
        within = errors(p, few.count, more.count)
        assert few.probability(origin) == pytest.approx(p, abs=within), origin
    within = errors(more.unlisted, few.count, more.count)
    assert few.unlisted == pytest.approx(more.unlisted, abs=within)
    for condition in [c for c in factors if c in few.worlds.position][:10]:
        counted = few.explains(condition)
        for source, p in more.explains(condition).items():
            within = errors(p, few.count, more.count)
            assert counted.get(source, 0.0) == pytest.approx(p, abs=within), (condition, source)


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("seed", UNITS)
def test_no_links_are_left_out_of_the_sums(reasoner: Reasoner, seed: int, count: int) -> None:
    model, plan = sizing.build_model(Question(reasoner.worlds, findings(reasoner, seed, count)))
    assert not model.left_out
    assert plan.cells <= sizing.CELLS


@pytest.mark.parametrize("seed", UNITS)
def test_what_is_a_fact_is_so_in_nine_worlds_of_ten(reasoner: Reasoner, seed: int) -> None:
    assessment = reasoner.assess(answers(reasoner, seed, 60))
    found = assessment.posterior
    place = found.worlds.position
    within = errors(SURPRISING_BELOW, found.count)
    met = 0
    for fact in (f for f in assessment.evidence.facts if f.condition in place):
        record = reasoner.book.conditions[fact.condition]
        brought_for = fact.mark is Mark.SHOWN and record.kind is Nature.COMPLAINT
        if assessment.statuses[fact.condition] is Status.DISPUTED or brought_for:
            continue
        share = found.share(found.present.get(place[fact.condition], 0))
        so = share if fact.mark is Mark.SHOWN else 1.0 - share
        assert so >= SURPRISING_BELOW - within, fact
        met += 1
    assert met > 20


SIMULATED = 60_000


def simulate(network: Network, factors: Factors, seed: int) -> tuple[Floats, Floats, Floats]:
    """Return weights (N,), which origins are there (N, origins), which conditions (N, C).

    Written from the definition: sources and links by chance, what they reach, and the likelihood of
    the findings as the weight of each world.
    """
    random = np.random.default_rng(seed)
    place = {c: i for i, c in enumerate(network.conditions)}
    present = np.zeros((len(place), SIMULATED), dtype=np.bool_)
    origins = np.zeros((len(network.priors), SIMULATED), dtype=np.bool_)
    for row, (origin, prior) in enumerate(network.priors.items()):
        origins[row] = random.random(SIMULATED) < prior
        present[place[origin]] |= origins[row]
    for condition, (there, absent) in factors.items():
        if there > absent and condition not in network.priors:
            present[place[condition]] |= random.random(SIMULATED) < network.unlisted
    fired = [random.random(SIMULATED) < p for _, _, p in network.links]
    before = -1
    while before != (before := int(present.sum())):
        for (cause, effect, _), fires in zip(network.links, fired, strict=True):
            present[place[effect]] |= present[place[cause]] & fires
    weights = np.ones(SIMULATED)
    for condition, (there, absent) in factors.items():
        weights *= np.where(present[place[condition]], there, absent)
    return weights / weights.sum(), origins.T.astype(np.float64), present.T.astype(np.float64)


def agree(told: dict[str, float], found: Posterior, weights: Floats, there: Floats) -> None:
    """Compare within five standard errors of both: of the weighed worlds, and of the drawn."""
    mean = weights @ there
    spread = np.sqrt(np.square(weights) @ np.square(there - mean))
    for (name, p), expected, error in zip(told.items(), mean, spread, strict=True):
        within = 5.0 * float(error) + errors(float(expected), found.count)
        assert p == pytest.approx(float(expected), abs=within), name


@pytest.mark.parametrize("count", [1, 3, 5])
@pytest.mark.parametrize("seed", UNITS[:3])
def test_worlds_weighed_by_the_findings_agree(reasoner: Reasoner, seed: int, count: int) -> None:
    network = reasoner.worlds.network
    factors = findings(reasoner, seed, count)
    found = posterior(reasoner.worlds, factors)
    weights, origins, present = simulate(network, factors, seed)
    assert 1.0 / np.square(weights).sum() > 200  # enough of them bear on what was found
    agree({o: found.probability(o) for o in network.priors}, found, weights, origins)
    agree(found.presence(), found, weights, present)
