"""What happens again if some origins are left in place: the posterior's worlds, run once more.

Each hypothesis of the posterior is a set of sources, each world a set of links that fire. Taking
the corrected origins out of every set and following the rest through the same worlds gives the
probability that a part is damaged again. A larger set of corrections leaves a smaller set of
sources, reaches less in every world, and so can never raise a probability.

Shapes: W worlds, P parts, R removals.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from headwater.belief.posterior import Posterior, Source
from headwater.belief.worlds import Bools


@dataclass(frozen=True, slots=True)
class Repeat:
    """Probabilities that it comes back: each part in need again, each removal, and anything."""

    parts: Mapping[str, float]
    removals: Mapping[str, float]
    anything: float


@dataclass(frozen=True, slots=True)
class Stakes:
    """What a comeback would touch.

    `damage` gives for each part its damage conditions; `mending` the sources whose own correction
    is on the part, which counts once the source has done damage; `opening` the removals it needs.
    """

    damage: Mapping[str, frozenset[str]]
    mending: Mapping[str, frozenset[str]]
    opening: Mapping[str, tuple[str, ...]]


def repeat(posterior: Posterior, stakes: Stakes, remains: Callable[[Source], bool]) -> Repeat:
    """Return what the sources that remain do again."""
    parts = tuple(dict.fromkeys([*stakes.damage, *stakes.mending]))
    removals = tuple(dict.fromkeys(r for part in parts for r in stakes.opening.get(part, ())))
    needs = np.array(
        [[r in stakes.opening.get(part, ()) for r in removals] for part in parts], dtype=np.bool_
    ).reshape(len(parts), len(removals))
    hits: dict[int, Bools] = {}
    by_part = np.zeros(len(parts))
    by_removal = np.zeros(len(removals))
    anything = 0.0
    for members, weight, row in zip(
        posterior.sets, posterior.weights, posterior.likelihood, strict=True
    ):
        left = [i for i in members if remains(posterior.sources[i])]
        if not left:
            continue
        for index in left:
            if index not in hits:
                hits[index] = _hits(posterior, posterior.sources[index], parts, stakes)
        union = np.logical_or.reduce([hits[index] for index in left])
        by_part += weight * (row @ union)
        by_removal += weight * (row @ (union @ needs))
        anything += float(weight * (row @ union.any(axis=1)))
    return Repeat(
        {part: min(1.0, float(p)) for part, p in zip(parts, by_part, strict=True)},
        {removal: min(1.0, float(p)) for removal, p in zip(removals, by_removal, strict=True)},
        min(1.0, anything),
    )


def _hits(posterior: Posterior, source: Source, parts: tuple[str, ...], stakes: Stakes) -> Bools:
    """Return (W, P): in each world, the parts in need again because of one source."""
    reach = posterior.worlds.reach(source.condition)
    hit = np.zeros((posterior.worlds.count, len(parts)), dtype=np.bool_)
    for index, part in enumerate(parts):
        wanted = stakes.damage.get(part, frozenset())
        columns = [i for i, node in enumerate(reach.nodes) if node in wanted]
        hit[:, index] = reach.bits[:, columns].any(axis=1)
    harmed = hit.any(axis=1)
    for index, part in enumerate(parts):
        if not source.unlisted and source.condition in stakes.mending.get(part, ()):
            hit[:, index] |= harmed
    return hit
