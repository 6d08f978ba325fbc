"""Figures that something hangs on: a probability and how far it is sure, near a line.

Advice, and the naming of an origin, ask whether a probability lies above a line. It is decided by
a bound where that suffices, else by an exact sum made for the question, else, where a large loop or
too large a model forbids one, by draws whose 99.9 % interval leaves the line out. What is still not
decided is for the caller to take cautiously: a figure has the least and the most it may be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

import numpy as np
import numpy.typing as npt

from headwater.belief.draws import BATCHES, Draws, draw_rooted
from headwater.belief.elimination import Schedule, marginals, solve
from headwater.belief.posterior import (
    SIGMAS,
    Posterior,
    Reckoned,
    chances,
    drawn_on,
    interval,
    posterior,
    trusted,
)
from headwater.belief.question import Question, Reach
from headwater.belief.sizing import Summable, built, tidied, whole_model
from headwater.belief.steps import Model, marked_chance
from headwater.belief.worlds import Factors, Floats, Root, Worlds

FAR = 4.0
"""Standard errors off the line, from which on no sum is made for what the draws have decided."""
TRIES = (1, 4, BATCHES)
"""Batches that are drawn while a line is in doubt: worlds once, 8 times and 32 times."""
TOO_LARGE = 3
"""Models in a row that are too large, after which no other is tried."""
ROUNDS = 60
CELLS_OF_SHARE = 1_500_000
"""Cells up to which a share is summed; beyond, it is drawn."""
NEARLY = 8
"""Times as many cells, from which on no other order is tried: none will have so few."""
CELLS_TOGETHER = 1_500_000
"""Cells up to which several conditions are summed in one model."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A probability: at least `low`, at most `high`, and exact where they are one."""

    low: float
    high: float

    @property
    def exact(self) -> bool:
        """Return whether it is known exactly."""
        return self.low == self.high

    def decides(self, lines: Iterable[float]) -> bool:
        """Say whether it lies on one side of each line."""
        return not any(self.low < line <= self.high for line in lines)


UNKNOWN = Figure(0.0, 1.0)


