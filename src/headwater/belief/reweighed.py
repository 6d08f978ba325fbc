"""Figures of a model that had to do without some links, from worlds of the whole network.

A model that is too large leaves its weakest links out, and what it sums holds for nothing. Worlds
are drawn with every link instead and weighed by how likely the findings are in each (importance
sampling, Robert and Casella 2004, 3.3): first worlds as they are before any finding; where too few
of these match, those that the model draws to match, with the links left out let in again. Where a
few worlds carry all the weight nothing is known.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np

from headwater.belief.figures import FAR, UNKNOWN, Figure, Figures
from headwater.belief.posterior import ENOUGH, Posterior, drawn_on
from headwater.belief.worlds import Batch, Bools, Floats, Root, Worlds, as_columns, spread

BATCHES = 4
"""Batches of worlds that are drawn: 16,384 worlds."""
SLIGHT = 1e-6
"""The least that a finding's likelihood counts as."""

There = Mapping[int, int]
"""In which worlds each condition, by position, is present."""


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Worlds by what is present in them, and how much each counts, 1 together."""

    there: There
    weights: Floats

    def truths(self, node: int) -> Bools:
        """Return in which worlds a condition is present."""
        return as_columns([self.there.get(node, 0)], len(self.weights))[:, 0]

    @property
    def enough(self) -> bool:
        """Whether the weight lies on worlds enough."""
        squared = float(np.square(self.weights).sum())
        return squared > 0.0 and 1.0 / squared >= ENOUGH


@dataclass
class Reweighed(Figures):
    """The figures of a posterior whose links were left out in part: never exact."""

    @cached_property
    def _found(self) -> _Weighed | None:
        ways = (_from_nothing, _from_the_model)
        weighed = (way(self.posterior) for way in ways)
        return next((one for one in weighed if one.enough), None)

    def glance(self, condition: str, lines: Sequence[float]) -> Figure:  # noqa: ARG002 - as there
        """Return how probable a condition is, within four standard errors."""
        found = self._found
        if found is None:
            return UNKNOWN
        truths = found.truths(self.posterior.worlds.position[condition])
        p, squares = float(found.weights[truths].sum()), np.square(found.weights)
        error = sqrt(float((squares * np.square(truths - p)).sum()))
        # No world of a rare condition may be among so many: then it is as rare as one of them.
        least = float(squares.sum())
        return Figure(max(0.0, p - FAR * error), min(1.0, p + FAR * max(error, least)))

    def presence_of(self, conditions: Collection[str], lines: Sequence[float]) -> dict[str, Figure]:
        """Return the same of some conditions."""
        return {condition: self.glance(condition, lines) for condition in conditions}


def figures_of(found: Posterior) -> Figures:
    """Return the figures of a posterior, also where its model had to do without some links."""
    return Reweighed(found) if found.model.left_out else Figures(found)


def _from_nothing(found: Posterior) -> _Weighed:
    """Return worlds as they are before any finding, weighed by the findings."""
    worlds = found.worlds
    there = worlds.keep("there unseen", lambda: _there_unseen(worlds))
    size = sum(batch.size for batch in _batches(worlds))
    weights = np.ones(size)
    for node, present, absent in _pairs(found):
        weights *= np.where(as_columns([there.get(node, 0)], size)[:, 0], present, absent)
    return _Weighed(there, _as_shares(weights))


def _from_the_model(found: Posterior) -> _Weighed:
    """Return the worlds that the model draws, with the links let in that it left out."""
    drawn = drawn_on(found, BATCHES)
    fired = list(drawn.fired)
    for link in found.model.left_out:
        fires = (drawn.worlds.link_fires(link, batch) for batch in _batches(drawn.worlds))
        fired[link] = _joined(drawn.worlds, fires)
    there = spread(_by_place(drawn.worlds, drawn.starts, drawn.valid), fired, drawn.worlds.out)
    weights = as_columns([drawn.valid], drawn.drawn)[:, 0].astype(np.float64)
    for node, present, absent in _pairs(found):
        now, was = (
            as_columns([met.get(node, 0)], drawn.drawn)[:, 0] for met in (there, drawn.present)
        )
        weights[now & ~was] *= present / absent
        weights[was & ~now] *= absent / present
    return _Weighed(there, _as_shares(weights))


def _there_unseen(worlds: Worlds) -> There:
    batches = _batches(worlds)
    fired = [
        _joined(worlds, (worlds.link_fires(link, batch) for batch in batches))
        for link in range(len(worlds.network.links))
    ]
    starts = {
        root: _joined(worlds, (worlds.starts_unseen(batch)[root] for batch in batches))
        for root in worlds.roots
    }
    return spread(_by_place(worlds, starts, -1), fired, worlds.out)


def _by_place(worlds: Worlds, starts: Mapping[Root, int], valid: int) -> dict[int, int]:
    places: dict[int, int] = {}
    for root, bits in starts.items():
        place = worlds.position[root.condition]
        places[place] = places.get(place, 0) | (bits & valid)
    return places


def _batches(worlds: Worlds) -> list[Batch]:
    return [worlds.batch(number) for number in range(BATCHES)]


def _joined(worlds: Worlds, bits: Iterator[int]) -> int:
    """Return bits of one batch after the other as one whole number."""
    joined = done = 0
    for batch, some in zip(_batches(worlds), bits, strict=True):
        joined |= some << done
        done += batch.size
    return joined


def _pairs(found: Posterior) -> Iterator[tuple[int, float, float]]:
    """Yield what the findings say: a condition, by position, and likelihoods with and without."""
    for condition, (present, absent) in found.factors.items():
        if condition in found.worlds.position:
            yield found.worlds.position[condition], max(present, SLIGHT), max(absent, SLIGHT)


def _as_shares(weights: Floats) -> Floats:
    total = float(weights.sum())
    return weights / total if total else weights
