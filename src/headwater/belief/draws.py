"""Worlds drawn from a summed model: which roots are there, which links fire, in each of many.

Where something may hold itself up round a larger loop, worlds in which it does do not count.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import zip_longest
from typing import TypeVar

import numpy as np

from headwater.belief.elimination import Solved, States, draw
from headwater.belief.steps import Model
from headwater.belief.worlds import Batch, Floats, Root, Worlds, as_bits, spread

K = TypeVar("K", bound=Hashable)

BATCHES = 6
"""Batches at most: together 32 times the worlds of the first."""


@dataclass(slots=True)
class Draws:
    """Worlds drawn so far: in which each variable's condition is there, roots and links too.

    In `rooted` of the `tried` nothing holds itself up; those are `valid`, or all if there is none.
    """

    there: dict[int, int] = field(default_factory=dict)
    starts: dict[Root, int] = field(default_factory=dict)
    fired: list[int] = field(default_factory=list)
    valid: int = 0
    rooted: int = 0
    tried: int = 0


def draw_worlds(worlds: Worlds, model: Model, solved: Solved, batches: int = 1) -> Draws:
    """Return worlds drawn from the model, so many batches and on until enough are rooted."""
    return _drawn(worlds, model, solved, batches, whole=True)


def draw_rooted(worlds: Worlds, model: Model, solved: Solved, batches: int) -> Draws:
    """Return at least so many batches of draws, without what is outside the model."""
    return _drawn(worlds, model, solved, batches, whole=False)


def _drawn(worlds: Worlds, model: Model, solved: Solved, batches: int, *, whole: bool) -> Draws:
    draws = Draws()
    for number in range(BATCHES):
        batch = worlds.batch(number)
        states = draw(solved, partial(_uniform, worlds, model, batch))
        there = {v: as_bits(state < model.sizes[v] - 1) for v, state in states.items()}
        within = _fired(worlds, model, states, there, batch) if whole or model.circles else {}
        valid = (1 << batch.size) - 1
        if model.circles:
            met = _rooted(worlds, model, there, within)
            for node in model.circles:
                valid &= met.get(node, 0) | ~there[model.whole[node]]
        starts = _starts(worlds, model, there, batch) if whole else {}
        fired = _with_unseen(worlds, model, there, within, batch) if whole else []
        draws = Draws(
            _behind(draws.there, there, draws.tried),
            _behind(draws.starts, starts, draws.tried),
            [old | new << draws.tried for old, new in zip_longest(draws.fired, fired, fillvalue=0)],
            draws.valid | valid << draws.tried,
            draws.rooted + valid.bit_count(),
            draws.tried + batch.size,
        )
        if number + 1 >= batches and draws.rooted >= worlds.count // 4:
            return draws
    draws.valid = draws.valid or (1 << draws.tried) - 1
    return draws


def _behind(before: Mapping[K, int], after: Mapping[K, int], drawn: int) -> dict[K, int]:
    """Return the bits of one batch behind those of the batches before it."""
    if not drawn:
        return dict(after)
    return {key: before[key] | bits << drawn for key, bits in after.items()}


def _uniform(worlds: Worlds, model: Model, batch: Batch, variable: int) -> Floats:
    return worlds.uniform(model.keys[variable], batch)


def _rooted(
    worlds: Worlds, model: Model, there: Mapping[int, int], within: Mapping[int, int]
) -> dict[int, int]:
    """Return where each condition of the model is met when walking from the roots alone."""
    fired = [0] * len(worlds.network.links)
    for link, bits in within.items():
        fired[link] = bits
    return spread({e.condition: there[e.variable] for e in model.events}, fired, worlds.out)


def _starts(
    worlds: Worlds, model: Model, there: Mapping[int, int], batch: Batch
) -> dict[Root, int]:
    """Return the worlds in which each root is there: as drawn, or by its prior."""
    names = worlds.network.conditions
    starts = dict(worlds.starts_unseen(batch))
    for node in model.question.out:
        starts.pop(Root(names[node]), None)
    for event in model.events:
        starts[Root(names[event.condition], event.unlisted)] = there[event.variable]
    return starts


def _with_unseen(
    worlds: Worlds,
    model: Model,
    there: Mapping[int, int],
    within: Mapping[int, int],
    batch: Batch,
) -> list[int]:
    """Return the worlds in which each link fires: as drawn, or by its own chance."""
    fired = list(worlds.fires_unseen(batch))
    for link in model.left_out:
        fired[link] = 0
    for link, cause in model.blocked:
        # A cause that is there for certain and still did not make what is ruled out.
        fired[link] &= ~there[model.whole[cause]]
    for link, bits in within.items():
        fired[link] = bits
    return fired


def _fired(
    worlds: Worlds,
    model: Model,
    states: Mapping[int, States],
    there: Mapping[int, int],
    batch: Batch,
) -> dict[int, int]:
    """Return the worlds in which each link of the model fires: as drawn, or by its own chance."""
    everywhere = (1 << batch.size) - 1
    fired = {}
    for taking in model.takings:
        absent = model.sizes[taking.after] - 1
        if absent == 1 and not any(taking.arrivals[:-1]):
            before = 0 if taking.before is None else there[taking.before]
            arrives = everywhere if taking.cause is None else there[taking.cause]
            made = there[taking.after] & ~before
            open_to = arrives & ~before
        else:
            now = states[taking.after]
            was: States | int = absent if taking.before is None else states[taking.before]
            comes = np.array(taking.arrivals, dtype=np.intp)
            arrival = comes[states[taking.cause]] if taking.cause is not None else comes[0]
            made = as_bits(now < was)
            open_to = as_bits(np.broadcast_to(arrival < was, (batch.size,)))
        fired[taking.link] = made | (worlds.link_fires(taking.link, batch) & ~open_to)
    return fired
