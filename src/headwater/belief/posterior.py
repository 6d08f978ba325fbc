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

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import zip_longest
from math import log
from typing import TypeVar

import numpy as np

from headwater.belief.elimination import Solved, States, draw, marginals, solve
from headwater.belief.steps import Model, build_model
from headwater.belief.worlds import Bools, Factors, Floats, Worlds, as_bits, as_columns, spread

K = TypeVar("K", bound=Hashable)

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

    `valid` are the worlds that count, `count` of them out of `drawn`. `starts` gives the worlds in
    which each source is there, `fired` those in which each link fires. `marginals` has the
    probability of each origin that the findings bear on, `conditions` that of each condition being
    present. `exact` is false when links had to be left out of the sums, or too few worlds are left
    to count in. `log_evidence` is the logarithm of the findings' probability.
    """

    worlds: Worlds
    drawn: int
    valid: int
    starts: dict[Source, int]
    fired: list[int]
    marginals: dict[str, float]
    conditions: dict[str, float]
    exact: bool
    log_evidence: float
    _present: dict[int, int] = field(default_factory=dict)
    _reach: dict[Source, dict[int, int]] = field(default_factory=dict)
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
        for source, bits in self.starts.items():
            where |= bits if source.unlisted else 0
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

    @property
    def present(self) -> dict[int, int]:
        """Return in which worlds each condition, by position, is present."""
        if not self._present:
            self._present |= _spread(self.worlds, self.starts, self.fired, self.valid)
        return self._present

    def leading_to(self, condition: str) -> dict[int, int]:
        """Return in which worlds each condition, by position, leads to a given one."""
        if condition not in self._leading:
            start = {self.worlds.position[condition]: self.valid}
            self._leading[condition] = spread(start, self.fired, self.worlds.into)
        return self._leading[condition]

    def reach_of(self, source: Source) -> dict[int, int]:
        """Return in which worlds a source is there and leads to each condition, by position."""
        if source not in self._reach:
            start = {self.worlds.position[source.condition]: self.starts[source] & self.valid}
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
    model, plan = build_model(worlds, factors)
    solved = solve(model.sizes, model.tables, plan)
    names = worlds.network.conditions
    draws = _draws(worlds, model, solved)
    occurred = {names[e.condition]: e.variable for e in model.events if not e.unlisted}
    ruled_out = {names[n]: 0.0 for n in model.out if names[n] in worlds.network.priors}
    if model.circles:
        valid, count = draws.valid, draws.valid.bit_count()
        chance = {
            v: (draws.there[v] & valid).bit_count() / count
            for v in (*occurred.values(), *model.whole.values())
        }
    else:
        chance = {v: 1.0 - float(shares[-1]) for v, shares in marginals(solved).items()}
    return Posterior(
        worlds=worlds,
        drawn=draws.tried,
        valid=draws.valid,
        starts=draws.starts,
        fired=draws.fired,
        marginals={c: chance[v] for c, v in occurred.items()} | ruled_out,
        conditions={names[node]: chance[v] for node, v in model.whole.items()},
        exact=not model.left_out and draws.rooted >= min(ENOUGH, draws.tried),
        log_evidence=solved.log_total
        + model.log_constant
        + log(max(draws.rooted, 0.5) / draws.tried),
    )


@dataclass(slots=True)
class _Draws:
    """Worlds drawn so far: in which each variable's condition is there, sources and links too.

    `rooted` of `tried` have nothing that holds itself up; those are valid, or all if there is none.
    """

    there: dict[int, int] = field(default_factory=dict)
    starts: dict[Source, int] = field(default_factory=dict)
    fired: list[int] = field(default_factory=list)
    valid: int = 0
    rooted: int = 0
    tried: int = 0


def _draws(worlds: Worlds, model: Model, solved: Solved) -> _Draws:
    """Return worlds drawn from the model, batch after batch until enough of them are rooted."""
    draws = _Draws()
    for batch in range(BATCHES):
        states = draw(solved, partial(_uniform, worlds, model, batch))
        there = {v: as_bits(state < model.sizes[v] - 1) for v, state in states.items()}
        starts = _starts(worlds, model, there)
        fired = _fired(worlds, model, states, there)
        valid = (1 << worlds.count) - 1
        if model.circles:
            met = _rooted(worlds, model, there, fired)
            for node in model.circles:
                valid &= met.get(node, 0) | ~there[model.whole[node]]
        draws = _Draws(
            _behind(draws.there, there, draws.tried),
            _behind(draws.starts, starts, draws.tried),
            [old | new << draws.tried for old, new in zip_longest(draws.fired, fired, fillvalue=0)],
            draws.valid | valid << draws.tried,
            draws.rooted + valid.bit_count(),
            draws.tried + worlds.count,
        )
        if draws.rooted >= worlds.count // 4:
            return draws
    draws.valid = draws.valid or (1 << draws.tried) - 1
    return draws


def _behind(before: Mapping[K, int], after: Mapping[K, int], drawn: int) -> dict[K, int]:
    """Return the bits of one batch behind those of the batches before it."""
    if not drawn:
        return dict(after)
    return {key: before[key] | bits << drawn for key, bits in after.items()}


def _uniform(worlds: Worlds, model: Model, batch: int, variable: int) -> Floats:
    return worlds.uniform(*model.keys[variable], batch)


def _spread(
    worlds: Worlds, starts: Mapping[Source, int], fired: Sequence[int], valid: int
) -> dict[int, int]:
    """Return the worlds in which each condition is present."""
    places: dict[int, int] = {}
    for source, bits in starts.items():
        place = worlds.position[source.condition]
        places[place] = places.get(place, 0) | (bits & valid)
    return spread(places, fired, worlds.out)


def _rooted(
    worlds: Worlds, model: Model, there: Mapping[int, int], fired: Sequence[int]
) -> dict[int, int]:
    """Return where each condition of the model is met when walking from the sources alone."""
    within = [0] * len(fired)
    for taking in model.takings:
        within[taking.link] = fired[taking.link]
    return spread({e.condition: there[e.variable] for e in model.events}, within, worlds.out)


def _starts(worlds: Worlds, model: Model, there: Mapping[int, int]) -> dict[Source, int]:
    """Return the worlds in which each source is there: as drawn, or by its prior."""
    names = worlds.network.conditions
    drawn = {e.condition: there[e.variable] for e in model.events}
    starts = {
        Source(cid): drawn[node] if node in drawn else worlds.starts_unseen(node)
        for cid, node in ((c, worlds.position[c]) for c in worlds.network.priors)
        if node not in model.out
    }
    unlisted = [e.condition for e in model.events if e.unlisted]
    return starts | {Source(names[node], unlisted=True): drawn[node] for node in unlisted}


def _fired(
    worlds: Worlds, model: Model, states: Mapping[int, States], there: Mapping[int, int]
) -> list[int]:
    """Return the worlds in which each link fires: as drawn, or by its own chance."""
    everywhere = (1 << worlds.count) - 1
    fired = worlds.fires_unseen()
    for link in model.left_out:
        fired[link] = 0
    for link, cause in model.blocked:
        # A cause that is there for certain and still did not make what is ruled out.
        fired[link] &= ~there[model.whole[cause]]
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
            open_to = as_bits(np.broadcast_to(arrival < was, (worlds.count,)))
        fired[taking.link] = made | (fired[taking.link] & ~open_to)
    return fired
