"""The meaning of the belief engine in one page: every set of sources in every world of links.

Written from the definition alone and without numpy; slow, so for small networks only. Also random
networks and findings for it, drawn from a given seed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise, product
from math import prod, sqrt
from random import Random

from headwater.belief.worlds import Factors, Network, Root
from headwater.book.tables import COMMON, OFTEN, SURENESS


@dataclass(frozen=True, slots=True)
class Truth:
    """The exact probabilities, given the findings; `findings` is that of the findings themselves.

    `origins` have occurred, `present` conditions, `fired` links, `unlisted` any unlisted cause;
    `behind` gives for (condition, source) that the source is there and leads to the condition;
    `joint` for (sources, conditions) that just these are there.
    """

    origins: dict[str, float]
    present: dict[str, float]
    fired: list[float]
    unlisted: float
    behind: dict[tuple[str, Root], float]
    joint: dict[tuple[frozenset[Root], frozenset[str]], float]
    findings: float


def spread(links: Iterable[tuple[str, str]], starts: Iterable[str]) -> set[str]:
    """Return what some starts reach over links that fired."""
    found = set(starts)
    ends = list(links)
    while more := {effect for cause, effect in ends if cause in found} - found:
        found |= more
    return found


def truth(network: Network, factors: Factors) -> Truth:
    """Return the exact posterior by adding up every set of sources in every world."""
    bit = {c: 1 << i for i, c in enumerate(network.conditions)}
    observed = [c for c in network.conditions if c in factors]
    chances = {Root(c): p for c, p in network.priors.items()}
    if network.unlisted:
        positive = [c for c in observed if factors[c][0] > factors[c][1]]
        unlisted = [Root(c, unlisted=True) for c in positive if c not in network.priors]
        chances |= dict.fromkeys(unlisted, network.unlisted)
    sources = list(chances)
    prior = [1.0]
    for p in chances.values():
        prior = [q * (1 - p) for q in prior] + [q * p for q in prior]
    level: dict[int, float] = {}

    def likelihood(mask: int) -> float:
        if mask not in level:
            level[mask] = 1.0
            for c in observed:
                level[mask] *= factors[c][0 if mask & bit[c] else 1]
        return level[mask]

    by_pair: dict[tuple[int, int], float] = {}
    fired_weight = [0.0] * len(network.links)
    behind: dict[tuple[str, Root], float] = {}
    for number in range(1 << len(network.links)):
        chance, fired = 1.0, []
        for index, (_, _, p) in enumerate(network.links):
            chance *= p if number >> index & 1 else 1 - p
            fired += [index] if number >> index & 1 else []
        ends = [network.links[index][:2] for index in fired]
        reaches = [spread(ends, [source.condition]) for source in sources]
        masks = [0]
        for reach in reaches:
            own = sum(bit[c] for c in reach)
            masks += [mask | own for mask in masks]
        here = [chance * p * likelihood(mask) for p, mask in zip(prior, masks, strict=True)]
        for subset, (mask, weight) in enumerate(zip(masks, here, strict=True)):
            by_pair[subset, mask] = by_pair.get((subset, mask), 0.0) + weight
        whole = sum(here)
        for index in fired:
            fired_weight[index] += whole
        for i, (source, reach) in enumerate(zip(sources, reaches, strict=True)):
            with_it = sum(w for subset, w in enumerate(here) if subset >> i & 1)
            for c in reach:
                behind[c, source] = behind.get((c, source), 0.0) + with_it
    total = sum(by_pair.values())

    def share(subset: int, mask: int) -> float:
        """Return the share of what has any of some sources, or any of some conditions."""
        return sum(w for (s, m), w in by_pair.items() if s & subset or m & mask) / total

    places = {source: 1 << i for i, source in enumerate(sources)}
    return Truth(
        {s.condition: share(one, 0) for s, one in places.items() if not s.unlisted},
        {c: share(0, one) for c, one in bit.items()},
        [weight / total for weight in fired_weight],
        share(sum(one for s, one in places.items() if s.unlisted), 0),
        {pair: weight / total for pair, weight in behind.items()},
        {
            (
                frozenset(s for s, one in places.items() if one & subset),
                frozenset(c for c, one in bit.items() if one & mask),
            ): weight / total
            for (subset, mask), weight in by_pair.items()
        },
        total,
    )


def led_to(
    network: Network, factors: Factors, condition: str, roots: Iterable[Root] | None = None
) -> float:
    """Return the exact probability that some roots are there and lead to a condition.

    None for `roots`: any that the network lists. Every world of links with every set of sources.
    """
    chances = {Root(c): p for c, p in network.priors.items()}
    wanted = set(chances) if roots is None else set(roots)
    if network.unlisted:
        positive = [c for c in factors if factors[c][0] > factors[c][1]]
        unlisted = [Root(c, unlisted=True) for c in positive if c not in network.priors]
        chances |= dict.fromkeys(unlisted, network.unlisted)
    good = total = 0.0
    for fired in product((False, True), repeat=len(network.links)):
        ends = [link[:2] for link, on in zip(network.links, fired, strict=True) if on]
        weight = prod(
            link[2] if on else 1 - link[2] for link, on in zip(network.links, fired, strict=True)
        )
        reaches = {root: spread(ends, [root.condition]) for root in chances}
        for there in product((False, True), repeat=len(chances)):
            has = [root for root, on in zip(chances, there, strict=True) if on]
            present = set().union(*(reaches[root] for root in has))
            told = prod(factors[c][0 if c in present else 1] for c in factors)
            own = prod(p if on else 1 - p for p, on in zip(chances.values(), there, strict=True))
            total += weight * own * told
            if any(root in wanted and condition in reaches[root] for root in has):
                good += weight * own * told
    return good / total


def errors(p: float, *counts: int) -> float:
    """Return five standard errors of a share counted in worlds, or of the difference of several.

    Two worlds more are allowed: what is rare does not err evenly. Of a million such comparisons
    one should fail; the worlds are the same at every run, so that a test passes always or never.
    """
    spread_out = sum(1.0 / count for count in counts)
    return 5.0 * sqrt(max(p * (1.0 - p), 0.0) * spread_out) + 2.0 / min(counts)


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


def draw_factors(
    random: Random, network: Network, count: int, *, hard: bool = False
) -> dict[str, tuple[float, float]]:
    """Draw findings about some conditions that an origin may reach: mostly that they are there.

    Hard findings are certain, and all true of one drawn unit, so that they are possible together.
    """
    plain = [(a, b) for a, b, _ in network.links]
    within = sorted({c for origin in network.priors for c in spread(plain, [origin])})
    there = spread([ends for ends in plain if random.random() < 0.7], list(network.priors)[:1])
    found: dict[str, tuple[float, float]] = {}
    for condition in random.sample(within, min(count, len(within))):
        if hard and random.random() < 0.7:
            found[condition] = (1.0, 0.0) if condition in there else (0.0, 1.0)
            continue
        present, absent = random.choice(list(SURENESS.values()))
        found[condition] = (present, absent) if random.random() < 0.7 else (absent, present)
    return found
