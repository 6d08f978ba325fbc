"""Exact sums over products of tables: bucket elimination, marginals, and draws.

A model is a set of variables with few states each and tables over some of them; its weight is the
product of the tables. Variables are summed out one by one, cheapest first; what is kept on the way
gives the marginal of every variable and draws from the whole (Dechter, Bucket elimination,
Artificial Intelligence 113, 1999; Zhang and Poole, JAIR 5, 1996; both cited from memory).

Shapes: a table over variables (a, b, ...) has their sizes as its shape; N draws.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import log, prod

import numpy as np
import numpy.typing as npt

from headwater.belief.worlds import Floats

TINY = 1e-300
FEW_CELLS = 4096
"""Cells of a table below which NumPy works over any axes as fast as it can be done."""
RUN = 64
"""Cells in a row from which on a step from one row to the next no longer counts."""

States = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights over the states of some variables, one axis for each."""

    scope: tuple[int, ...]
    values: Floats


@dataclass(frozen=True, slots=True)
class SumStep:
    """Summing out one variable: what the tables met there span, later variables in order."""

    variable: int
    scope: tuple[int, ...]
    tables: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Schedule:
    """The steps in order, the place of each variable in it, and the cells they take in all.

    A step's tables are counted on: first those of the model, then what each step leaves.
    """

    steps: tuple[SumStep, ...]
    place: tuple[int, ...]
    cells: int


def schedule(
    sizes: Sequence[int], scopes: Sequence[tuple[int, ...]], order: Sequence[int]
) -> Schedule:
    """Return what each step of summing in this order would meet."""
    place = [0] * len(sizes)
    for index, variable in enumerate(order):
        place[variable] = index
    at = place.__getitem__
    waiting: list[list[tuple[int, tuple[int, ...]]]] = [[] for _ in sizes]
    for index, scope in enumerate(scopes):
        waiting[min(scope, key=at)].append((index, scope))
    steps = []
    cells = 0
    for index, variable in enumerate(order):
        met = {variable}
        for _, scope in waiting[variable]:
            met.update(scope)
        ordered = tuple(sorted(met, key=at))
        cells += prod(sizes[v] for v in ordered)
        steps.append(SumStep(variable, ordered, tuple(i for i, _ in waiting[variable])))
        if len(ordered) > 1:
            waiting[ordered[1]].append((len(scopes) + index, ordered[1:]))
    return Schedule(tuple(steps), tuple(place), cells)


@dataclass(frozen=True, slots=True)
class Bucket:
    """One variable, given the later ones of its step: P(variable | rest), variable first."""

    variable: int
    rest: tuple[int, ...]
    given: Floats


@dataclass(frozen=True, slots=True)
class Solved:
    """The buckets in the order of elimination, and the logarithm of the total weight."""

    buckets: tuple[Bucket, ...]
    log_total: float


def solve(sizes: Sequence[int], tables: Sequence[Weights], plan: Schedule) -> Solved:
    """Sum out every variable in order."""
    at = plan.place.__getitem__
    known: list[tuple[tuple[int, ...], Floats]] = []
    for table in tables:
        # Axes run in the order of elimination, so that tables line up without turning.
        scope = table.scope
        by_place = sorted(range(len(scope)), key=lambda axis: at(scope[axis]))
        turned = table.values.transpose(by_place)
        known.append((tuple(scope[axis] for axis in by_place), turned))
    log_total = 0.0
    buckets = []
    for step in plan.steps:
        whole = _product(sizes, step.scope, [known[index] for index in step.tables])
        total = whole.sum(axis=0)
        most = float(total.max())
        log_total += log(most)
        rest = step.scope[1:]
        buckets.append(Bucket(step.variable, rest, whole / np.maximum(total, TINY)))
        known.append((rest, total / most))
    return Solved(tuple(buckets), log_total)


