"""The states of a condition, best first: after how many turns it is there, and from whom.

On a loop, what only holds itself up must not count. A chain round a loop passes links that lead
back (`belief.layout`); each pass is a turn. The state of a condition is the fewest turns of any
chain to it, so that a chain from a source is always told from one that goes round, and a condition
without such a chain is absent. Off a loop there are two states, there and absent.

Where it is asked whether some sources lead to a condition, the state has a second number: the
fewest turns of a chain from them. What brings a condition about by several causes is the best of
each number (the algebra of min).

Tables here are shared between models, so they are read-only.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from headwater.belief.worlds import Floats


class Shape(NamedTuple):
    """What states a condition has: turns from 0 up to `most`; `marked`, if it is asked from whom.

    The last state is absent, and only that.
    """

    most: int = 0
    marked: bool = False


@lru_cache(maxsize=256)
def states_of(shape: Shape) -> tuple[tuple[int, int], ...]:
    """Return the states as (turns of any chain, of one from the marked); none is `most` + 1."""
    none = shape.most + 1
    if not shape.marked:
        return tuple((turns, none) for turns in range(none + 1))
    there = [(any_, own) for any_ in range(none) for own in range(any_, none + 1)]
    return (*there, (none, none))


@lru_cache(maxsize=256)
def places_of(shape: Shape) -> dict[tuple[int, int], int]:
    """Return the place of each state. Not to be changed."""
    return {state: place for place, state in enumerate(states_of(shape))}


@lru_cache(maxsize=1024)
def best(shape: Shape) -> tuple[tuple[int, ...], ...]:
    """Return the place of the state that two states make together."""
    place = places_of(shape)
    states = states_of(shape)
    return tuple(tuple(place[min(a, c), min(b, d)] for c, d in states) for a, b in states)


@lru_cache(maxsize=4096)
def arrivals(cause: Shape, effect: Shape, turn: int | None) -> tuple[int, ...]:
    """Return for each state of a cause the state in which its link, fired, makes its effect.

    `turn` says how many turns the link adds within a loop; None if the two are on no loop together,
    and turns start anew.
    """
    far = cause.most + 1
    none = effect.most + 1

    def after(turns: int) -> int:
        if turns == far:
            return none
        return 0 if turn is None else min(turns + turn, none)

    place = places_of(effect)
    return tuple(
        place[after(any_), after(own) if effect.marked else none] for any_, own in states_of(cause)
    )


@lru_cache(maxsize=4096)
def taking(shape: Shape, comes: tuple[int, ...], p: float, after_others: bool) -> Floats:
    """Return P(state after | state before, cause): (states or 1, causes, states)."""
    together = best(shape)
    size = len(together)
    befores = range(size) if after_others else (size - 1,)
    values = np.zeros((len(befores), len(comes), size))
    for row, before in enumerate(befores):
        for column, arrival in enumerate(comes):
            values[row, column, together[before][arrival]] += p
            values[row, column, before] += 1.0 - p
    return _fixed(values)


@lru_cache(maxsize=256)
def joining(shape: Shape) -> Floats:
    """Return that the third of three states is what the first two make together."""
    together = best(shape)
    size = len(together)
    values = np.zeros((size, size, size))
    for one in range(size):
        for other in range(size):
            values[one, other, together[one][other]] = 1.0
    return _fixed(values)


def _fixed(values: Floats) -> Floats:
    values.flags.writeable = False
    return values
