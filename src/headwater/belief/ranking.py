"""What a check would tell: the expected information of its answer about the verdict.

Particles are drawn from the posterior (systematic resampling, no random numbers), each a set of
sources and a world. The answer of a check is predicted for each particle from the sureness of its
answers; the gain is the mutual information, in bits, between the answer and the set of sources.

Shapes: N particles, C conditions, A answers of a check.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Bools, Floats
from headwater.book.model import Check
from headwater.rules.evidence import likelihoods

PARTICLES = 1200


@dataclass(frozen=True, slots=True)
class Particles:
    """N equally weighted draws: `groups` (N,) the set of each, `present` (N, C) its conditions."""

    position: Mapping[str, int]
    groups: npt.NDArray[np.intp]
    starts: npt.NDArray[np.intp]
    present: Bools


def draw_particles(posterior: Posterior, count: int = PARTICLES) -> Particles:
    """Return particles of the posterior, sorted by set."""
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
    return Particles(position, groups, starts, present)


def spoken_of(check: Check) -> list[str]:
    """Return the conditions that some answer of a check speaks of, in the order written."""
    found: dict[str, None] = {}
    for answer in check.answers.values():
        found |= dict.fromkeys(str(c) for c in (*answer.shows, *answer.rules_out))
    return list(found)


def predict(particles: Particles, check: Check) -> Floats:
    """Return (N, A): the probability of each answer for each particle."""
    conditions = [c for c in spoken_of(check) if c in particles.position]
    count = len(check.answers)
    if not conditions:
        return np.full((len(particles.groups), count), 1.0 / count)
    answers = list(check.answers.values())
    pairs = np.log(np.array([[likelihoods(a, c) for a in answers] for c in conditions]))
    bits = particles.present[:, [particles.position[c] for c in conditions]]
    score = bits.astype(np.float64) @ (pairs[:, :, 0] - pairs[:, :, 1]) + pairs[:, :, 1].sum(axis=0)
    score = np.exp(score - score.max(axis=1, keepdims=True))
    share: Floats = score / score.sum(axis=1, keepdims=True)
    return share


def gain_of(particles: Particles, check: Check) -> float:
    """Return the expected information of a check about the set of sources, in bits."""
    columns = [particles.position[c] for c in spoken_of(check) if c in particles.position]
    if not columns:
        return 0.0
    bits = particles.present[:, columns]
    if (bits == bits[0]).all():
        return 0.0
    share = predict(particles, check)
    joint = np.add.reduceat(share, particles.starts, axis=0) / len(share)  # (groups, A)
    answer = joint.sum(axis=0)
    group = joint.sum(axis=1)
    inside = joint > 0.0
    expected = np.outer(group, answer)
    information = np.sum(joint[inside] * np.log2(joint[inside] / expected[inside]))
    return max(0.0, float(information))


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
    joint = np.add.reduceat(share, particles.starts, axis=0) / len(share)
    sets = [posterior.sets[particles.groups[start]] for start in particles.starts]
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
