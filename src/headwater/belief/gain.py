"""What checks would tell: the expected information of their answers.

The answer of a check is predicted for each particle from the sureness of its answers; the gain is
the mutual information, in bits, between the answer and the label of a particle.

Shapes: N particles, C conditions, A answers of a check, T answers of all checks side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import log

import numpy as np
import numpy.typing as npt

from headwater.belief.particles import Particles, draw_particles, split_by_cause
from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Floats, Worlds
from headwater.book.model import Check
from headwater.rules.evidence import likelihoods

Bytes = npt.NDArray[np.uint8]

DIGITS = 9
FEW = 8
"""Conditions of a check up to which every pattern of their presence is worked out once."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """How one check answers: the log-likelihood of each answer.

    `base` (A,) is with none of its conditions present, `raised` (conditions, A) what the presence
    of each adds. `table` (2 ** conditions, A) has the probability of each answer for each pattern
    of presence, where the conditions are few.
    """

    conditions: tuple[str, ...]
    base: Floats
    raised: Floats
    table: Floats | None

    def shares(self, rows: Sequence[Bytes], count: int) -> Floats:
        """Return (N, A): the probability of each answer, given presence (N,) by condition."""
        if self.table is None:
            return _normal(np.stack(rows, axis=1) @ self.raised + self.base)
        pattern: npt.NDArray[np.uint8] = np.zeros(count, dtype=np.uint8)
        for bit, row in enumerate(rows):  # at most eight: they fill a byte
            pattern |= row << bit
        shares: Floats = self.table.take(pattern, axis=0)
        return shares


def _normal(logs: Floats) -> Floats:
    """Return (rows, A) log-likelihoods as probabilities of the answers."""
    likely = np.exp(logs - logs.max(axis=1, keepdims=True))
    shares: Floats = likely / likely.sum(axis=1, keepdims=True)
    return shares


def forecast_of(worlds: Worlds, check: Check) -> Forecast:
    """Return the forecast of a check, worked out once for each book."""
    return worlds.keep(("forecast", check.id), lambda: _forecast(worlds, check))


def _forecast(worlds: Worlds, check: Check) -> Forecast:
    conditions = [c for c in check.speaks_of() if c in worlds.position]
    answers = list(check.answers.values())
    pairs = np.array([[likelihoods(a, c) for a in answers] for c in conditions])
    logs = np.log(pairs.reshape(len(conditions), len(answers), 2))
    base, raised = logs[:, :, 1].sum(axis=0), logs[:, :, 0] - logs[:, :, 1]
    table = None
    if len(conditions) <= FEW:
        patterns = np.arange(1 << len(conditions))[:, None] >> np.arange(len(conditions)) & 1
        table = _normal(patterns @ raised + base)
    return Forecast(tuple(conditions), base, raised, table)


@dataclass(frozen=True)
class Answers:
    """What each particle would answer to some checks.

    `columns` gives the (first, end) of each check in `share` (N, T): the answers' probabilities.
    """

    columns: Mapping[str, tuple[int, int]]
    share: Floats

    @cached_property
    def mean(self) -> Floats:
        """Return (T,) how probable each answer is."""
        mean: Floats = self.share.mean(axis=0)
        return mean

    @cached_property
    def by_chance(self) -> Floats:
        """Return (T,) what so few particles would seem to tell of one label more by chance alone.

        To first order, as for the chi-square statistic of a table with independent rows and
        columns.
        """
        spread = np.einsum("nt,nt->t", self.share, self.share) / len(self.share)
        spread = (spread - np.square(self.mean)) / np.maximum(self.mean, 1e-12)
        chance: Floats = spread / (2.0 * log(2.0) * len(self.share))
        return chance


def answers_of(particles: Particles, checks: Iterable[Check]) -> Answers:
    """Return what the particles would answer to some checks."""
    worlds, count = particles.posterior.worlds, len(particles.labels)
    forecasts = {check.id: forecast_of(worlds, check) for check in checks}
    named = list(dict.fromkeys(c for f in forecasts.values() for c in f.conditions))
    rows: dict[str, Bytes] = {}
    if named:
        there = np.ascontiguousarray(particles.present(named).T).view(np.uint8)
        rows = dict(zip(named, there, strict=True))
    columns: dict[str, tuple[int, int]] = {}
    parts: list[Floats] = []
    end = 0
    for check_id, forecast in forecasts.items():
        part = forecast.shares([rows[c] for c in forecast.conditions], count)
        columns[check_id] = (end, end + part.shape[1])
        end += part.shape[1]
        parts.append(part)
    return Answers(columns, np.concatenate(parts, axis=1) if parts else np.zeros((count, 0)))


def gains(particles: Particles, answers: Answers) -> dict[str, float]:
    """Return the expected information of each check about the labels of the particles, in bits."""
    labels = particles.labels
    counts = np.bincount(labels)
    order = np.argsort(labels, kind="stable")
    starts = np.cumsum(counts) - counts
    joint = np.add.reduceat(answers.share[order], starts, axis=0) / len(labels)  # (labels, T)
    weights = counts / len(labels)
    told = _information(joint, weights, answers.mean).sum(axis=0)
    return _by_check(answers, (told - answers.by_chance * (len(weights) - 1))[None])[0]


def told_of_each(marks: Floats, answers: Answers) -> list[dict[str, float]]:
    """Return for each mark (N, marks) what each check tells of its being there, in bits."""
    mean = answers.mean
    there = marks.T @ answers.share / len(answers.share)
    chance = marks.mean(axis=0)
    told = _information(there, chance, mean) + _information(mean - there, 1.0 - chance, mean)
    return _by_check(answers, told - answers.by_chance)


def _information(joint: Floats, side: Floats, mean: Floats) -> Floats:
    expected = np.outer(side, mean)
    inside = (joint > 1e-12) & (expected > 1e-12)
    ratio = np.divide(joint, expected, out=np.ones_like(joint), where=inside)
    told: Floats = joint.clip(0.0) * np.log2(ratio)
    return told


def _by_check(answers: Answers, told: Floats) -> list[dict[str, float]]:
    """Return rows (rows, T) with the answers of each check added up, none below nothing."""
    if not answers.columns:
        return [{} for _ in told]
    firsts = [first for first, _ in answers.columns.values()]
    # Rounded, as the last digit of a matrix product depends on where its arrays lie in memory.
    sums = np.add.reduceat(told, firsts, axis=1).clip(0.0).round(DIGITS)
    return [dict(zip(answers.columns, row, strict=True)) for row in sums.tolist()]


@dataclass
class Teller:
    """What the checks not yet answered would tell, worked out when asked. For one thread."""

    posterior: Posterior
    checks: tuple[Check, ...]
    _told: dict[tuple[str, ...], dict[str, float]] = field(default_factory=dict)

    @cached_property
    def particles(self) -> Particles:
        """Return worlds of the posterior, all under one label."""
        return draw_particles(self.posterior)

    @cached_property
    def answers(self) -> Answers:
        """Return what the particles would answer to each check."""
        return answers_of(self.particles, self.checks)

    @cached_property
    def _speaks_in(self) -> dict[str, frozenset[int]]:
        """Return the parts of the network that each check speaks of: of others it tells nothing."""
        worlds = self.posterior.worlds
        return {
            check.id: frozenset(worlds.parts[c] for c in forecast_of(worlds, check).conditions)
            for check in self.checks
        }

    @cached_property
    def bearing(self) -> Answers:
        """Return the same for the checks that speak of what may be behind the findings."""
        behind = self.posterior.conditions
        worlds = self.posterior.worlds
        checks = (
            check
            for check in self.checks
            if any(one in behind for one in forecast_of(worlds, check).conditions)
        )
        return answers_of(self.particles, checks)

    def about(self, conditions: tuple[str, ...]) -> dict[str, float]:
        """Return what each check that bears on some findings tells of their roots, in bits."""
        if conditions not in self._told:
            particles = split_by_cause(self.particles, conditions)
            self._told[conditions] = gains(particles, self.bearing)
        return self._told[conditions]

    def of_conditions(self, weights: Mapping[str, float]) -> dict[str, float]:
        """Return what each check tells of each condition's presence: weighted bits, added up."""
        if not weights:
            return {}
        marks = self.particles.present(list(weights)).astype(np.float64)
        total = dict.fromkeys(self.answers.columns, 0.0)
        parts = self.posterior.worlds.parts
        for (condition, weight), told in zip(
            weights.items(), told_of_each(marks, self.answers), strict=True
        ):
            for check, bits in told.items():
                if parts[condition] in self._speaks_in[check]:
                    total[check] += weight * bits
        return total

    def of_anything(self) -> dict[str, float]:
        """Return what each check tells of each origin by itself, for when nothing is found yet."""
        return self.of_conditions(dict.fromkeys(self.posterior.worlds.network.priors, 1.0))


def predict(particles: Particles, check: Check) -> Floats:
    """Return (N, A): the probability of each answer of one check for each particle."""
    return answers_of(particles, [check]).share


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one answer would leave: how likely the answer is, and the origins after it."""

    answer: str
    probability: float
    origins: Mapping[str, float]
    unlisted: float


def outlooks(particles: Particles, check: Check) -> list[Outlook]:
    """Return what each answer of a check would leave of the origins now in question."""
    posterior, rows = particles.posterior, len(particles.labels)
    share = predict(particles, check)  # (N, A)
    total = share.sum(axis=0)
    roots = [s for s in posterior.starts if not s.unlisted and s.condition in posterior.marginals]
    unlisted = posterior.starts_unlisted()
    there = particles.truths([*(posterior.starts[s] for s in roots), unlisted])
    left = share.T @ there / np.maximum(total, 1e-12)[:, None]  # (A, roots and unlisted)
    left = left.round(DIGITS)
    return [
        Outlook(
            str(answer),
            float(total[index]) / rows,
            {s.condition: float(p) for s, p in zip(roots, left[index, :-1], strict=True)},
            float(left[index, -1]),
        )
        for index, answer in enumerate(check.answers)
    ]