@dataclass
class Figures:
    """The figures of one posterior, each worked out when asked. It belongs to one thread."""

    posterior: Posterior
    _present: dict[str, Figure] = field(default_factory=dict)
    _more: dict[int, Posterior] = field(default_factory=dict)
    """The same posterior with so many batches drawn, where a figure needed them."""
    _in_doubt: set[str] = field(default_factory=set)
    """Conditions that stayed near a line with all that can be summed or drawn."""

    def glance(self, condition: str, lines: Sequence[float]) -> Figure:
        """Return what is known of a condition's presence without any more sums."""
        if condition in self._present:
            return self._present[condition]
        if condition in self.posterior.conditions:
            return _figure(self.posterior, condition)
        bound = Figure(0.0, float(self._at_most[self.posterior.worlds.position[condition]]))
        return bound if bound.decides(lines) else _drawn(self.posterior, condition)

    def presence_of(self, conditions: Collection[str], lines: Sequence[float]) -> dict[str, Figure]:
        """Return the probability that each condition is present, near some lines."""
        first = {c: self.glance(c, lines) for c in conditions}
        unsure = [c for c, figure in first.items() if not figure.decides(lines)]
        if new := [c for c in unsure if c not in self._in_doubt]:
            for c, figure in self._summed(new, lines).items():  # lines apart need fewer draws
                self._present[c] = _narrower(figure, self._present.get(c, UNKNOWN))
            for c in (c for c in new if c not in self._present):
                self._present[c] = self._counted(c, lines, first[c])
            after = {c: self._present[c] for c in new}
            self._in_doubt |= {c for c, figure in after.items() if not figure.decides(lines)}
        return first | {c: self._present.get(c, first[c]) for c in unsure}

    def _counted(self, condition: str, lines: Sequence[float], known: Figure) -> Figure:
        """Return how probable a condition is, of which no sum is small enough: by more worlds."""
        for batches in TRIES[1:] if self.posterior.exact else ():
            if known.decides(lines):
                break
            if batches not in self._more:
                self._more[batches] = drawn_on(self.posterior, batches)
            known = _narrower(_drawn(self._more[batches], condition), known)
        return known

    def _summed(self, conditions: Sequence[str], lines: Sequence[float]) -> dict[str, Figure]:
        """Return the probability of some conditions by sums that are made for them."""
        worlds = self.posterior.worlds
        return {
            c: figure
            for model, plan in self._models(conditions)
            for c, figure in _figures(worlds, model, plan, conditions, lines, TRIES).items()
        }

    def _models(self, conditions: Sequence[str]) -> Iterator[Summable]:
        """Yield one model of some conditions, if it is small; else one for each.

        Where some of them in a row are too large to be summed whole, the others are not tried.
        """
        worlds, factors = self.posterior.worlds, self.posterior.factors
        together = whole_model(Question(worlds, factors, wanted=conditions))
        if together and (together[1].cells <= CELLS_TOGETHER or len(conditions) == 1):
            yield together
            return
        tries = TOO_LARGE
        for condition in conditions if len(conditions) > 1 else ():
            alone = whole_model(Question(worlds, factors, wanted=[condition]))
            if alone:
                yield alone
            tries = TOO_LARGE if alone else tries - 1
            if not tries:
                return

    def glance_before(self, condition: str) -> Figure:
        """Return about how probable a condition was before anything was found.

        What nothing leads to starts with a chance that is known.
        """
        worlds = self.posterior.worlds
        prior = worlds.network.priors.get(condition)
        if prior is not None and not worlds.into[worlds.position[condition]]:
            return Figure(prior, prior)
        return _drawn(_nothing_found(worlds), condition)

    def before(self, condition: str, line: float) -> Figure:
        """Return the probability that a condition was present before anything was found.

        It is kept for the book, so more is drawn for it than for one case.
        """
        worlds = self.posterior.worlds
        figure = self.glance_before(condition)
        for batches in TRIES:
            if figure.decides([line]):
                break
            key = ("before", condition, batches)
            found = worlds.keep(key, partial(_before, worlds, condition, batches))
            figure = _narrower(found, figure)
        return figure

    @cached_property
    def _at_most(self) -> Floats:
        """Return the most that the probability of each condition, by position, may be."""
        found, worlds = self.posterior, self.posterior.worlds
        known = {worlds.position[c]: _figure(found, c).high for c in found.conditions}
        known |= dict.fromkeys(found.question.out, 0.0)
        return _at_most(worlds, known)


def _before(worlds: Worlds, condition: str, batches: int) -> Figure:
    if made := whole_model(Question(worlds, {}, wanted=[condition])):
        return _figures(worlds, *made, [condition], (), [batches])[condition]
    key = ("before", batches)
    return _drawn(worlds.keep(key, lambda: drawn_on(_nothing_found(worlds), batches)), condition)


def _nothing_found(worlds: Worlds) -> Posterior:
    """Return what holds before anything was found, worked out once for a network."""
    return worlds.keep("before", lambda: posterior(worlds, {}))


def _narrower(one: Figure, other: Figure) -> Figure:
    """Return the surer of two figures."""
    return min(one, other, key=lambda figure: figure.high - figure.low)


def _figures(
    worlds: Worlds,
    model: Model,
    plan: Schedule,
    conditions: Iterable[str],
    lines: Sequence[float],
    tries: Sequence[int],
) -> dict[str, Figure]:
    """Return the figures of those conditions that are in a model.

    `tries` are the batches to draw, more and more while a line is near.
    """
    place = worlds.position
    variables = {c: model.whole[place[c]] for c in conditions if place[c] in model.whole}
    solved = solve(model.sizes, model.tables, plan)
    summed = marginals(solved)
    found: dict[str, Figure] = {}
    for batches in tries if model.circles else (0,):
        draws = draw_rooted(worlds, model, solved, batches) if batches else Draws()
        if model.left_out or (batches and not trusted(model, draws)):
            return dict.fromkeys(variables, UNKNOWN)
        chance = chances(model, summed, draws, variables.values())
        found = {c: _around(chance[v]) for c, v in variables.items()}
        if all(figure.decides(lines) for figure in found.values()):
            break
    return found


