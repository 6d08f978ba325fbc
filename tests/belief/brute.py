"""The meaning of the belief engine in one page: every set of sources in every world of links.

Written from the definition alone and without numpy; slow, so for small networks only. Also random
networks and findings for it, drawn from a given seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from random import Random

from headwater.belief.posterior import Factors
from headwater.belief.worlds import Network
from headwater.book.tables import COMMON, OFTEN, SURENESS


@dataclass(frozen=True, slots=True)
class Truth:
    """The exact probabilities: origins, conditions, an unlisted cause, and the findings."""

    origins: dict[str, float]
    present: dict[str, float]
    unlisted: float
    findings: float


def spread(links: list[tuple[str, str]], start: str) -> set[str]:
    """Return what a start reaches over links that fired."""
    found = {start}
    while more := {effect for cause, effect in links if cause in found} - found:
        found |= more
    return found


def truth(network: Network, factors: Factors) -> Truth:
    """Return the exact posterior by adding up every set of sources in every world."""
    bit = {c: 1 << i for i, c in enumerate(network.conditions)}
    observed = [c for c in network.conditions if c in factors]
    positive = [c for c in observed if factors[c][0] > factors[c][1]]
    sources = [(c, p, False) for c, p in network.priors.items()]
    if network.unlisted:
        sources += [(c, network.unlisted, True) for c in positive if c not in network.priors]
    level: dict[int, float] = {}

    def likelihood(mask: int) -> float:
        if mask not in level:
            level[mask] = 1.0
            for c in observed:
                level[mask] *= factors[c][0 if mask & bit[c] else 1]
        return level[mask]

    by_subset = [0.0] * (1 << len(sources))
    by_mask: dict[int, float] = {}
    prior = [1.0]
    for _, p, _ in sources:
        prior = [q * (1 - p) for q in prior] + [q * p for q in prior]
    for number in range(1 << len(network.links)):
        chance, fired = 1.0, []
        for index, (cause, effect, p) in enumerate(network.links):
            chance *= p if number >> index & 1 else 1 - p
            if number >> index & 1:
                fired.append((cause, effect))
        masks = [0]
        for start, _, _ in sources:
            reach = sum(bit[c] for c in spread(fired, start))
            masks += [mask | reach for mask in masks]
        for subset, mask in enumerate(masks):
            weight = chance * prior[subset] * likelihood(mask)
            by_subset[subset] += weight
            by_mask[mask] = by_mask.get(mask, 0.0) + weight
    total = sum(by_subset)

    def share_of(wanted: int) -> float:
        return sum(w for subset, w in enumerate(by_subset) if subset & wanted) / total

    return Truth(
        {c: share_of(1 << i) for i, (c, _, unlisted) in enumerate(sources) if not unlisted},
        {c: sum(w for mask, w in by_mask.items() if mask & one) / total for c, one in bit.items()},
        share_of(sum(1 << i for i, (_, _, unlisted) in enumerate(sources) if unlisted)),
        total,
    )


def draw_network(
    random: Random, nodes: int, links: int, *, loops: bool, unlisted: float = 0.0
) -> Network:
    """Draw a network; the first few conditions are origins, and without loops links run onward."""
    ids = tuple(f"n{i}" for i in range(nodes))
    origins = ids[: random.randint(2, 3)]
    priors = {c: random.choice(list(COMMON.values())) for c in origins}
    pairs = [(a, b) for a in ids for b in ids if (a != b if loops else a < b)]
    chosen = random.sample(pairs, min(links, len(pairs)))
    if loops:  # one circle for certain, round the last three
        circle = [*pairwise(ids[-3:]), (ids[-1], ids[-3])]
        chosen = circle + [pair for pair in chosen if pair not in circle][: links - 3]
    words = list(OFTEN.values())
    return Network(ids, priors, tuple((a, b, random.choice(words)) for a, b in chosen), unlisted)


def draw_factors(random: Random, network: Network, count: int) -> dict[str, tuple[float, float]]:
    """Draw findings about some conditions that an origin may reach: mostly that they are there."""
    plain = [(a, b) for a, b, _ in network.links]
    within = sorted({c for origin in network.priors for c in spread(plain, origin)})
    found: dict[str, tuple[float, float]] = {}
    for condition in random.sample(within, min(count, len(within))):
        present, absent = random.choice(list(SURENESS.values()))
        found[condition] = (present, absent) if random.random() < 0.7 else (absent, present)
    return found
