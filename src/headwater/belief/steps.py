"""The findings of a case as tables over what may be present: the model that is summed exactly.

A condition takes its causes in one after the other; what it is after each is a variable, so that no
table spans more than three, and causes that are summed out together are taken in together (after
Zhang and Poole, 'Exploiting causal independence', JAIR 5, 1996; cited from memory). A variable says
whether the condition is present or, on a loop, after how many turns it is: a chain round a loop
passes links that lead back (`belief.layout`), each pass is a turn, and what only holds itself up
has no turn at all. So only chains that start at a source count (the least fixed point). Where loops
are large, only conditions that make each other are told apart in this way; what holds itself up
round a longer loop is then left to be sorted out of the draws (`Model.circles`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count
from math import log

import numpy as np

from headwater.belief.elimination import Schedule, Table, schedule
from headwater.belief.layout import End, SumOrder, links_back
from headwater.belief.told import Told
from headwater.belief.worlds import Factors, Floats, Worlds

SLACK = 1e-9
"""What is left to a contradiction, so that one never makes everything impossible."""
SMALL_LOOPS = 12
"""Conditions on loops up to which turns are counted."""
CELLS_WITH_TURNS = 100_000
CELLS = 8_000_000
"""Cells of all tables together, above which a model is too large."""

_CONDITION, _EVENT, _TAKING, _JOINING = 2, 3, 4, 5


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

    `circles` are the conditions on loops where the model does without turns: there something may
    hold itself up. `keys` names the random numbers of each variable; `whole` gives the variable of
    each condition in the model; `blocked` the links, with their causes, into what is ruled out
    (`out`); `left_out` the links without which the model had to do to be small enough.
    """

    out: frozenset[int]
    circles: frozenset[int]
    sizes: list[int] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    order: list[int] = field(default_factory=list)
    keys: list[tuple[int, int]] = field(default_factory=list)
    whole: dict[int, int] = field(default_factory=dict)
    events: list[Event] = field(default_factory=list)
    takings: list[Taking] = field(default_factory=list)
    blocked: list[tuple[int, int]] = field(default_factory=list)
    left_out: list[int] = field(default_factory=list)
    log_constant: float = 0.0


def build_model(worlds: Worlds, factors: Factors) -> tuple[Model, Schedule]:
    """Return the model of some findings, and how to sum it.

    `factors` has likelihood pairs (if present, if absent) by condition. Where loops make the model
    too large, it does without turns, and what holds itself up is left to be sorted out later; a
    model still too large loses its rarest links.
    """
    told = Told(worlds, factors)
    links = worlds.network.links
    if 0 < len(told.circles) <= SMALL_LOOPS:
        back = links_back(told.circles, worlds.into, worlds.out, links)
        model, plan = _built(told, worlds.order, back=back)
        if plan.cells <= CELLS_WITH_TURNS:
            return model, plan
    model, plan = _built(told, worlds.order)
    if plan.cells <= CELLS:
        return model, plan
    order = told.order()  # the order made for the whole book is a poor one here
    for least in (0.0, *sorted({p for _, _, p in links})[1:], 2.0):
        model, plan = _built(told, order, least=least)
        if plan.cells <= CELLS:
            break
    return model, plan


def _built(
    told: Told, order: SumOrder, *, back: frozenset[int] = frozenset(), least: float = 0.0
) -> tuple[Model, Schedule]:
    model = _Builder(told, order, back, least).model
    return model, schedule(model.sizes, [t.scope for t in model.tables], model.order)


@dataclass(slots=True)
class _Sum:
    """What some tables come to once summed: which conditions it ties, what it gives to others."""

    plain: set[int]
    gives: dict[int, list[int]]