def _drawn(found: Posterior, condition: str) -> Figure:
    """Return in what share of the worlds a condition is present, with its interval."""
    bits = found.present.get(found.worlds.position[condition], 0)
    return tallied(found.share(bits), found.count, FAR) if found.exact else UNKNOWN


def exact_share(
    worlds: Worlds, factors: Factors, roots: Collection[Root], condition: str
) -> float | None:
    """Return the probability that some roots are there and lead to a condition, by one sum.

    None where something may hold itself up round a loop, or the sum is too large to be quick.
    """
    question = Question(worlds, factors, reach=Reach(frozenset(roots), condition))
    if question.circles:
        return None
    made = built(question)
    if made and CELLS_OF_SHARE < made[1].cells <= NEARLY * CELLS_OF_SHARE:
        made = tidied(made, enough=CELLS_OF_SHARE)
    if not made or made[1].cells > CELLS_OF_SHARE:
        return None
    model, plan = made
    shares = marginals(solve(model.sizes, model.tables, plan))
    node = worlds.position[condition]
    return marked_chance(model, shares[model.whole[node]], node)


def tallied(p: float, n: int, sigmas: float) -> Figure:
    """Return a share counted in n worlds as a figure, within so many standard errors."""
    return Figure(*interval(p, n, sigmas))


def _figure(found: Posterior, condition: str) -> Figure:
    """Return the probability of a condition that is in the sums of a posterior."""
    if not found.exact:
        return UNKNOWN
    p, error = found.conditions[condition], found.errors.get(condition, 0.0)
    return _around(Reckoned(p, error, found.bounds.get(condition, (p, p))))


def _around(chance: Reckoned) -> Figure:
    """Return a probability as a figure."""
    least, most = chance.bounds
    low = max(least, chance.p - SIGMAS * chance.error)
    high = min(most, chance.p + SIGMAS * chance.error)
    return Figure(low, high) if low <= high else Figure(least, most)


@dataclass(frozen=True, slots=True)
class _Links:
    """The links of a network side by side, and its priors by position."""

    causes: npt.NDArray[np.intp]
    effects: npt.NDArray[np.intp]
    chances: Floats
    priors: Floats


def _links(worlds: Worlds) -> _Links:
    network, place = worlds.network, worlds.position
    priors = np.zeros(len(place))
    for origin, prior in network.priors.items():
        priors[place[origin]] = prior
    return _Links(
        np.array([place[cause] for cause, _, _ in network.links], dtype=np.intp),
        np.array([place[effect] for _, effect, _ in network.links], dtype=np.intp),
        np.array([p for _, _, p in network.links]),
        priors,
    )


def _at_most(worlds: Worlds, known: dict[int, float]) -> Floats:
    """Return what the probability of each condition may be at most, given some of them.

    No event is likelier than its ways together (Boole's inequality). Each round starts from such
    bounds and ends with such bounds, so that it may stop at any.
    """
    links = worlds.keep("links", lambda: _links(worlds))
    places = np.array(list(known), dtype=np.intp)
    values = np.array(list(known.values()))
    most = np.ones(len(links.priors))
    for _ in range(ROUNDS):
        ways = links.chances * most[links.causes]
        after = links.priors + np.bincount(links.effects, ways, minlength=len(most))
        after = np.minimum(after, most)
        after[places] = values
        if np.abs(after - most).max(initial=0.0) < 1e-6:
            break
        most = after
    return most
