"""How often each figure of a network was put to the test in a case, and held: in expectation.

An origin's chance is put to the test in every case; a link's wherever its cause is there, seen or
not. What the findings leave unsaid is summed over, by the same tables that give the posterior. So
a case that says nothing of a figure bears it out exactly as it stands, and moves nothing. On a loop
round several close parts, and where links had to be left out, these are the sums that belief has
before it draws.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from headwater.belief import states
from headwater.belief.elimination import Solved, Weights, joints, solve
from headwater.belief.question import Question
from headwater.belief.sizing import build_model
from headwater.belief.steps import Model, Taking
from headwater.belief.worlds import Factors, Floats, Worlds

Figure = tuple[str, ...]
"""What a figure is of: an origin, (id,), or a link, (cause, effect)."""


class Tried(NamedTuple):
    """Expected numbers in one case: that a figure was put to the test, and that it held."""

    times: float
    held: float


@dataclass(frozen=True, slots=True)
class Expected:
    """What the findings of a case say of the figures, and the logarithm of their probability.

    A figure that is not in `counts` has nothing to do with the findings.
    """

    counts: dict[Figure, Tried]
    log_evidence: float


def expected(worlds: Worlds, factors: Factors) -> Expected:
    """Return the expected counts of a case, for likelihoods (if present, if absent)."""
    model, plan = build_model(Question(worlds, factors))
    solved = solve(model.sizes, model.tables, plan)
    counts = dict(_counted(model, solved, plan.place))
    return Expected(counts, solved.log_total + model.log_constant)


def _counted(
    model: Model, solved: Solved, place: tuple[int, ...]
) -> Iterator[tuple[Figure, Tried]]:
    network, question = model.question.worlds.network, model.question
    spans: dict[int, list[Taking]] = {}
    for taking in model.takings:
        spans.setdefault(_first(taking, place), []).append(taking)
    absent: dict[int, float] = {}
    links: dict[int, Tried] = {}
    for variable, both in joints(solved):
        own = both.values.reshape(len(both.values), -1).sum(axis=1)
        absent[variable] = float(own[-1])
        for taking in spans.get(variable, ()):
            links[taking.link] = _taken(model, taking, both)
    for link, cause in model.blocked:  # what is ruled out was not made
        there = 1.0 - absent[model.whole[cause]] if cause not in question.given else 1.0
        links[link] = Tried(there, 0.0)
    for event in model.events:
        if not event.unlisted:
            name = network.conditions[event.condition]
            yield (name,), Tried(1.0, 1.0 - absent[event.variable])
    for node in question.out:
        if (name := network.conditions[node]) in network.priors:
            yield (name,), Tried(1.0, 0.0)
    for link, tried in links.items():
        yield network.links[link][:2], tried


def _spanned(taking: Taking) -> tuple[int, ...]:
    """Return the variables of a link's table, in the order of its axes."""
    every = (taking.before, taking.cause, taking.after)
    return tuple(v for v in every if v is not None)


def _first(taking: Taking, place: tuple[int, ...]) -> int:
    """Return the variable in whose step the table of a link is summed."""
    return min(_spanned(taking), key=place.__getitem__)


def _taken(model: Model, taking: Taking, both: Weights) -> Tried:
    """Return how often a link's cause was there, and how often the link fired then.

    Where its effect was there as well, or better, by what came before, firing left no sign: of
    such cases it fired in its own share.
    """
    shape = model.shapes[taking.after]
    p = model.question.worlds.network.links[taking.link][2]
    chances = states.taking(shape, taking.arrivals, p, taking.before is not None)
    together, size = states.best(shape), len(states.states_of(shape))
    befores = range(size) if taking.before is not None else (size - 1,)
    fires = np.zeros(chances.shape)
    for row, before in enumerate(befores):
        for column, arrival in enumerate(taking.arrivals):
            fires[row, column, together[before][arrival]] = p
    share = np.divide(fires, chances, out=np.zeros_like(fires), where=chances > 0.0)
    met = _over(both, _spanned(taking)).reshape(chances.shape)
    if taking.cause is not None:
        met, share = met[:, :-1], share[:, :-1]  # the last state of a cause is its absence
    return Tried(float(met.sum()), float((met * share).sum()))


def _over(both: Weights, wanted: tuple[int, ...]) -> Floats:
    """Return the probabilities of some variables' states together, one axis for each in order."""
    away = tuple(axis for axis, v in enumerate(both.scope) if v not in wanted)
    values = both.values.sum(axis=away) if away else both.values
    left = [v for v in both.scope if v in wanted]
    return values.transpose([left.index(v) for v in wanted])