class _Builder:
    """Follows the order of summing and joins the causes of a condition as they meet.

    Turns are counted over the links in `back`; links that fire less often than `least` stay out.
    """

    def __init__(self, told: Told, order: SumOrder, back: frozenset[int], least: float) -> None:
        self.told, self.back = told, back
        # A chain enters a condition once, so it passes no more of these than enter different ones.
        into = told.worlds.into
        self.turns = sum(any(link in back for link, _ in into[n]) for n in told.circles)
        self.model = Model(told.out, frozenset() if self.turns else told.larger_circles())
        self.numbers = count()
        self.sums: dict[int, _Sum] = {}
        self.tied: dict[int, set[int]] = {node: set() for node in told.asked}
        self.given_to: dict[int, set[int]] = {node: set() for node in told.asked}
        self.left = set(told.asked)
        self.effects: dict[int, list[tuple[int, int]]] = {node: [] for node in told.asked}
        self.closed: set[int] = set()
        for node in told.asked:
            self.model.whole[node] = self._variable(node, (_CONDITION, node))
        links = told.worlds.network.links
        self.causes: dict[int, list[End]] = {}
        for node, causes in told.causes.items():
            kept = [end for end in causes if links[end[0]][2] >= least]
            self.causes[node] = kept
            self.model.left_out += [link for link, _ in causes if links[link][2] < least]
            for link, cause in kept:
                if cause not in told.given:
                    self.effects[cause].append((link, node))
        for itself, node in order:
            if node not in self.effects:
                continue
            if node not in self.closed:
                self._bring_together(node)
            if node in self.left and (itself or not self.effects[node]):
                self._sum_out(node)
        for node, pair in told.pairs.items():
            if node in told.out:
                self._rule_out(node, pair)
            else:
                self._weigh(self.model.whole[node], pair[0], max(pair[1], SLACK))

    def _size(self, node: int) -> int:
        """Return the states of a condition: the last is absent, the others are ways of presence."""
        if self.turns:
            return self.turns + 2 if node in self.told.circles else 2
        return 3 if node in self.told.mutual else 2

    def _variable(self, node: int, key: tuple[int, int]) -> int:
        self.model.sizes.append(self._size(node))
        self.model.keys.append(key)
        return len(self.model.sizes) - 1

    def _table(self, scope: tuple[int | None, ...], values: Floats) -> None:
        some = tuple(v for v in scope if v is not None)
        self.model.tables.append(Table(some, values.reshape([self.model.sizes[v] for v in some])))

    def _weigh(self, variable: int, present: float, absent: float) -> None:
        """Add the likelihoods of a variable being present, in whatever turn, and absent."""
        values = np.full(self.model.sizes[variable], present)
        values[-1] = absent
        self._table((variable,), values)

    def _met(self, numbers: set[int]) -> _Sum:
        """Return some of the sums as one, and forget them."""
        met = _Sum(set(), {})
        for number in sorted(numbers):
            one = self.sums.pop(number)
            met.plain |= one.plain
            for node in one.plain:
                self.tied[node].discard(number)
            for other, variables in one.gives.items():
                met.gives.setdefault(other, []).extend(variables)
                self.given_to[other].discard(number)
        return met

    def _bring_together(self, node: int) -> None:
        """Make a condition out of all that its causes give, here and still to be summed."""
        met = self._met(set(self.given_to[node]))
        used = self._explain(node, met.gives.pop(node, []), met.plain)
        self.closed.add(node)
        met.plain.add(node)
        self._leave(met, used)

    def _sum_out(self, node: int) -> None:
        """Bring together all that a condition is tied to; what it gives to others remains."""
        met = self._met(set(self.tied[node]))
        used: list[int] = []
        for link, effect in self.effects[node]:
            if effect not in self.closed:
                known = met.gives.setdefault(effect, [])
                before = known.pop() if known else None
                known.append(self._take(link, node, effect, before))
                used += [before] if before is not None else []
        self.left.discard(node)
        met.plain.discard(node)
        self._leave(met, used)
        self.model.order.append(self.model.whole[node])

    def _leave(self, met: _Sum, used: list[int]) -> None:
        """Keep one sum of what was met; what is given to one effect twice is joined."""
        gives = {e: [self._joined(e, variables, used)] for e, variables in met.gives.items()}
        number = next(self.numbers)
        self.model.order += used
        self.sums[number] = _Sum(met.plain, gives)
        for node in met.plain:
            self.tied[node].add(number)
        for node in gives:
            self.given_to[node].add(number)

    def _explain(self, node: int, parts: list[int], plain: set[int]) -> list[int]:
        """Make a condition out of what its causes give; return the variables used up."""
        causes = [
            (link, cause)
            for link, cause in self.causes[node]
            if cause in self.left or cause in self.told.given
        ]
        whole = self.model.whole[node]
        event = self._event(node, alone=not parts and not causes)
        if event == whole:
            return []
        if event is not None:
            parts = [event, *parts]
        if not parts and not causes:
            self._weigh(whole, SLACK, 1.0)
        used = list(parts)
        before: int | None = None
        for place, part in enumerate(parts, start=1):
            last = place == len(parts) and not causes
            if before is not None:
                before = self._join(node, before, part, whole if last else None)
                used += [before] if before != whole else []
            elif last:
                self._table((part, whole), np.eye(self.model.sizes[whole]))
            else:
                before = part
        for place, (link, cause) in enumerate(causes, start=1):
            if cause in self.left:
                plain.add(cause)
            before = self._take(link, cause, node, before, whole if place == len(causes) else None)
            used += [before] if before != whole else []
        return used

    def _event(self, node: int, *, alone: bool) -> int | None:
        """Return the variable of a condition's own source, if it has one; itself, if alone."""
        network = self.told.worlds.network
        prior = network.priors.get(network.conditions[node])
        present, absent = self.told.pairs.get(node, (1.0, 1.0))
        unlisted = prior is None and present > absent and network.unlisted > 0.0
        if prior is None and not unlisted:
            return None
        variable = self.model.whole[node] if alone else self._variable(node, (_EVENT, node))
        self.model.events.append(Event(node, variable, unlisted))
        values = np.zeros(self.model.sizes[variable])
        values[0] = network.unlisted if prior is None else prior
        values[-1] = 1.0 - values[0]
        self._table((variable,), values)
        return variable

    def _take(
        self, link: int, cause: int, effect: int, before: int | None, after: int | None = None
    ) -> int:
        """Take one link in; return the variable of its effect after it."""
        model = self.model
        if after is None:
            after = self._variable(effect, (_TAKING, link))
        source = None if cause in self.told.given else model.whole[cause]
        size = model.sizes[after]
        arrivals = self._arrivals(link, cause, effect)
        p = self.told.worlds.network.links[link][2]
        values = _taking(size, arrivals, p, before is not None)
        self._table((before, source, after), values)
        model.takings.append(Taking(link, source, before, after, arrivals))
        return after

    def _arrivals(self, link: int, cause: int, effect: int) -> tuple[int, ...]:
        """Return for each state of a cause the state in which its link, fired, makes its effect.

        The turns go on only from one condition of a loop to another. In a pair, the first is made
        by the second in a way of its own, and in that way it does not make the second in turn.
        """
        told = self.told
        absent = self._size(effect) - 1
        if cause in told.given:
            return (0,)
        ways = range(self._size(cause) - 1)
        if self.turns:
            on_loop = cause in told.circles and effect in told.circles
            back = link in self.back
            return (*(min(way + back, absent) if on_loop else 0 for way in ways), absent)
        if told.mutual.get(cause) == effect:
            return (0, absent, absent)
        if told.mutual.get(effect) == cause:
            return (1, absent)
        return (*(0 for _ in ways), absent)

    def _join(self, node: int, one: int, other: int, after: int | None) -> int:
        if after is None:
            after = self._variable(node, (_JOINING, len(self.model.sizes)))
        self._table((one, other, after), _earlier(self.model.sizes[after]))
        return after

    def _joined(self, effect: int, variables: list[int], used: list[int]) -> int:
        """Join what is given to one effect; what is joined is used up."""
        joined, *others = variables
        for other in others:
            used += [joined, other]
            joined = self._join(effect, joined, other, None)
        return joined

    def _rule_out(self, node: int, pair: tuple[float, float]) -> None:
        """Add that nothing made a condition: no present cause's link fired, no source is there."""
        worlds, told, model = self.told.worlds, self.told, self.model
        network = worlds.network
        prior = network.priors.get(network.conditions[node], 0.0)
        model.log_constant += log(max((1.0 - prior) * pair[1], SLACK))
        for link, cause in worlds.into[node]:
            quiet = max(1.0 - network.links[link][2], SLACK)
            if cause in told.given:
                model.log_constant += log(quiet)
            if cause not in told.out:
                model.blocked.append((link, cause))
                if cause not in told.given:
                    self._weigh(model.whole[cause], quiet, 1.0)


@lru_cache(maxsize=4096)
def _taking(size: int, arrivals: tuple[int, ...], p: float, after_others: bool) -> Floats:
    """Return P(state after | state before, cause): (size or 1, causes, size)."""
    befores = range(size) if after_others else (size - 1,)
    values = np.zeros((len(befores), len(arrivals), size))
    for row, before in enumerate(befores):
        for column, arrival in enumerate(arrivals):
            if arrival < before:
                values[row, column, arrival] = p
                values[row, column, before] = 1.0 - p
            else:
                values[row, column, before] = 1.0
    values.flags.writeable = False
    return values


@lru_cache(maxsize=16)
def _earlier(size: int) -> Floats:
    """Return that the third of three states is the earlier of the first two."""
    values = np.zeros((size, size, size))
    for one in range(size):
        for other in range(size):
            values[one, other, min(one, other)] = 1.0
    values.flags.writeable = False
    return values
