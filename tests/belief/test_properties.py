"""What must hold whatever the book: of probabilities, of names, of what an answer would tell."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from belief.brute import errors
from belief.sources import by_sources
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Situation, answer_of, situations

from headwater.belief.gain import answers_of, gains, outlooks, predict
from headwater.belief.particles import draw_particles
from headwater.belief.posterior import Posterior, posterior
from headwater.belief.question import HARD
from headwater.belief.worlds import Network, make_worlds, network_of
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import UNLISTED
from headwater.book.things import Limit
from headwater.measure.answer import bands_of, understand
from headwater.rules.evidence import likelihoods, weigh
from headwater.units import parse_quantity

ROUNDING = 1e-9
SETTLED = HARD / UNLISTED
"""What taking a finding as settled may move: its contrary, against its rarest source."""


def believe(network: Network, situation: Situation) -> Posterior:
    return posterior(make_worlds(network), weigh(situation.book, situation.findings).factors)


@settings(max_examples=draws(80), deadline=None)
@given(situations())
def test_probabilities_lie_between_nought_and_one(situation: Situation) -> None:
    found = believe(network_of(situation.book), situation)
    chances = [found.probability(c) for c in situation.book.origins]
    chances += [found.reached(c) for c in situation.book.conditions]
    chances += [share for c in situation.book.conditions for share in found.explains(c).values()]
    chances += [found.unlisted, *found.presence().values()]
    assert all(-ROUNDING <= p <= 1.0 + ROUNDING for p in chances)
    for condition in situation.book.conditions:
        listed = found.reached(condition, listed_only=True)
        explained = found.explains(condition).values()
        assert listed <= sum(explained) + ROUNDING
        assert max(explained, default=0.0) <= found.share(found.valid)


@settings(max_examples=draws(80), deadline=None)
@given(situations())
def test_a_decisive_finding_never_lowers_its_own_condition(situation: Situation) -> None:
    worlds = make_worlds(network_of(situation.book))
    factors = dict(weigh(situation.book, situation.findings).factors)
    before = posterior(worlds, factors)
    for condition in situation.book.conditions:
        now = factors.get(condition, (1.0, 1.0))
        after = posterior(worlds, factors | {condition: (now[0] * 0.998, now[1] * 0.002)})
        # What no finding bore on before was counted in worlds.
        was = before.reached(condition)
        summed = condition in before.conditions
        fall = SETTLED if summed else errors(was, before.count)
        assert after.reached(condition) >= was - fall
        if condition in situation.book.origins:
            assert after.reached(condition) >= before.probability(condition) - SETTLED


@settings(max_examples=draws(60), deadline=None)
@given(situations(), st.randoms(use_true_random=False))
def test_names_mean_nothing(situation: Situation, random: Random) -> None:
    network = network_of(situation.book)
    letters = random.sample("abcdefghijklmnopqrstuvwxyz", len(network.conditions))
    name = dict(zip(network.conditions, letters, strict=True))
    renamed = Network(
        tuple(name[c] for c in network.conditions),
        {name[c]: p for c, p in network.priors.items()},
        tuple((name[a], name[b], p) for a, b, p in network.links),
        network.unlisted,
    )
    factors = weigh(situation.book, situation.findings).factors
    one = posterior(make_worlds(network), factors)
    shuffled = list(factors.items())
    random.shuffle(shuffled)
    other = posterior(make_worlds(renamed), {name[c]: pair for c, pair in shuffled})
    # Draws are keyed by id, so only what is counted in them may move, as far as it errs.
    told = [(one.marginals, other.marginals), (one.conditions, other.conditions)]
    if one.summed:
        assert other.log_evidence == one.log_evidence
    else:
        told.append((one.presence(), other.presence()))
    for mine, theirs in told:
        assert theirs.keys() == {name[c] for c in mine}
        for condition, p in mine.items():
            within = 0.0 if one.summed else errors(p, one.count, other.count)
            assert theirs[name[condition]] == pytest.approx(p, abs=within), condition


@settings(max_examples=draws(60), deadline=None)
@given(situations(), st.randoms(use_true_random=False))
def test_the_order_of_the_findings_means_nothing(situation: Situation, random: Random) -> None:
    shuffled = list(situation.findings)
    random.shuffle(shuffled)
    assert weigh(situation.book, situation.findings) == weigh(situation.book, shuffled)


@settings(max_examples=draws(60), deadline=None)
@given(situations())
def test_a_check_tells_no_more_than_its_answer_holds(situation: Situation) -> None:
    particles = by_sources(believe(network_of(situation.book), situation))
    for check in situation.book.checks.values():
        share = predict(particles, check)
        assert np.allclose(share.sum(axis=1), 1.0)
        chance = share.mean(axis=0)
        held = -sum(p * math.log2(p) for p in chance if p > 0.0)
        assert 0.0 <= gains(particles, answers_of(particles, [check]))[check.id] <= held + ROUNDING


@settings(max_examples=draws(60), deadline=None)
@given(situations())
def test_what_the_answers_would_leave_averages_to_what_is_believed(situation: Situation) -> None:
    found = believe(network_of(situation.book), situation)
    particles = draw_particles(found)
    rows = len(particles.labels)
    for check in situation.book.checks.values():
        ways = outlooks(particles, check)
        assert [way.answer for way in ways] == [str(word) for word in check.answers]
        assert sum(way.probability for way in ways) == pytest.approx(1.0)
        for source, bits in found.starts.items():
            if source.unlisted or source.condition not in found.marginals:
                continue
            average = sum(way.probability * way.origins[source.condition] for way in ways)
            there = float(particles.truths([bits]).mean())  # of the worlds that count
            assert average == pytest.approx(there, abs=1e-6)
            believed = found.probability(source.condition)
            assert average == pytest.approx(believed, abs=errors(believed, rows))
        average = sum(way.probability * way.unlisted for way in ways)
        assert average == pytest.approx(found.unlisted, abs=errors(found.unlisted, rows))


@settings(max_examples=draws(40), deadline=None)
@given(situations())
def test_answers_that_tell_nothing_change_nothing(situation: Situation) -> None:
    plain = [judged for judged in situation.findings if judged.special is None]
    told = weigh(situation.book, situation.findings)
    assert weigh(situation.book, plain).factors == told.factors
    silent = [answer_of(check, "dont-know") for check in situation.book.checks.values()]
    assert weigh(situation.book, silent).factors == {}


def measured(book: Book) -> Iterator[tuple[Check, Limit, int, float]]:
    """Yield measured checks of one reading with a limit, an edge of it and the gauge's u."""
    for check in book.checks.values():
        if check.reading is None or check.reading.work or check.reading.gauge is None:
            continue
        limit = book.limits[check.reading.limit]
        if limit.dimension == "temperature":
            continue
        u = parse_quantity(book.gauges[check.reading.gauge].u, limit.dimension).value
        edges = bands_of(limit).edges
        for index, edge in enumerate(edges):
            around = [abs(edge - other) for other in edges if other != edge]
            if u > 0 and edge > 8 * u and all(gap > 12 * u for gap in around):
                yield check, limit, index, u


