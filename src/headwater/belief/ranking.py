"""What a check would tell: the expected information of its answer about the verdict.

Particles are drawn from the posterior (systematic resampling, no random numbers), each a set of
sources and a world. The answer of a check is predicted for each particle from the sureness of its
answers; the gain is the mutual information, in bits, between the answer and the label of a
particle: its set of sources or, where only some findings want a cause, the sources behind those.

Shapes: N particles, C conditions, A answers of a check.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Bools, Floats
from headwater.book.model import Check
from headwater.rules.evidence import likelihoods

Indices = npt.NDArray[np.intp]

PARTICLES = 1000


@dataclass(frozen=True, slots=True)
class Particles:
    """N equally weighted draws, sorted by label.

    `groups` (N,) is the set of each and `world` (N,) its world; `present` (N, C) its conditions.
    A label is what the gain is about: the set itself, or what `split_by_cause` makes of it.
    `labels` (N,) counts up from 0.
    """

    posterior: Posterior
    position: Mapping[str, int]
    groups: Indices
    world: Indices
    labels: Indices
    present: Bools


def draw_particles(posterior: Posterior, count: int = PARTICLES) -> Particles:
    """Return particles of the posterior, labelled by set."""
    weights = (posterior.weights[:, None] * posterior.likelihood).ravel()
    edges = np.cumsum(weights)
    targets = (np.arange(count) + 0.5) / count * edges[-1]
    flat = np.minimum(np.searchsorted(edges, targets), len(weights) - 1)
    width = posterior.likelihood.shape[1]
    groups, world = flat // width, flat % width
    position = {c: i for i, c in enumerate(posterior.worlds.network.conditions)}
    present = np.zeros((count, len(position)), dtype=np.bool_)
    starts = np.flatnonzero(np.r_[True, groups[1:] != groups[:-1]])
    for start, end in zip(starts, [*starts[1:], count], strict=True):
        for index in posterior.sets[groups[start]]:
            reach = posterior.worlds.reach(posterior.sources[index].condition)
            columns = [position[node] for node in reach.nodes]
            present[start:end, columns] |= reach.bits[world[start:end]]
    labels = np.unique(groups, return_inverse=True)[1]
    return Particles(posterior, position, groups, world, labels, present)


def split_by_cause(particles: Particles, conditions: Iterable[str]) -> Particles:
    """Return the particles labelled by which sources are behind some conditions, world by world.

    Two particles with one label give the same account of the conditions, whatever else is in them.
    """
    believed = particles.posterior
    wanted = list(conditions)
    reaching: dict[int, int] = {}
    marks: list[Bools] = []
    for row in np.unique(particles.groups):
        rows = particles.groups == row
        for index in believed.sets[row]:
            reach = believed.worlds.reach(believed.sources[index].condition)
            for condition in wanted:
                column = reach.column(condition)
                if column is None:
                    continue
                key = index * len(wanted) + wanted.index(condition)
                if key not in reaching:
                    reaching[key] = len(marks)
                    marks.append(np.zeros(len(rows), dtype=np.bool_))
                marks[reaching[key]][rows] = column[particles.world[rows]]
    if not marks:
        return replace(particles, labels=np.zeros_like(particles.labels))
    packed = np.packbits(np.stack(marks, axis=1), axis=1)
    whole = np.ascontiguousarray(packed).view(np.dtype((np.void, packed.shape[1]))).ravel()
    return replace(particles, labels=np.unique(whole, return_inverse=True)[1].ravel())


def spoken_of(check: Check) -> list[str]:
    """Return the conditions that some answer of a check speaks of, in the order written."""
    found: dict[str, None] = {}
    for answer in check.answers.values():
        found |= dict.fromkeys(str(c) for c in (*answer.shows, *answer.rules_out))
    return list(found)


@dataclass(frozen=True, slots=True)
class Forecast:
    """How a check answers: its conditions' places, and log-likelihoods (conditions, answers)."""

    columns: Indices
    if_present: Floats
    if_absent: Floats


def _forecast(particles: Particles, check: Check) -> Forecast:
    """Return the forecast of a check, worked out once for each book."""
    known: dict[str, Forecast] = particles.posterior.worlds.forecasts
    if check.id not in known:
        conditions = [c for c in spoken_of(check) if c in particles.position]
        answers = list(check.answers.values())
        pairs = np.array([[likelihoods(a, c) for a in answers] for c in conditions])
        logs = np.log(pairs.reshape(len(conditions), len(answers), 2))
        columns = np.array([particles.position[c] for c in conditions], dtype=np.intp)
        known[check.id] = Forecast(columns, logs[:, :, 0], logs[:, :, 1])
    return known[check.id]


def _shares(forecast: Forecast, bits: Floats) -> Floats:
    """Return (rows, A): the probability of each answer for rows of conditions."""
    score = bits @ (forecast.if_present - forecast.if_absent) + forecast.if_absent.sum(axis=0)
    score = np.exp(score - score.max(axis=1, keepdims=True))
    share: Floats = score / score.sum(axis=1, keepdims=True)
    return share


def predict(particles: Particles, check: Check) -> Floats:
    """Return (N, A): the probability of each answer for each particle."""
    forecast = _forecast(particles, check)
    return _shares(forecast, particles.present[:, forecast.columns].astype(np.float64))


def gain_of(particles: Particles, check: Check) -> float:
    """Return the expected information of a check about the labels of the particles, in bits."""
    forecast = _forecast(particles, check)
    bits = particles.present[:, forecast.columns]
    if not bits.size or (bits == bits[0]).all():
        return 0.0
    codes = bits @ (1 << np.arange(bits.shape[1], dtype=np.int64))
    _, first, pattern = np.unique(codes, return_index=True, return_inverse=True)
    labels = int(particles.labels.max()) + 1
    cells = particles.labels * len(first) + pattern
    counts = np.bincount(cells, minlength=labels * len(first)).reshape(labels, len(first))
    joint = counts @ _shares(forecast, bits[first].astype(np.float64)) / len(bits)  # (labels, A)
    expected = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0)
    inside = joint > 0.0
    return max(0.0, float(np.sum(joint[inside] * np.log2(joint[inside] / expected[inside]))))


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one answer would leave: how likely the answer is, and the origins after it."""

    answer: str
    probability: float
    origins: Mapping[str, float]
    unlisted: float


def outlooks(posterior: Posterior, particles: Particles, check: Check) -> list[Outlook]:
    """Return what each answer of a check would leave of the origins now in question."""
    share = predict(particles, check)
    starts = np.flatnonzero(np.r_[True, np.diff(particles.groups) != 0])
    joint = np.add.reduceat(share, starts, axis=0) / len(share)
    sets = [posterior.sets[particles.groups[start]] for start in starts]
    found = []
    for index, answer in enumerate(check.answers):
        total = float(joint[:, index].sum())
        origins: dict[str, float] = {}
        unlisted = 0.0
        for members, weight in zip(sets, joint[:, index], strict=True):
            part = float(weight) / total if total else 0.0
            for source in (posterior.sources[i] for i in members):
                if not source.unlisted:
                    origins[source.condition] = origins.get(source.condition, 0.0) + part
            if any(posterior.sources[i].unlisted for i in members):
                unlisted += part
        found.append(Outlook(str(answer), total, origins, unlisted))
    return found
