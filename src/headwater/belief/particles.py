"""Particles: worlds of a posterior with a label, which is what a check may tell of.

The label is the set of roots behind the findings that want a cause.

Shapes: N particles.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Bools

Indices = npt.NDArray[np.intp]

PARTICLES = 512
FEWEST = 4
"""Particles below which a label is not told from other rare ones."""


@dataclass(frozen=True, slots=True)
class Particles:
    """The first N worlds of a posterior, each with a label: what the gain of a check is about.

    `labels` (N,) count up from 0.
    """

    posterior: Posterior
    labels: Indices

    def truths(self, bits: Sequence[int]) -> Bools:
        """Return some bits as truths: (N, bits)."""
        return self.posterior.truths(bits)[: len(self.labels)]

    def present(self, conditions: Sequence[str]) -> Bools:
        """Return which of some conditions are present: (N, conditions)."""
        return self.posterior.columns(conditions)[: len(self.labels)]


def draw_particles(posterior: Posterior, count: int = PARTICLES) -> Particles:
    """Return worlds of the posterior, all under one label."""
    return Particles(posterior, np.zeros(min(count, posterior.count), dtype=np.intp))


def split_by_cause(particles: Particles, conditions: Iterable[str]) -> Particles:
    """Return the particles labelled by which roots are behind some conditions, world by world.

    Two particles with one label give the same account of the conditions, whatever else is in them.
    """
    marks = [m for c in conditions for m in particles.posterior.behind(c).values()]
    return split_by(particles, marks)


def split_by(particles: Particles, marks: Sequence[int]) -> Particles:
    """Return the particles labelled by which marks, given as bits of the worlds, they bear."""
    if not marks:
        return replace(particles, labels=np.zeros_like(particles.labels))
    packed = np.packbits(particles.truths(marks), axis=1)
    whole = np.ascontiguousarray(packed).view(np.dtype((np.void, packed.shape[1]))).ravel()
    _, labels, counts = np.unique(whole, return_inverse=True, return_counts=True)
    many = counts >= FEWEST
    names = np.where(many, np.cumsum(many), 0)  # the rare ones share the label 0
    return replace(particles, labels=(names - names.min())[labels.ravel()])
