"""Runs rules on experta; the only module that imports it, itself imported when a rule can fire.

experta 1.9.4 pins a frozendict that does not import on Python 3.10 or newer: a small read-only
mapping stands in for it while this module is imported, which Python does once and under a lock.
What was measured of experta and shapes the rest: every rule gets a salience of its own (at equal
salience a rule may fire on a fact that is gone, and the order is random between processes); every
derivation gets an engine of its own (one that is shared mixes up the facts of two threads).
"""

from __future__ import annotations

import logging
import sys
import types
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Any

from headwater.rules.compile import Fact, Rule


class _ReadOnlyMapping(Mapping[Any, Any]):
    """Stands in for `frozendict.frozendict`: a hashable mapping that cannot be changed."""

    __slots__ = ("_items",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self._items = dict(*args, **kwargs)

    def __getitem__(self, key: Any) -> Any:
        return self._items[key]

    def __iter__(self) -> Iterator[Any]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __hash__(self) -> int:
        return hash(frozenset(self._items.items()))


@contextmanager
def _ready_for_experta() -> Iterator[None]:
    """Lend experta a frozendict, and a log handler so that it adds none; take both back."""
    stand_in = types.ModuleType("frozendict")
    stand_in.frozendict = _ReadOnlyMapping  # type: ignore[attr-defined]
    handler = logging.NullHandler()
    before = sys.modules.get("frozendict")
    sys.modules["frozendict"] = stand_in
    logging.getLogger().addHandler(handler)
    try:
        yield
    finally:
        logging.getLogger().removeHandler(handler)
        if before is None:
            del sys.modules["frozendict"]
        else:
            sys.modules["frozendict"] = before


with _ready_for_experta():
    import experta
    from experta.abstract import Matcher
    from experta.engine import KnowledgeEngine  # experta itself hides why it could not be imported
    from experta.matchers.rete.check import SameContextCheck
    from experta.matchers.rete.nodes import BusNode, ConflictSetNode, NotNode, OrdinaryMatchNode


def run(rules: Mapping[int, Rule], given: Iterable[Fact]) -> dict[Fact, tuple[Rule, ...]]:
    """Return the firings of the rules, numbered in the order in which they may fire."""
    engine = _Engine(rules)
    engine.reset()
    engine.declare(*map(experta.Fact, sorted(given)))
    engine.run()
    # Its nodes lead back to it: whole, it would wait for the garbage collector and cost more there.
    engine.matcher.__dict__.clear()
    return {fact: tuple(fired) for fact, fired in engine.firings.items()}


class _Firing(experta.Rule):  # type: ignore[misc]
    """A rule as experta fires it; what it needs is wired in the network."""

    __name__ = "rule of the book"
    __eq__ = object.__eq__  # it is itself: experta would compare and hash all that it holds
    __hash__ = object.__hash__

    def __new__(cls, rule: Rule, salience: int) -> _Firing:
        firing = super().__new__(cls, salience=salience)
        firing.rule = rule
        return firing  # type: ignore[no-any-return]

    def __call__(self, engine: _Engine) -> None:
        engine.fire(self.rule)


class _Network(Matcher):  # type: ignore[misc]
    """experta's nodes, wired for rules without variables: one bus for each fact.

    For 200 rules experta's own wiring takes sixteen times as long (84 ms, not 5): it tests each
    fact against the root of every type and asks every rule for news after every firing.
    """

    def __init__(self, engine: _Engine) -> None:
        super().__init__(engine)
        self.buses: dict[Fact, Any] = defaultdict(BusNode)
        self.stirred: dict[Any, None] = {}
        same = SameContextCheck()
        for index, rule in engine.rules.items():
            first, *others = rule.needs
            last = self.buses[first]
            for fact in others:
                last = self.join(last, OrdinaryMatchNode(same), fact)
            for fact in rule.unless:
                last = self.join(last, NotNode(same), fact)
            end = ConflictSetNode(_Firing(rule, salience=-index))
            last.add_child(end, partial(self.stir, end))

    def join(self, left: Any, node: Any, fact: Fact) -> Any:
        left.add_child(node, node.activate_left)
        self.buses[fact].add_child(node, node.activate_right)
        return node

    def stir(self, end: Any, token: Any) -> None:
        self.stirred[end] = None
        end.activate(token)

    def changes(self, adding: Any = (), deleting: Any = ()) -> tuple[list[Any], list[Any]]:
        assert not deleting, "nothing is ever retracted"
        for declared in adding:
            if bus := self.buses.get(declared.get(0)):
                bus.add(declared)
        news = [end.get_activations() for end in self.stirred]
        self.stirred.clear()
        return [a for added, _ in news for a in added], [a for _, gone in news for a in gone]

    def reset(self) -> None:
        """Leave the nodes as they are: a network serves one derivation."""


class _Engine(KnowledgeEngine):  # type: ignore[misc]
    """An engine for one derivation."""

    __matcher__ = _Network

    def __init__(self, rules: Mapping[int, Rule]) -> None:
        self.rules = rules
        self.firings: dict[Fact, list[Rule]] = {}
        super().__init__()

    def fire(self, rule: Rule) -> None:
        if rule.concludes not in self.firings:
            self.declare(experta.Fact(rule.concludes))
        self.firings.setdefault(rule.concludes, []).append(rule)
