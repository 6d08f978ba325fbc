"""What happens again if some origins are left in place: the drawn worlds, run once more.

In each world of the posterior some roots are there and some links fire. Taking the corrected
origins out and following the rest through the same links gives the probability that what was found
comes back, and with it which parts are damaged again. A root that leads to nothing found is not
followed: it would have done so in any unit. A larger set of corrections leaves fewer roots, reaches
less in every world, and so can never raise a probability.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from headwater.belief.posterior import Posterior
from headwater.belief.worlds import Root


@dataclass(frozen=True, slots=True)
class Repeat:
    """Probabilities that it comes back: each part in need again, each removal, and anything.

    `behind` gives for each root that remains the probability that it brings back what was found.
    """

    parts: Mapping[str, float]
    removals: Mapping[str, float]
    anything: float
    behind: Mapping[Root, float]


@dataclass(frozen=True, slots=True)
class Stakes:
    """What a comeback would touch.

    `found` are the conditions whose return is the comeback. `damage` gives for each part its damage
    conditions; `mending` the roots whose own correction is on the part, which counts once the root
    has done damage; `opening` the removals it needs.
    """

    found: frozenset[str]
    damage: Mapping[str, frozenset[str]]
    mending: Mapping[str, frozenset[str]]
    opening: Mapping[str, tuple[str, ...]]


def repeat(posterior: Posterior, stakes: Stakes, remains: Callable[[Root], bool]) -> Repeat:
    """Return what the roots that remain do again."""
    left = [root for root in posterior.starts if remains(root)]
    needed = dict.fromkeys([*stakes.damage, *stakes.mending], 0)
    position = posterior.worlds.position
    behind: dict[Root, int] = {}
    for root in left:
        reach = posterior.reach_of(root)
        behind[root] = 0
        for condition in stakes.found:
            behind[root] |= reach.get(position[condition], 0)
        harm = 0
        for part, conditions in stakes.damage.items():
            damaged = 0
            for condition in conditions:
                damaged |= reach.get(position[condition], 0) & behind[root]
            needed[part] |= damaged
            harm |= damaged
        for part, origins in stakes.mending.items():
            if not root.unlisted and root.condition in origins:
                needed[part] |= harm
    removals: dict[str, int] = {}
    anything = 0
    for bits in behind.values():
        anything |= bits
    for part, bits in needed.items():
        for removal in stakes.opening.get(part, ()):
            removals[removal] = removals.get(removal, 0) | bits
    share = posterior.share
    return Repeat(
        {part: share(bits) for part, bits in needed.items()},
        {removal: share(bits) for removal, bits in removals.items()},
        share(anything),
        {root: share(bits) for root, bits in behind.items() if bits},
    )
