"""Particles: worlds of a posterior with a label, which is what a check may tell of.

The label is the set of sources that are there or, where only some findings want a cause, the
sources behind those.

Shapes: N particles, C conditions.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Bools, as_columns
from headwater.book.model import Check

Indices = npt.NDArray[np.intp]

PARTICLES = 512
FEWEST = 4
"""Particles below which a label is not told from other rare ones."""


@dataclass(frozen=True, slots=True)
class Particles:
    """Some worlds of a posterior, each with a label: what the gain of a check is about.

    `present` (N, C) has the conditions of each, `labels` (N,) count up from 0.
    """

    posterior: Posterior
    position: Mapping[str, int]
    labels: Indices
    present: Bools


def draw_particles(posterior: Posterior, count: int = PARTICLES) -> Particles:
    """Return worlds of the posterior, labelled by which sources are there."""
    worlds = posterior.worlds
    rows = min(count, posterior.count)
    present = np.ascontiguousarray(posterior.columns()[:rows])
    told = posterior.marginals
    sources = [bits for s, bits in posterior.starts.items() if s.unlisted or s.condition in told]
    particles = Particles(posterior, worlds.position, np.zeros(rows, dtype=np.intp), present)
    return _labelled(particles, sources)


def split_by_cause(particles: Particles, conditions: Iterable[str]) -> Particles:
    """Return the particles labelled by which sources are behind some conditions, world by world.

    Two particles with one label give the same account of the conditions, whatever else is in them.
    """
    marks = [m for c in conditions for m in particles.posterior.behind(c).values()]
    return _labelled(particles, marks)


def _labelled(particles: Particles, marks: Sequence[int]) -> Particles:
    """Return the particles labelled by which marks they bear."""
    rows = len(particles.present)
    if not marks:
        return replace(particles, labels=np.zeros(rows, dtype=np.intp))
    packed = np.packbits(as_columns(marks, particles.posterior.count)[:rows], axis=1)
    whole = np.ascontiguousarray(packed).view(np.dtype((np.void, packed.shape[1]))).ravel()
    _, labels, counts = np.unique(whole, return_inverse=True, return_counts=True)
    common = np.cumsum(counts >= FEWEST)  # the rare ones share the label 0
    return replace(particles, labels=np.where(counts >= FEWEST, common, 0)[labels.ravel()])


def spoken_of(check: Check) -> list[str]:
    """Return the conditions that some answer of a check speaks of, in the order written."""
    found: dict[str, None] = {}
    for answer in check.answers.values():
        found |= dict.fromkeys(str(c) for c in (*answer.shows, *answer.rules_out))
    return list(found)
