"""Particles told apart by which sources are there, for what is known of sets of sources."""

from __future__ import annotations

from headwater.belief.particles import PARTICLES, Particles, draw_particles, split_by
from headwater.belief.posterior import Posterior


def by_sources(found: Posterior, count: int = PARTICLES) -> Particles:
    """Return worlds labelled by the sources that are there, of those the findings bear on."""
    told = found.marginals
    marks = [bits for s, bits in found.starts.items() if s.unlisted or s.condition in told]
    return split_by(draw_particles(found, count), marks)
