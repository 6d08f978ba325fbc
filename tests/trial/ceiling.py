"""What can be known of a unit once every check is answered: the ceiling for any way of asking.

Whoever hears all answers and knows how units and answers are drawn finds, for each complaint, the
origin that is most probable a posteriori; nobody does better but by luck. It is reckoned here from
the causal graph alone, with nothing of the program's belief: how many origins there are is known,
each answer is independent of the others given what is there (so far as answers bear on single
conditions), and the sums over worlds are drawn: origin after origin is drawn anew, the others
standing (Gibbs sampling), each in many worlds whose links fire as the answers on their effects
make likely, weighted for it (importance sampling).
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf, log

from headwater.book.records import Book
from headwater.book.tables import SPECIAL
from headwater.simulate.observer import Asked, Observer, pair_of, skill_of
from headwater.simulate.units import reached

PERSONS = 2
"""People asked for the answer to a check."""
WORLDS = 240
"""Worlds drawn for each origin that may stand, shared by as many turns as there are origins."""
WARMTH = (0.2, 0.4, 0.7)
"""Powers of all likelihood ratios in the first rounds: who stands first must not stand for good."""
ROUNDS = 5
"""Rounds after these in which each of several origins is drawn anew, and counted."""
CHAINS = 4
"""Starts from nothing, of which the one that meets the most probable world counts."""
TOLD = 1e6
"""Likelihood ratio of a complaint that was told."""
TINY = 1e-9
"""Instead of a chance of nothing."""
NEGLIGIBLE = 1e-4
"""Share of the heaviest world below which a world is left out."""


def knowable(observer: Observer) -> int:
    """Count the complaints whose most probable origin is a true one, every check answered."""
    ratios = ratios_of(observer)
    unit = observer.unit
    best = likeliest(observer.book, ratios, unit.found, len(unit.origins), unit.seed)
    return sum(best[found] in unit.causes(found) for found in unit.found)


def ratios_of(observer: Observer) -> dict[str, float]:
    """Return P(all answers | condition present) / P(all answers | absent), by condition."""
    ratios: dict[str, float] = {}
    for check in observer.book.checks.values():
        words = (observer.answer(check, Asked(person)).word for person in range(PERSONS))
        word = next((word for word in words if word not in SPECIAL), None)
        answer = check.answer(word) if word else None
        if answer is None:
            continue
        right = skill_of(check) * (1.0 - observer.setting.slips)
        astray = (1.0 - right) / len(check.answers)
        for condition in check.speaks_of():
            present, absent = (right * p + astray for p in pair_of(check, answer, condition))
            ratios[condition] = ratios.get(condition, 1.0) * present / absent
    return ratios | dict.fromkeys(observer.unit.found, TOLD)


def likeliest(
    book: Book, ratios: Mapping[str, float], found: Iterable[str], origins: int, seed: int
) -> dict[str, str | None]:
    """Return for each finding the origin that is most probable behind it; None if none is."""
    stream = random.Random(f"ceiling/{seed}")
    wanted = tuple(found)
    known = answered(book, ratios)
    starts = CHAINS if origins > 1 else 1
    _, tally = max(
        (_chain(known, wanted, origins, stream) for _ in range(starts)), key=lambda chain: chain[0]
    )
    return {c: max(counts, key=counts.__getitem__, default=None) for c, counts in tally.items()}


@dataclass(frozen=True, slots=True)
class Answered:
    """The causal graph once the answers are in: chances of origins, (effect, chance) by cause."""

    chances: Mapping[str, float]
    onward: Mapping[str, list[tuple[str, float]]]
    ratios: Mapping[str, float]

    def warm(self, power: float) -> Answered:
        """Return the same with answers that say less."""
        ratios = {condition: ratio**power for condition, ratio in self.ratios.items()}
        return Answered(self.chances, self.onward, ratios)

    def density(self, world: World) -> float:
        """Return the logarithm of how probable a world is, up to a constant."""
        present = world.present
        total = sum(log(self.chances[origin]) for origin in world.origins)
        total += sum(log(self.ratios.get(condition, 1.0)) for condition in present)
        for cause in present:
            for effect, p in self.onward.get(cause, ()):
                total += log(p if (cause, effect) in world.fired else max(1.0 - p, TINY))
        return total


def answered(book: Book, ratios: Mapping[str, float]) -> Answered:
    """Return the causal graph of a book with likelihood ratios of all answers."""
    onward: dict[str, list[tuple[str, float]]] = {}
    for (cause, effect), link in book.links.items():
        onward.setdefault(cause, []).append((effect, link.often.p))
    chances = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    return Answered(chances, onward, ratios)


@dataclass(frozen=True, slots=True)
class World:
    """Origins, oldest first, and the links that fired from what they bring about."""

    origins: tuple[str, ...] = ()
    fired: frozenset[tuple[str, str]] = frozenset()
    weight: float = 1.0

    @property
    def present(self) -> frozenset[str]:
        """What is there."""
        return reached(self.origins, self.fired)

    def without_oldest(self) -> World:
        """Return the world in which the oldest origin has not occurred."""
        rest = self.origins[1:]
        there = reached(rest, self.fired)
        return World(rest, frozenset(ends for ends in self.fired if ends[0] in there))


def _chain(
    known: Answered, found: tuple[str, ...], origins: int, stream: random.Random
) -> tuple[float, dict[str, dict[str, float]]]:
    """Return the density of the most probable world met, and the weight of origins by finding."""
    tally: dict[str, dict[str, float]] = {condition: {} for condition in found}
    each = WORLDS // origins
    world, best = World(), -inf
    for power in (1.0,) if origins == 1 else (*WARMTH, *[1.0] * ROUNDS):
        warm = known.warm(power)
        for _ in range(origins):
            rest = world.without_oldest() if len(world.origins) == origins else world
            drawn = _worlds(warm, rest, each, stream)
            world = stream.choices(drawn, [one.weight for one in drawn])[0]
            if power == 1.0 and len(world.origins) == origins:
                _count(drawn, tally)
                best = max(best, known.density(world))
    return best, tally


def _worlds(known: Answered, rest: World, each: int, stream: random.Random) -> list[World]:
    """Return weighted worlds with one more origin, whichever may stand; the heavy ones."""
    there = rest.present
    worlds = [
        _world(known, rest, there, origin, stream)
        for origin in known.chances
        if origin not in rest.origins
        for _ in range(each)
    ]
    least = max(world.weight for world in worlds) * NEGLIGIBLE
    return [world for world in worlds if world.weight >= least]


def _world(
    known: Answered, rest: World, there: frozenset[str], origin: str, stream: random.Random
) -> World:
    """Return a world with one more origin; links fire as the answers on their effects suggest."""
    weight = known.chances[origin]
    present = set(there)
    fired = []
    frontier = []
    if origin not in there:
        weight *= known.ratios.get(origin, 1.0)
        present.add(origin)
        frontier.append(origin)
    while frontier:
        cause = frontier.pop()
        for effect, p in known.onward.get(cause, ()):
            new = effect not in present
            total = p * known.ratios.get(effect, 1.0) + 1.0 - p if new else 1.0
            weight *= total
            if stream.random() < 1.0 - (1.0 - p) / total:
                fired.append((cause, effect))
                if new:
                    present.add(effect)
                    frontier.append(effect)
    return World((*rest.origins, origin), rest.fired | frozenset(fired), weight)


def _count(worlds: list[World], tally: Mapping[str, dict[str, float]]) -> None:
    """Add the weight of the newest origin behind each finding."""
    total = sum(world.weight for world in worlds)
    for world in worlds:
        newest = world.origins[-1]
        for condition in tally.keys() & reached([newest], world.fired):
            counts = tally[condition]
            counts[newest] = counts.get(newest, 0.0) + world.weight / total
