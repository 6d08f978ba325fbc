"""What the particles say of each condition alone: how likely it is, what an answer tells of it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from headwater.belief.ranking import Particles
from headwater.belief.worlds import Floats


def presence(particles: Particles) -> dict[str, float]:
    """Return the probability of each condition."""
    means = particles.present.mean(axis=0)
    return {c: float(means[i]) for c, i in particles.position.items()}


def told_about(particles: Particles, share: Floats, conditions: Iterable[str]) -> list[float]:
    """Return the information (bits) that an answer has about each condition.

    `share` gives each particle's probability of each answer, (particles, answers).
    """
    bits = particles.present[:, [particles.position[c] for c in conditions]].astype(np.float64)
    answers = share.mean(axis=0)
    yes = bits.T @ share / len(share)  # P(condition present, answer)
    chance = bits.mean(axis=0)
    told = _information(yes, chance, answers) + _information(answers - yes, 1.0 - chance, answers)
    return [float(value) for value in told]


def _information(joint: Floats, side: Floats, answers: Floats) -> Floats:
    expected = np.outer(side, answers)
    inside = (joint > 1e-12) & (expected > 1e-12)
    ratio = np.divide(joint, expected, out=np.ones_like(joint), where=inside)
    told: Floats = (joint * np.log2(ratio)).sum(axis=1)
    return told