def _product(
    sizes: Sequence[int],
    scope: tuple[int, ...],
    tables: Sequence[tuple[tuple[int, ...], Floats]],
) -> Floats:
    shape = [sizes[v] for v in scope]
    if prod(shape) < FEW_CELLS:
        lined_up = [_lined_up(sizes, scope, own, values) for own, values in tables]
    else:
        tail = _run_of(shape)
        rising = sorted(tables, key=lambda one: one[1].size)
        lined_up = [_spread_out(_lined_up(sizes, scope, *one), shape, tail) for one in rising]
    if not lined_up:
        return np.ones(shape)
    whole = lined_up[0]
    for values in lined_up[1:]:
        whole = whole * values
    return whole if whole.shape == tuple(shape) else np.broadcast_to(whole, shape)


def _lined_up(
    sizes: Sequence[int], scope: tuple[int, ...], own: tuple[int, ...], values: Floats
) -> Floats:
    """Return a table with an axis for each variable of the scope, short where it is not its own."""
    if own == scope:
        return values
    return values.reshape([sizes[v] if v in own else 1 for v in scope])


def _run_of(shape: Sequence[int]) -> int:
    """Return how many of the last axes make a run that is long enough to be worked through."""
    tail = run = 1
    while run < RUN:
        run *= shape[-tail]
        tail += 1
    return tail - 1


def _spread_out(values: Floats, shape: Sequence[int], tail: int) -> Floats:
    """Return a table with all states along the last axes of a product, however short they are."""
    wanted = (*values.shape[:-tail], *shape[-tail:])
    return (
        values if values.shape == wanted else np.ascontiguousarray(np.broadcast_to(values, wanted))
    )


def marginals(solved: Solved) -> dict[int, Floats]:
    """Return the probability of each state of each variable."""
    return {v: both.values.reshape(len(both.values), -1).sum(axis=1) for v, both in joints(solved)}


def joints(solved: Solved) -> Iterator[tuple[int, Weights]]:
    """Yield each variable with the probabilities of its states and those of its step together.

    The last one summed out comes first; a variable's own states are the first axis.
    """
    beliefs: dict[int, Weights] = {}
    for bucket in reversed(solved.buckets):
        belief = bucket.given
        if bucket.rest:
            above = beliefs[bucket.rest[0]]
            away = [axis for axis, v in enumerate(above.scope) if v not in bucket.rest]
            belief = belief * _summed_over(above.values, away)
        beliefs[bucket.variable] = Weights((bucket.variable, *bucket.rest), belief)
        yield bucket.variable, beliefs[bucket.variable]


def _summed_over(values: Floats, axes: Sequence[int]) -> Floats:
    """Return a table summed over some axes, in rising order.

    NumPy walks a table of many short axes in runs as short as the last of them. A large one is
    added up axis by axis, the first one first, which leaves long runs and ever less to add.
    """
    if values.size < FEW_CELLS:
        summed: Floats = values.sum(axis=tuple(axes))
        return summed
    left = list(values.shape)
    for gone, axis in enumerate(axes):
        size = left.pop(axis - gone)
        parts = values.reshape(prod(left[: axis - gone]), size, -1)
        values = sum((parts[:, state] for state in range(1, size)), parts[:, 0])
    return values.reshape(left)


def draw(solved: Solved, uniform: Callable[[int], Floats]) -> dict[int, States]:
    """Return draws from the whole: for each variable the state in each of N draws.

    `uniform` gives N numbers between 0 and 1 for a variable.
    """
    states: dict[int, States] = {}
    for bucket in reversed(solved.buckets):
        size = bucket.given.shape[0]
        given = bucket.given.reshape(size, -1)
        chance = uniform(bucket.variable)
        column: npt.NDArray[np.intp] | None = None
        if bucket.rest:
            column = states[bucket.rest[0]].astype(np.intp)
            for variable, count in zip(bucket.rest[1:], bucket.given.shape[2:], strict=True):
                column *= count
                column += states[variable]
        # 'clip' looks up without a copy; no column is outside.
        steps = [row if column is None else row.take(column, mode="clip") for row in given[:-1]]
        upto = steps[0]
        state = (chance >= upto).view(np.uint8)
        for more in steps[1:]:
            upto = upto + more
            state = state + (chance >= upto)
        states[bucket.variable] = state
    return states
