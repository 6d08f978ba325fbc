"""What the findings say of everything else: exact probabilities, and worlds drawn to match.

The findings become a model (`belief.steps`) that is summed exactly (`belief.elimination`), for any
number of origins at once. An unlisted cause is a root like any other: every condition that was
found may have been started by something the book does not know. Beside the probabilities stand
worlds drawn from the same sums (`belief.draws`). Questions that no single probability answers
(which origin is behind a finding, what happens again if one is left) are counted in them; what a
verdict hangs on is asked of `belief.figures`.

A finding enters as a pair of likelihoods for each condition it speaks of (`rules.evidence`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import log, sqrt
from typing import NamedTuple

import numpy as np

from headwater.belief.draws import Draws, draw_worlds
from headwater.belief.elimination import TINY, Schedule, Weights, marginals, solve
from headwater.belief.question import Question
from headwater.belief.sizing import build_model
from headwater.belief.steps import SLACK, Model
from headwater.belief.worlds import Bools, Factors, Floats, Root, Worlds, as_columns, spread

SIGMAS = 3.29
"""Standard errors either way of an interval that holds what it should 99.9 % of the time."""
ENOUGH = 256
"""Worlds that must be left, where some had to be sorted out, for probabilities to be trusted."""


@dataclass
class Posterior:
    """Probabilities, and the worlds drawn from them, as bits (`belief.worlds`).

    `valid` are the worlds that count, `count` of them out of `drawn`. `starts` gives the worlds in
    which each root is there, `fired` those in which each link fires. `marginals` has the
    probability of each origin that the findings bear on, `conditions` that of each condition being
    present. With `summed` these are exact sums; else `errors` has their standard errors and
    `bounds` between which the latter surely lie, unless links had to be left out. `exact` is false
    when they had to be, or too few worlds are left to count in. `log_evidence` is the logarithm of
    the findings' probability.

    It belongs to one thread.
    """

    worlds: Worlds
    factors: Factors
    question: Question
    drawn: int
    valid: int
    starts: dict[Root, int]
    fired: list[int]
    marginals: dict[str, float]
    conditions: dict[str, float]
    errors: dict[str, float]
    bounds: dict[str, tuple[float, float]]
    summed: bool
    exact: bool
    log_evidence: float
    model: Model
    plan: Schedule
    _reach: dict[Root, dict[int, int]] = field(default_factory=dict)
    _leading: dict[str, dict[int, int]] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """Return the number of worlds that count."""
        return self.valid.bit_count()

    def probability(self, origin: str) -> float:
        """Return the probability that an origin has occurred; its prior if nothing bears on it."""
        return self.marginals.get(origin, self.worlds.network.priors.get(origin, 0.0))

    @property
    def unlisted(self) -> float:
        """Return the probability that any unlisted cause is there."""
        return self.share(self.starts_unlisted())

    def starts_unlisted(self) -> int:
        """Return the worlds in which any unlisted cause is there."""
        where = 0
        for root, bits in self.starts.items():
            where |= bits if root.unlisted else 0
        return where

    def share(self, bits: int) -> float:
        """Return the share of the worlds that some bits stand for."""
        return (bits & self.valid).bit_count() / self.count

    def truths(self, bits: Sequence[int]) -> Bools:
        """Return some bits as truths: (worlds that count, bits)."""
        columns = as_columns(bits, self.drawn)
        if self.count == self.drawn:
            return columns
        return columns[as_columns([self.valid], self.drawn)[:, 0]]

    @cached_property
    def present(self) -> dict[int, int]:
        """Return in which worlds each condition, by position, is present."""
        places: dict[int, int] = {}
        for root, bits in self.starts.items():
            place = self.worlds.position[root.condition]
            places[place] = places.get(place, 0) | (bits & self.valid)
        return spread(places, self.fired, self.worlds.out)

    @cached_property
    def passing(self) -> dict[tuple[str, str], float]:
        """Return how likely each link is to have led from its cause to its effect."""
        place, met = self.worlds.position, self.present
        return {
            (cause, effect): self.share(self.fired[link] & met.get(place[cause], 0))
            for link, (cause, effect, _) in enumerate(self.worlds.network.links)
        }

    def leading_to(self, condition: str) -> dict[int, int]:
        """Return in which worlds each condition, by position, leads to a given one."""
        if condition not in self._leading:
            start = {self.worlds.position[condition]: self.valid}
            self._leading[condition] = spread(start, self.fired, self.worlds.into)
        return self._leading[condition]

    def reach_of(self, root: Root) -> dict[int, int]:
        """Return in which worlds a root is there and leads to each condition, by position."""
        if root not in self._reach:
            start = {self.worlds.position[root.condition]: self.starts[root] & self.valid}
            self._reach[root] = spread(start, self.fired, self.worlds.out)
        return self._reach[root]

    @cached_property
    def _roots_at(self) -> dict[int, list[tuple[Root, int]]]:
        """Return the roots of each condition, by position, with the worlds in which they occur."""
        found: dict[int, list[tuple[Root, int]]] = {}
        for root, bits in self.starts.items():
            if bits:
                found.setdefault(self.worlds.position[root.condition], []).append((root, bits))
        return found

    def behind(self, condition: str) -> dict[Root, int]:
        """Return the worlds in which each root is there and leads to a condition."""
        leading, roots = self.leading_to(condition), self._roots_at
        found = {
            root: bits & leading[place]
            for place in sorted(leading.keys() & roots.keys())
            for root, bits in roots[place]
        }
        return {root: bits for root, bits in found.items() if bits}

    def explains(self, condition: str) -> dict[Root, float]:
        """Return, for each root, the probability that it is there and leads to the condition."""
        return {root: self.share(bits) for root, bits in self.behind(condition).items()}

    def reached(self, condition: str, listed_only: bool = False) -> float:
        """Return the probability that a condition is present (through listed origins only)."""
        if not listed_only and condition in self.conditions:
            return self.conditions[condition]
        where = 0
        for root, bits in self.behind(condition).items():
            where |= 0 if listed_only and root.unlisted else bits
        return self.share(where)

    def presence(self) -> dict[str, float]:
        """Return the probability of each condition."""
        met = self.present
        return {
            c: self.conditions[c] if c in self.conditions else self.share(met.get(i, 0))
            for c, i in self.worlds.position.items()
        }

    def columns(self, conditions: Iterable[str] | None = None) -> Bools:
        """Return which conditions (all, if none is named) are present: (worlds, conditions)."""
        position = self.worlds.position
        return self.truths(
            [
                self.present.get(position[c], 0)
                for c in (position if conditions is None else conditions)
            ]
        )


def posterior(worlds: Worlds, factors: Factors) -> Posterior:
    """Return what some findings say.

    `factors` maps a condition to (likelihood if present, likelihood if absent).
    """
    return _posterior(worlds, factors, *build_model(Question(worlds, factors)), summing=True)


def occurrences(worlds: Worlds, factors: Factors) -> dict[str, float]:
    """Return the probability of each origin, as `posterior` does, without worlds to count in.

    Worlds are drawn only where something may hold itself up, for then the sums hang on them.
    """
    model, plan = build_model(Question(worlds, factors))
    solved = solve(model.sizes, model.tables, plan)
    draws = draw_worlds(worlds, model, solved) if model.circles else Draws()
    occurred, ruled_out = _origins_in(model)
    chance = chances(model, marginals(solved), draws, occurred.values())
    summed = {c: chance[v].p for c, v in occurred.items()}
    return {**worlds.network.priors, **summed, **ruled_out}


def _origins_in(model: Model) -> tuple[dict[str, int], dict[str, float]]:
    """Return the variables of the origins in a model, and the chances of those ruled out."""
    network = model.question.worlds.network
    names, out = network.conditions, model.question.out
    occurred = {names[e.condition]: e.variable for e in model.events if not e.unlisted}
    return occurred, {names[n]: 0.0 for n in out if names[n] in network.priors}


def posterior_without(found: Posterior, factors: Factors) -> Posterior:
    """Return what other findings say than those of a posterior, to be counted in worlds alone.

    Its model serves again where it can: most of the work is to make one.
    """
    place, was = found.worlds.position, found.factors
    told = (c for c in {**was, **factors} if c in place and was.get(c) != factors.get(c))
    changed = {place[c]: factors.get(c, (1.0, 1.0)) for c in told}
    # What was told both ways alike, and no longer is, has no table to be weighed anew.
    anew = {n: p for n, p in changed.items() if n in found.question.pairs or p[0] != p[1]}
    model = _weighed_anew(found.model, anew)
    if model is None:
        at_its_word = found.question.takes_denials
        model, plan = build_model(Question(found.worlds, factors, at_its_word=at_its_word))
        return _posterior(found.worlds, factors, model, plan, summing=False)
    return _posterior(found.worlds, factors, model, found.plan, summing=False)


def _weighed_anew(model: Model, pairs: Mapping[int, tuple[float, float]]) -> Model | None:
    """Return a model with other likelihoods of some conditions, by position.

    The cause not listed of what is no longer found goes with it. None where a condition has no
    table of its own (it is certain, or ruled out), or would need such a cause now.
    """
    question, priors = model.question, model.question.worlds.network.priors
    if not pairs.keys() <= model.weighing.keys() - question.given - question.out:
        return None
    unlisted = {event.condition: event.variable for event in model.events if event.unlisted}
    names = question.worlds.network.conditions
    tables = list(model.tables)
    for node, (present, absent) in pairs.items():
        if present > absent and node not in unlisted and names[node] not in priors:
            return None
        tables[model.weighing[node]] = _weights(model, model.whole[node], present, absent)
        if present <= absent and node in unlisted:
            source = unlisted[node]
            own = next(at for at, table in enumerate(tables) if table.scope == (source,))
            tables[own] = _weights(model, source, 0.0, 1.0)
    return replace(model, tables=tables)


def _weights(model: Model, variable: int, present: float, absent: float) -> Weights:
    values = np.full(model.sizes[variable], present)
    values[-1] = max(absent, SLACK)
    return Weights((variable,), values)


def drawn_on(found: Posterior, batches: int) -> Posterior:
    """Return the same posterior with more worlds drawn (`draws.BATCHES`), to be counted in."""
    return _posterior(
        found.worlds, found.factors, found.model, found.plan, summing=False, batches=batches
    )


def _posterior(
    worlds: Worlds,
    factors: Factors,
    model: Model,
    plan: Schedule,
    *,
    summing: bool,
    batches: int = 1,
) -> Posterior:
    """Return the posterior of a model. Without `summing` probabilities are counted, not summed."""
    solved = solve(model.sizes, model.tables, plan)
    draws = draw_worlds(worlds, model, solved, batches)
    occurred, ruled_out = _origins_in(model)
    present = {worlds.network.conditions[node]: v for node, v in model.whole.items()}
    if not summing:
        occurred, present = {}, {}
    shares = marginals(solved) if summing else {}
    chance = chances(model, shares, draws, {*occurred.values(), *present.values()})
    return Posterior(
        worlds=worlds,
        factors=factors,
        question=model.question,
        drawn=draws.tried,
        valid=draws.valid,
        starts=draws.starts,
        fired=draws.fired,
        marginals={c: chance[v].p for c, v in occurred.items()} | ruled_out,
        conditions={c: chance[v].p for c, v in present.items()},
        errors={c: chance[v].error for c, v in (occurred | present).items() if chance[v].error},
        bounds={c: chance[v].bounds for c, v in present.items() if chance[v].error},
        summed=not model.circles and not model.left_out,
        exact=trusted(model, draws),
        log_evidence=solved.log_total
        + model.log_constant
        + log(max(draws.rooted, 0.5) / draws.tried),
        model=model,
        plan=plan,
    )


def trusted(model: Model, draws: Draws) -> bool:
    """Say whether probabilities hold: no link was left out, and enough worlds are left."""
    return not model.left_out and draws.rooted >= min(ENOUGH, draws.tried)


class Reckoned(NamedTuple):
    """A probability with its standard error, 0 where it is exact, and surely between `bounds`."""

    p: float
    error: float
    bounds: tuple[float, float]


def chances(
    model: Model, summed: Mapping[int, Floats], draws: Draws, variables: Iterable[int]
) -> dict[int, Reckoned]:
    """Return for some variables the probability of presence.

    `summed` has the sums over each variable's states.
    """
    counted = {v: 1.0 - float(summed[v][-1]) for v in variables}
    if not model.circles:
        return {v: Reckoned(p, 0.0, (p, p)) for v, p in counted.items()}
    rooted = interval(draws.rooted / draws.tried, draws.tried, SIGMAS)[0]
    return {
        v: Reckoned(*_rooted_only(p, draws.there[v], draws), _within(p, rooted))
        for v, p in counted.items()
    }


def _within(p: float, rooted: float) -> tuple[float, float]:
    """Return the bounds of a probability without the worlds in which something holds itself up.

    With them it is p, and at least a share `rooted` are others: of these no more can have it, or
    lack it, than of all together.
    """
    if rooted <= 0.0:
        return 0.0, 1.0
    return max(0.0, 1.0 - (1.0 - p) / rooted), min(1.0, p / rooted)


def interval(p: float, n: int, sigmas: float) -> tuple[float, float]:
    """Return a share counted in n worlds, within so many standard errors (Wilson's interval)."""
    middle = p + sigmas**2 / (2 * n)
    half = sigmas * sqrt(p * (1.0 - p) / n + (sigmas / (2 * n)) ** 2)
    whole = 1.0 + sigmas**2 / n
    return max(0.0, (middle - half) / whole), min(1.0, (middle + half) / whole)


UNSEEN = 4
"""Worlds that hold something up which may have gone undrawn, allowed for in every error."""


def _rooted_only(p: float, there: int, draws: Draws) -> tuple[float, float]:
    """Return a probability without the worlds in which something holds itself up, and its error.

    What is summed, p, counts those, too. The share of the rooted worlds is taken from the draws and
    moved by as much as the draws of all worlds missed p, times the slope of the one on the other (a
    control variate): the fewer worlds are not rooted, the less it errs.
    """
    tried, rooted = draws.tried, max(draws.rooted, 1)
    ratio = tried / rooted
    counted = (there & draws.valid).bit_count()
    held = there.bit_count() - counted
    share = counted / rooted
    smooth = (counted + 0.5) / (rooted + 1.0)  # never quite 0 or 1, for its spread
    slope = min(smooth * (1.0 - smooth) / max(p * (1.0 - p), TINY), ratio)
    moved = share + slope * (p - there.bit_count() / tried)
    off = (counted + 1) * (ratio * (1.0 - share) - slope * (1.0 - p)) ** 2
    off += (rooted - counted) * (slope * p - ratio * share) ** 2
    off += (held + UNSEEN) * (slope * (1.0 - p)) ** 2
    off += (tried - rooted - held + UNSEEN) * (slope * p) ** 2
    return min(max(moved, 0.0), 1.0), sqrt(off) / tried
