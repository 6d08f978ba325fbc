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

from trial.observer import Asked, Observer, pair_of, skill_of

from headwater.book.records import Book, effects_by_cause, spread
from headwater.book.tables import SPECIAL

PERSONS = 2
"""People asked for the answer to a check."""
WORLDS = 150
"""Worlds drawn for each origin that may stand beside the others."""
ROUNDS = 8
"""How often each of several origins is drawn anew."""
TOLD = 1e6
"""Likelihood ratio of a complaint that was told."""
NEGLIGIBLE = 1e-4
"""Share of the heaviest world below which a world is left out."""


@dataclass(frozen=True, slots=True)
class World:
    """What an origin brings about beside others: conditions new with it, and links that fired."""

    origin: str
    weight: float
    present: frozenset[str]
    fired: tuple[tuple[str, str], ...]


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
    onward: dict[str, list[tuple[str, float]]] = {}
    for (cause, effect), link in book.links.items():
        onward.setdefault(cause, []).append((effect, link.often.p))
    tally: dict[str, dict[str, float]] = {condition: {} for condition in found}
    standing: list[World] = []
    for turn in range(origins * (ROUNDS if origins > 1 else 1)):
        if len(standing) == origins:
            standing.pop(0)
        worlds = _worlds(book, onward, ratios, standing, stream)
        if turn >= origins - 1:
            _count(worlds, standing, tally)
        standing.append(stream.choices(worlds, [world.weight for world in worlds])[0])
    return {c: max(counts, key=counts.__getitem__, default=None) for c, counts in tally.items()}


def _worlds(
    book: Book,
    onward: Mapping[str, list[tuple[str, float]]],
    ratios: Mapping[str, float],
    standing: Iterable[World],
    stream: random.Random,
) -> list[World]:
    """Return weighted worlds of every origin that may stand beside the others; the heavy ones."""
    there = frozenset[str]().union(*(world.present for world in standing))
    taken = {world.origin for world in standing}
    worlds = [
        _world(cid, record.origin.common.p, onward, ratios, there, stream)
        for cid, record in book.conditions.items()
        if record.origin and cid not in taken
        for _ in range(WORLDS)
    ]
    least = max(world.weight for world in worlds) * NEGLIGIBLE
    return [world for world in worlds if world.weight >= least]


def _world(
    origin: str,
    chance: float,
    onward: Mapping[str, list[tuple[str, float]]],
    ratios: Mapping[str, float],
    there: frozenset[str],
    stream: random.Random,
) -> World:
    weight = chance * (1.0 if origin in there else ratios.get(origin, 1.0))
    present, fired = {origin}, []
    frontier = [] if origin in there else [origin]
    while frontier:
        cause = frontier.pop()
        for effect, p in onward.get(cause, ()):
            fires = p
            if effect not in there and effect not in present:
                total = p * ratios.get(effect, 1.0) + 1.0 - p
                weight, fires = weight * total, 1.0 - (1.0 - p) / total
            if stream.random() < fires:
                fired.append((cause, effect))
                if effect not in there and effect not in present:
                    present.add(effect)
                    frontier.append(effect)
    return World(origin, weight, frozenset(present), tuple(fired))


def _count(
    worlds: Iterable[World], standing: Iterable[World], tally: Mapping[str, dict[str, float]]
) -> None:
    """Add the weight of each origin behind each finding."""
    shared = [ends for world in standing for ends in world.fired]
    candidates = list(worlds)
    total = sum(world.weight for world in candidates)
    for world in candidates:
        reach = spread([world.origin], effects_by_cause([*shared, *world.fired]))
        for condition in tally.keys() & reach:
            counts = tally[condition]
            counts[world.origin] = counts.get(world.origin, 0.0) + world.weight / total
