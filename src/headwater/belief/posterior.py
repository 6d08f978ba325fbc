"""What the findings say of everything else: exact probabilities, and worlds drawn to match.

The findings become a model (`belief.steps`) that is summed exactly (`belief.elimination`), for any
number of origins at once. An unlisted cause is a source like any other: every condition that was
found may have been started by something the book does not know. Beside the probabilities stand
worlds drawn from the same sums: which sources are there, which links fired. Questions that no
single probability answers (which origin is behind a finding, what happens again if one is left) are
counted in them.

A finding enters as a pair of likelihoods for each condition it speaks of (`rules.evidence`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from math import log

import numpy as np

from headwater.belief.elimination import Solved, States, draw, marginals, solve
from headwater.belief.steps import Model, build_model
from headwater.belief.worlds import Bools, Factors, Floats, Worlds, as_bits, as_columns, spread

BATCHES = 8
ENOUGH = 256
"""Worlds that must be left, where some had to be sorted out, for probabilities to be trusted."""


@dataclass(frozen=True, slots=True)
class Source:
    """Something that can start a chain: an origin, or an unlisted cause of a condition."""

    condition: str
    unlisted: bool = False


@dataclass(slots=True)
class Posterior:
    """Probabilities, and the worlds drawn from them, as bits (`belief.worlds`).

    `count` worlds were drawn. `starts` gives those in which each source is there, `fired` those in
    which each link fires, `present` those in which each condition, by position, is present.
    `marginals` has the probability of each origin that the findings bear on, `conditions` that of
    each condition being present. `exact` is false when links had to be left out of the sums, or too
    few worlds were left to count in. `log_evidence` is the logarithm of the findings' probability.
    """

    worlds: Worlds
    count: int
    starts: dict[Source, int]
    fired: list[int]
    present: dict[int, int]
    marginals: dict[str, float]
    conditions: dict[str, float]
    exact: bool
    log_evidence: float
    _reach: dict[Source, dict[int, int]] = field(default_factory=dict)
    _leading: dict[str, dict[int, int]] = field(default_factory=dict)

    def probability(self, origin: str) -> float:
        """Return the probability that an origin has occurred; its prior if nothing bears on it."""
        return self.marginals.get(origin, self.worlds.network.priors.get(origin, 0.0))

    @property
    def unlisted(self) -> float:
        """Return the probability that any unlisted cause is there."""
        where = 0
        for source, bits in self.starts.items():
            where |= bits if source.unlisted else 0
        return self.share(where)

    def share(self, bits: int) -> float:
        """Return the share of the worlds that some bits stand for."""
        return bits.bit_count() / self.count

    def leading_to(self, condition: str) -> dict[int, int]:
        """Return in which worlds each condition, by position, leads to a given one."""
        if condition not in self._leading:
            start = {self.worlds.position[condition]: (1 << self.count) - 1}
            self._leading[condition] = spread(start, self.fired, self.worlds.into)
        return self._leading[condition]

    def reach_of(self, source: Source) -> dict[int, int]:
        """Return in which worlds a source is there and leads to each condition, by position."""
        if source not in self._reach:
            start = {self.worlds.position[source.condition]: self.starts[source]}
            self._reach[source] = spread(start, self.fired, self.worlds.out)
        return self._reach[source]

    def behind(self, condition: str) -> dict[Source, int]:
        """Return the worlds in which each source is there and leads to a condition."""
        leading = self.leading_to(condition)
        found = {}
        for source, bits in self.starts.items():
            where = bits & leading.get(self.worlds.position[source.condition], 0)
            if where:
                found[source] = where
        return found

    def explains(self, condition: str) -> dict[Source, float]:
        """Return, for each source, the probability that it is there and leads to the condition."""
        return {source: self.share(bits) for source, bits in self.behind(condition).items()}

    def reached(self, condition: str, listed_only: bool = False) -> float:
        """Return the probability that a condition is present (through listed origins only)."""
        if not listed_only and condition in self.conditions:
            return self.conditions[condition]
        where = 0
        for source, bits in self.behind(condition).items():
            where |= 0 if listed_only and source.unlisted else bits
        return self.share(where)

    def presence(self) -> dict[str, float]:
        """Return the probability of each condition."""
        met = self.present
        return {
            c: self.conditions.get(c, self.share(met.get(i, 0)))
            for c, i in self.worlds.position.items()
        }

    def columns(self) -> Bools:
        """Return which conditions are present: (worlds, conditions)."""
        bits = [self.present.get(i, 0) for i in range(len(self.worlds.position))]
        return as_columns(bits, self.count)


def posterior(worlds: Worlds, factors: Factors) -> Posterior:
    """Return what some findings say.

    `factors` maps a condition to (likelihood if present, likelihood if absent).
    """
    model, plan = build_model(worlds, factors)
    solved = solve(model.sizes, model.tables, plan)
    states, tried = _drawn(worlds, model, solved)
    count = len(states[next(iter(states))]) if states else worlds.count
    there = _there(model, states)
    starts = _starts(worlds, model, there, count)
    fired = _fired(worlds, model, states, there, count)
    present = _spread(worlds, starts, fired)
    names = worlds.network.conditions
    occurred = {names[e.condition]: e.variable for e in model.events if not e.unlisted}
    whole = {names[node]: variable for node, variable in model.whole.items()}
    if model.circles:
        chance = {v: bits.bit_count() / count for v, bits in there.items()}
    else:
        chance = {v: 1.0 - float(shares[-1]) for v, shares in marginals(solved).items()}
    ruled_out = {names[n]: 0.0 for n in model.out if names[n] in worlds.network.priors}
    return Posterior(
        worlds=worlds,
        count=count,
        starts=starts,
        fired=fired,
        present=present,
        marginals={c: chance[v] for c, v in occurred.items()} | ruled_out,
        conditions={c: chance[v] for c, v in whole.items()},
        exact=not model.thinned and count >= ENOUGH,
        log_evidence=solved.log_total + model.log_constant + log(count / tried),
    )


def _drawn(worlds: Worlds, model: Model, solved: Solved) -> tuple[dict[int, States], int]:
    """Return draws in which nothing holds itself up, and how many were tried to get them."""
    kept: list[dict[int, States]] = []
    found = tried = 0
    for batch in range(BATCHES):
        states = draw(solved, partial(_uniform, worlds, model, batch))
        tried += worlds.count
        if not model.circles:
            return states, tried
        there = _there(model, states)
        starts = _starts(worlds, model, there, worlds.count)
        fired = _fired(worlds, model, states, there, worlds.count)
        met = _spread(worlds, starts, fired)
        floating = 0
        for node in model.circles:
            floating |= there[model.whole[node]] & ~met.get(node, 0)
        rooted = ~as_columns([floating], worlds.count)[:, 0]
        kept.append({v: state[rooted] for v, state in states.items()})
        found += int(rooted.sum())
        if found >= worlds.count // 4:
            break
    joined = {v: np.concatenate([states[v] for states in kept]) for v in kept[0]}
    return {v: state[: worlds.count] for v, state in joined.items()}, tried


def _uniform(worlds: Worlds, model: Model, batch: int, variable: int) -> Floats:
    return worlds.uniform(*model.keys[variable], batch)


def _there(model: Model, states: Mapping[int, States]) -> dict[int, int]:
    """Return for each variable in which draws what it stands for is present."""
    return {v: as_bits(state < model.sizes[v] - 1) for v, state in states.items()}


def _spread(worlds: Worlds, starts: Mapping[Source, int], fired: Sequence[int]) -> dict[int, int]:
    """Return the worlds in which each condition is present."""
    places: dict[int, int] = {}
    for source, bits in starts.items():
        place = worlds.position[source.condition]
        places[place] = places.get(place, 0) | bits
    return spread(places, fired, worlds.out)


def _starts(
    worlds: Worlds, model: Model, there: Mapping[int, int], count: int
) -> dict[Source, int]:
    """Return the worlds in which each source is there: as drawn, or by its prior."""
    names = worlds.network.conditions
    drawn = {e.condition: there[e.variable] for e in model.events}
    some = (1 << count) - 1
    starts = {
        Source(cid): drawn[node] if node in drawn else worlds.starts_unseen(node) & some
        for cid, node in ((c, worlds.position[c]) for c in worlds.network.priors)
        if node not in model.out
    }
    unlisted = [e.condition for e in model.events if e.unlisted]
    return starts | {Source(names[node], unlisted=True): drawn[node] for node in unlisted}


def _fired(
    worlds: Worlds,
    model: Model,
    states: Mapping[int, States],
    there: Mapping[int, int],
    count: int,
) -> list[int]:
    """Return the worlds in which each link fires: as drawn, or by its own chance."""
    some = (1 << count) - 1
    fired = [worlds.fires_unseen(link) & some for link in range(len(worlds.network.links))]
    for link, cause in model.blocked:
        # A cause that is there for certain and still did not make what is ruled out.
        fired[link] &= ~there[model.whole[cause]]
    for taking in model.takings:
        size = model.sizes[taking.after]
        if size == 2:
            before = 0 if taking.before is None else there[taking.before]
            arrives = some if taking.cause is None else there[taking.cause]
            made = there[taking.after] & ~before
            open_to = arrives & ~before
        else:
            now = states[taking.after]
            was: States | int = size - 1 if taking.before is None else states[taking.before]
            comes = np.array(taking.arrivals, dtype=np.intp)
            arrival = comes[states[taking.cause]] if taking.cause is not None else comes[0]
            made = as_bits(now < was)
            open_to = as_bits(np.broadcast_to(arrival < was, (count,)))
        fired[taking.link] = made | (fired[taking.link] & ~open_to)
    return fired