def chances(book: Book, check: Check, limit: Limit, value: float) -> dict[str, float]:
    """Return how a reading moves even odds of each condition that the check speaks of."""
    unit = parse_quantity(f"1 {limit.unit}", limit.dimension).value
    judged = understand(book, check, f"{value / unit:.12g} {limit.unit}")
    factors = weigh(book, [judged]).factors
    return {c: present / (present + absent) for c, (present, absent) in factors.items()}


def test_readings_near_a_limit_move_belief_without_a_cliff(book: Book) -> None:
    met = 0
    for check, limit, index, u in measured(book):
        edge = bands_of(limit).edges[index]
        names = bands_of(limit).names[index : index + 2]
        answers = [check.answers[name] for name in names]  # type: ignore[index]
        steps = range(-60, 61)
        walk = [chances(book, check, limit, edge + k * u / 10) for k in steps]
        spoken = dict.fromkeys(str(c) for a in answers for c in (*a.shows, *a.rules_out))
        for condition in spoken:
            line = [found.get(condition, 0.5) for found in walk]
            ends = [p / (p + q) for p, q in (likelihoods(a, condition) for a in answers)]
            assert line[0] == pytest.approx(ends[0], abs=1e-3), (check.id, condition)
            assert line[-1] == pytest.approx(ends[1], abs=1e-3), (check.id, condition)
            moves = [after - before for before, after in pairwise(line)]
            sign = 1.0 if ends[1] >= ends[0] else -1.0
            assert all(sign * move >= -1e-6 for move in moves), (check.id, condition)
            assert max(map(abs, moves)) < 0.08, (check.id, condition)
            met += 1
    assert met >= 20


def test_a_reading_on_the_edge_lies_halfway(book: Book) -> None:
    check, limit, index, u = next(measured(book))
    bands = bands_of(limit)
    reading = understand(book, check, f"{limit.bands[index].upto!s}")
    shares = dict(reading.shares)
    assert u > 0
    assert shares[bands.names[index]] == pytest.approx(0.5, abs=1e-6)
    assert shares[bands.names[index + 1]] == pytest.approx(0.5, abs=1e-6)
    assert reading.settled is None
