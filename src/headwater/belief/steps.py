"""The findings of a case as tables over what may be present: the model that is summed exactly.

A condition takes its causes in one after the other; what it is after each is a variable, so that no
table spans more than three, and causes that are summed out together are taken in together (after
Zhang and Poole, 'Exploiting causal independence', JAIR 5, 1996; cited from memory). A variable has
the states of its condition (`belief.states`): small loops and pairs of conditions that make each
other are summed by turns, so that only chains that start at a source count (the least fixed point).
What holds itself up round a larger loop is left to be sorted out of the draws (`Model.circles`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import count
from math import log

import numpy as np

from headwater.belief import states
from headwater.belief.elimination import Weights
from headwater.belief.orders import SumOrder
from headwater.belief.question import Question
from headwater.belief.states import Shape
from headwater.belief.worlds import Floats, Root

SLACK = 1e-9
"""What is left to a contradiction, so that one never makes everything impossible."""

Key = tuple[str, ...]
"""Names the random numbers of a variable: what it is, and the ids that it is about."""


@dataclass(frozen=True, slots=True)
class Event:
    """A source of a condition: an origin of its own, or an unlisted cause. `variable` says if."""

    condition: int
    variable: int
    unlisted: bool


@dataclass(frozen=True, slots=True)
class Taking:
    """One link taken in: the condition `before` and `after` it (variables; None is absent).

    `cause` is the variable of the cause, None where the cause is there for certain; `arrivals`
    gives for each of its states the state that the link, fired, makes.
    """

    link: int
    cause: int | None
    before: int | None
    after: int
    arrivals: tuple[int, ...]


@dataclass(slots=True)
class Model:
    """Tables over variables, in which order to sum them, and what each variable stands for.

    `shapes` are those of the variables' conditions, `sizes` how many states these have. `keys`
    names the random numbers of each variable; `whole` gives the variable of each condition in the
    model, `weighing` the table of what the findings say of it; `blocked` the links, with their
    causes, into what is ruled out; `left_out` the links without which the model had to do to be
    small enough.
    """

    question: Question
    shapes: list[Shape] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    tables: list[Weights] = field(default_factory=list)
    order: list[int] = field(default_factory=list)
    keys: list[Key] = field(default_factory=list)
    whole: dict[int, int] = field(default_factory=dict)
    events: list[Event] = field(default_factory=list)
    takings: list[Taking] = field(default_factory=list)
    blocked: list[tuple[int, int]] = field(default_factory=list)
    left_out: list[int] = field(default_factory=list)
    log_constant: float = 0.0
    weighing: dict[int, int] = field(default_factory=dict)

    @property
    def circles(self) -> frozenset[int]:
        """Return the conditions where something may hold itself up."""
        return self.question.circles


@dataclass(slots=True)
class _Sum:
    """What some tables come to once summed: which conditions it ties, what it gives to others.

    A condition that is given something has one variable for it.
    """

    plain: set[int] = field(default_factory=set)
    gives: dict[int, int] = field(default_factory=dict)


def make_model(question: Question, order: SumOrder, least: float = 0.0) -> Model:
    """Return the model of a question for an order of summing.

    Links that fire less often than `least` are left out.
    """
    return _Builder(question, order, least).model


class _Builder:
    """Follows the order of summing and joins the causes of a condition as they meet."""

    def __init__(self, question: Question, order: SumOrder, least: float) -> None:
        self.question = question
        self.network = question.worlds.network
        self.model = Model(question)
        self.numbers = count()
        self.joins = dict.fromkeys(question.asked, 0)
        self.sums: dict[int, _Sum] = {}
        self.tied: dict[int, set[int]] = {node: set() for node in question.asked}
        self.given_to: dict[int, set[int]] = {node: set() for node in question.asked}
        self.left = set(question.asked)
        self.closed: set[int] = set()
        for node in question.asked:
            self.model.whole[node] = self._variable(node, "condition", self._name(node))
        self._keep_links(least)
        for itself, node in order:
            if node not in self.closed:
                self._bring_together(node)
            if node in self.left and (itself or not self.effects[node]):
                self._sum_out(node)
        for node, pair in question.pairs.items():
            if node in question.out:
                self._rule_out(node, pair)
            else:
                self.model.weighing[node] = len(self.model.tables)
                self._weigh(self.model.whole[node], pair[0], max(pair[1], SLACK))

    def _keep_links(self, least: float) -> None:
        links = self.network.links
        self.causes = {
            node: [end for end in causes if links[end[0]][2] >= least]
            for node, causes in self.question.causes.items()
        }
        self.effects: dict[int, list[tuple[int, int]]] = {n: [] for n in self.question.asked}
        for node, causes in self.question.causes.items():
            for link, cause in causes:
                if links[link][2] < least:
                    self.model.left_out.append(link)
                elif cause not in self.question.given:
                    self.effects[cause].append((link, node))

    def _name(self, node: int) -> str:
        return self.network.conditions[node]

    def _variable(self, node: int, *key: str) -> int:
        shape = self.question.shape(node)
        self.model.shapes.append(shape)
        self.model.sizes.append(len(states.states_of(shape)))
        self.model.keys.append(key)
        return len(self.model.sizes) - 1

    def _table(self, scope: tuple[int | None, ...], values: Floats) -> None:
        some = tuple(v for v in scope if v is not None)
        shape = [self.model.sizes[v] for v in some]
        self.model.tables.append(Weights(some, values.reshape(shape)))

    def _weigh(self, variable: int, present: float, absent: float) -> None:
        """Add the likelihoods of a variable being present, in whatever turn, and absent."""
        values = np.full(self.model.sizes[variable], present)
        values[-1] = absent
        self._table((variable,), values)

    def _met(self, numbers: Iterable[int]) -> _Sum:
        """Return some of the sums as one, and forget them."""
        met = _Sum()
        for number in sorted(numbers):
            one = self.sums.pop(number)
            for node in one.plain:
                self.tied[node].discard(number)
            for other in one.gives:
                self.given_to[other].discard(number)
            met = self._both(met, one)
        return met

    def _both(self, one: _Sum, other: _Sum) -> _Sum:
        """Return two sums as one: what both give to a condition is joined."""
        gives = one.gives | other.gives
        for node in (n for n in one.gives if n in other.gives):
            gives[node] = self._joined(node, one.gives[node], other.gives[node])
        return _Sum(one.plain | other.plain, gives)

    def _joined(self, node: int, one: int, other: int) -> int:
        """Return the variable of what two come to together; they are used up."""
        self.joins[node] += 1
        both = self._variable(node, "joined", self._name(node), str(self.joins[node]))
        self._table((one, other, both), states.joining(self.model.shapes[both]))
        self.model.order += [one, other]
        return both

    def _bring_together(self, node: int) -> None:
        """Make a condition out of all that its causes give, here and still to be summed."""
        met = self._met(self.given_to[node])
        used = self._explain(node, met.gives.pop(node, None), met.plain)
        self.closed.add(node)
        met.plain.add(node)
        self._leave(met, used)

    def _sum_out(self, node: int) -> None:
        """Bring together all that a condition is tied to; what it gives to others remains."""
        met = self._met(self.tied[node])
        used: list[int] = []
        for link, effect in self.effects[node]:
            if effect not in self.closed:
                before = met.gives.get(effect)
                met.gives[effect] = self._take(link, node, effect, before)
                used += [before] if before is not None else []
        self.left.discard(node)
        met.plain.discard(node)
        self._leave(met, used)
        self.model.order.append(self.model.whole[node])

    def _leave(self, met: _Sum, used: list[int]) -> None:
        """Keep the sum of what was met."""
        number = next(self.numbers)
        self.model.order += used
        self.sums[number] = met
        for node in met.plain:
            self.tied[node].add(number)
        for node in met.gives:
            self.given_to[node].add(number)

    def _explain(self, node: int, part: int | None, plain: set[int]) -> list[int]:
        """Make a condition out of what its causes give; return the variables used up."""
        causes = [
            (link, cause)
            for link, cause in self.causes[node]
            if cause in self.left or cause in self.question.given
        ]
        whole = self.model.whole[node]
        event = self._event(node, alone=part is None and not causes)
        if event == whole:
            return []
        before = event if part is None else part
        if before is None and not causes:
            self._weigh(whole, SLACK, 1.0)
            return []
        used = [v for v in (event, part) if v is not None]
        if event is not None and part is not None:
            before = whole if not causes else self._variable(node, "started", self._name(node))
            self._table((event, part, before), states.joining(self.model.shapes[whole]))
            used += [before] if causes else []
        elif not causes:
            self._table((before, whole), np.eye(self.model.sizes[whole]))
        for place, (link, cause) in enumerate(causes, start=1):
            if cause in self.left:
                plain.add(cause)
            before = self._take(link, cause, node, before, whole if place == len(causes) else None)
            used += [before] if before != whole else []
        return used

    def _event(self, node: int, *, alone: bool) -> int | None:
        """Return the variable of a condition's own source, if it has one; itself, if alone."""
        prior = self.network.priors.get(self._name(node))
        present, absent = self.question.pairs.get(node, (1.0, 1.0))
        unlisted = prior is None and present > absent and self.network.unlisted > 0.0
        if prior is None and not unlisted:
            return None
        variable = self.model.whole[node]
        if not alone:
            variable = self._variable(node, "event", self._name(node))
        self.model.events.append(Event(node, variable, unlisted))
        shape, reach = self.model.shapes[variable], self.question.reach
        own = reach is not None and Root(self._name(node), unlisted) in reach.roots
        there = (0, 0) if own and shape.marked else (0, shape.most + 1)
        values = np.zeros(self.model.sizes[variable])
        values[states.places_of(shape)[there]] = self.network.unlisted if prior is None else prior
        values[-1] = 1.0 - values.sum()
        self._table((variable,), values)
        return variable

    def _take(
        self, link: int, cause: int, effect: int, before: int | None, after: int | None = None
    ) -> int:
        """Take one link in; return the variable of its effect after it."""
        model, question = self.model, self.question
        if after is None:
            after = self._variable(effect, "taken", self._name(cause), self._name(effect))
        source, shape = None, model.shapes[after]
        comes: tuple[int, ...]
        if cause in question.given:
            comes = (states.places_of(shape)[0, shape.most + 1],)
        else:
            source = model.whole[cause]
            turn = question.turn(link, cause, effect)
            comes = states.arrivals(model.shapes[source], shape, turn)
        p = self.network.links[link][2]
        self._table((before, source, after), states.taking(shape, comes, p, before is not None))
        model.takings.append(Taking(link, source, before, after, comes))
        return after

    def _rule_out(self, node: int, pair: tuple[float, float]) -> None:
        """Add that nothing made a condition: no present cause's link fired, no source is there."""
        question, model = self.question, self.model
        prior = self.network.priors.get(self._name(node), 0.0)
        model.log_constant += log(max((1.0 - prior) * pair[1], SLACK))
        for link, cause in question.worlds.into[node]:
            quiet = max(1.0 - self.network.links[link][2], SLACK)
            if cause in question.given:
                model.log_constant += log(quiet)
            if cause not in question.out:
                model.blocked.append((link, cause))
                if cause not in question.given:
                    self._weigh(model.whole[cause], quiet, 1.0)


def marked_chance(model: Model, shares: Floats, node: int) -> float:
    """Return the probability that the marked sources lead to a condition, given its states'."""
    none = model.question.shape(node).most + 1
    places = states.places_of(model.question.shape(node))
    return float(sum(shares[place] for (_, own), place in places.items() if own != none))
