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


Cause = str | None
"""An origin, or None for any cause that the book does not list."""


@dataclass(frozen=True, slots=True)
class Doing:
    """Whose doing each condition is, exactly; made by `doing`.

    `rows` are (weight, what is present, the pairs of cause and condition that hold), summing to 1.
    """

    rows: list[tuple[float, int, int]]
    place: dict[str, int]
    pairs: dict[tuple[Cause, str], int]

    def share(self, causes: Iterable[Cause], condition: str) -> float:
        """Return P(any of some causes is behind a condition | findings)."""
        wanted = 0
        for cause in causes:
            wanted |= self.pairs.get((cause, condition), 0)
        return sum(weight for weight, _, held in self.rows if held & wanted)

    def present(self, condition: str) -> float:
        """Return P(a condition is present | findings)."""
        return sum(weight for weight, there, _ in self.rows if there & self.place[condition])


def blamed(
    network: Network, links: list[tuple[str, str]], root: Root
) -> tuple[set[str], set[tuple[Cause, str]]]:
    """Return what one root makes in one world, and whose doing each of that is.

    A fault is let in by itself, or by a usage or an unlisted cause over conditions that are no
    faults; what it leads to is its doing. What a usage or an unlisted cause reaches without passing
    a fault is its own.
    """
    faults = set(network.priors) - network.usages
    start = root.condition
    free = [ends for ends in links if ends[0] not in faults]
    met = {start} if start in faults else spread(free, [start])
    pairs: set[tuple[Cause, str]] = {(f, c) for f in met & faults for c in spread(links, [f])}
    if start not in faults:
        pairs |= {(None if root.unlisted else start, c) for c in met - faults}
    return spread(links, [start]), pairs


class World:
    """Every world of a network, walked once; `given` weighs them by some findings."""

    def __init__(self, network: Network, positive: Iterable[str]) -> None:
        """Walk the worlds; unlisted causes are reckoned with at what findings may speak for."""
        self.network = network
        self.place = {c: 1 << i for i, c in enumerate(network.conditions)}
        chances = {Root(c): p for c, p in network.priors.items()}
        unlisted = [Root(c, unlisted=True) for c in positive if c not in network.priors]
        self.unlisted = {root.condition: 1 << i for i, root in enumerate(unlisted)}
        chances |= dict.fromkeys(unlisted, network.unlisted)
        self.pairs: dict[tuple[Cause, str], int] = {}
        self.rows: dict[tuple[int, int, int], float] = {}
        for fired in product((False, True), repeat=len(network.links)):
            ends = [link[:2] for link, on in zip(network.links, fired, strict=True) if on]
            weight = prod(
                p if on else 1 - p for (_, _, p), on in zip(network.links, fired, strict=True)
            )
            here = [(weight, 0, 0, 0)]
            for root, p in chances.items():
                own = self.unlisted[root.condition] if root.unlisted else 0
                made, whose = blamed(network, ends, root)
                there = sum(self.place[c] for c in made)
                held = sum(self._bit(pair) for pair in whose)
                here = [(w * (1 - p), u, m, h) for w, u, m, h in here] + [
                    (w * p, u | own, m | there, h | held) for w, u, m, h in here
                ]
            for w, u, m, h in here:
                self.rows[u, m, h] = self.rows.get((u, m, h), 0.0) + w

    def _bit(self, pair: tuple[Cause, str]) -> int:
        return self.pairs.setdefault(pair, 1 << len(self.pairs))

    def given(self, factors: Factors) -> Doing:
        """Return whose doing everything is, by some findings."""
        positive = {c for c, (there, absent) in factors.items() if there > absent}
        idle = sum(bit for c, bit in self.unlisted.items() if c not in positive)
        rows: dict[tuple[int, int], float] = {}
        for (roots, there, held), weight in self.rows.items():
            if not roots & idle:
                told = prod(pair[0 if there & self.place[c] else 1] for c, pair in factors.items())
                rows[there, held] = rows.get((there, held), 0.0) + weight * told
        total = sum(rows.values())
        return Doing([(w / total, m, h) for (m, h), w in rows.items()], self.place, self.pairs)


def doing(network: Network, factors: Factors) -> Doing:
    """Return whose doing each condition is: every set of sources in every world of links."""
    positive = [c for c, (there, absent) in factors.items() if there > absent]
    return World(network, positive if network.unlisted else ()).given(factors)


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
