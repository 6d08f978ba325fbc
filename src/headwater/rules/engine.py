"""Runs compiled rules on experta; the only module that imports it.

experta 1.9.4 pins a frozendict that does not import on Python 3.10 or newer. A small read-only
mapping stands in for it while experta is imported, and is taken away again. What was measured of
experta and shapes this module: every rule gets a salience of its own (at equal salience a rule may
fire on a fact that is gone, and the order is random between processes); every condition gets a Fact
subclass of its own (each fact is tested against every literal of its type); the engine is built
once and reset for each derivation, never retracted from.
"""

from __future__ import annotations

import importlib
import inspect
import logging
import sys
import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from headwater.rules.compile import Fact, Mark, Rule


class _ReadOnlyMapping(Mapping[Any, Any]):
    """Stands in for `frozendict.frozendict`: a hashable mapping that cannot be changed."""

    __slots__ = ("_hash", "_items")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self._items = dict(*args, **kwargs)
        self._hash: int | None = None

    def __getitem__(self, key: Any) -> Any:
        return self._items[key]

    def __iter__(self) -> Iterator[Any]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __hash__(self) -> int:
        if self._hash is None:
            self._hash = hash(frozenset(self._items.items()))
        return self._hash


def _import_experta() -> Any:
    if "experta" in sys.modules:
        return sys.modules["experta"]
    stand_in = types.ModuleType("frozendict")
    stand_in.frozendict = _ReadOnlyMapping  # type: ignore[attr-defined]
    before = sys.modules.get("frozendict")
    root = logging.getLogger()
    handlers = list(root.handlers)
    sys.modules["frozendict"] = stand_in
    try:
        experta = importlib.import_module("experta")
    finally:
        if before is None:
            del sys.modules["frozendict"]
        else:
            sys.modules["frozendict"] = before
        root.handlers[:] = handlers
    if not hasattr(experta, "KnowledgeEngine"):
        raise ImportError("experta was imported without its KnowledgeEngine")
    return experta


@dataclass(frozen=True, slots=True)
class Derivation:
    """What follows from the given facts, and by which firings.

    `firings` maps each derived fact to the rules that concluded it, first one first.
    """

    given: frozenset[Fact]
    firings: Mapping[Fact, tuple[Rule, ...]]

    def holds(self, condition: str, mark: Mark) -> bool:
        """Say whether a mark was given or derived."""
        fact = Fact(condition, mark)
        return fact in self.firings or fact in self.given

    def marked(self, mark: Mark) -> list[str]:
        """Return the conditions that carry a derived mark, in the order derived."""
        return [fact.condition for fact in self.firings if fact.mark is mark]


Deriver = Callable[[Iterable[Fact]], Derivation]


def build_engine(rules: list[Rule]) -> Deriver:
    """Return a function from given facts to their derivation; build it once for each book."""
    experta = _import_experta()
    kinds: dict[str, Any] = {}

    def kind(condition: str) -> Any:
        if condition not in kinds:
            kinds[condition] = type(f"C{len(kinds)}", (experta.Fact,), {})
        return kinds[condition]

    def pattern(fact: Fact) -> Any:
        # experta hashes a fact by its values only: the id keeps facts of two conditions apart.
        return kind(fact.condition)(mark=f"{fact.mark}:{fact.condition}")

    compiled = []
    seen: dict[Fact, Any] = {}
    for index, rule in enumerate(rules):
        for fact in (*rule.needs, *rule.unless):
            if fact not in seen:
                seen[fact] = pattern(fact)
        conditions = [seen[fact] for fact in rule.needs]
        conditions += [experta.NOT(seen[fact]) for fact in rule.unless]
        decorator = experta.Rule(*conditions, salience=len(rules) - index)
        compiled.append(decorator(_firing(rule, pattern)))
    engine = _engine_class(experta, compiled)()

    def derive(facts: Iterable[Fact]) -> Derivation:
        given = frozenset(facts)
        engine.log = []
        engine.reset()
        known = [pattern(fact) for fact in sorted(given) if fact.condition in kinds]
        if known:
            engine.declare(*known)
        engine.run(10 * len(rules) + 10)
        firings: dict[Fact, list[Rule]] = {}
        for rule in engine.log:
            firings.setdefault(rule.concludes, []).append(rule)
        return Derivation(given, {fact: tuple(fired) for fact, fired in firings.items()})

    return derive


def _firing(rule: Rule, pattern: Callable[[Fact], Any]) -> Callable[[Any], None]:
    def fire(engine: Any) -> None:
        engine.log.append(rule)
        engine.declare(pattern(rule.concludes))

    # experta inspects the signature of every rule: telling it saves a third of the build.
    fire.__signature__ = _FIRE_SIGNATURE  # type: ignore[attr-defined]
    return fire


_FIRE_SIGNATURE = inspect.Signature(
    [inspect.Parameter("engine", inspect.Parameter.POSITIONAL_OR_KEYWORD)]
)


def _engine_class(experta: Any, rules: list[Any]) -> Any:
    """Return an engine class with the given rules and a network wired for plain conjunctions.

    experta looks its rules up by inspecting the engine at every reset, tests each fact against the
    root of every type, and asks every rule for news after every firing: all fine for twenty rules,
    seconds for three thousand. Here a fact goes straight to the patterns of its type and mark, and
    only the rules that it touched are asked. Nodes, agenda and strategy are experta's own.
    """
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.check import SameContextCheck
    from experta.matchers.rete.nodes import (
        BusNode,
        ConflictSetNode,
        FeatureTesterNode,
        NotNode,
        OrdinaryMatchNode,
    )
    from experta.matchers.rete.token import Token

    class Switchboard(BusNode):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self.patterns: dict[Any, Any] = {}

        def pattern(self, fact: Any) -> Any:
            key = (type(fact), fact.get("mark"))
            if key not in self.patterns:
                self.patterns[key] = FeatureTesterNode(lambda _fact: True)
            return self.patterns[key]

        def add(self, fact: Any) -> None:
            node = self.patterns.get((type(fact), fact.get("mark")))
            if node is not None:
                node.activate(Token.valid(fact))

    class Matcher(ReteMatcher):  # type: ignore[misc]
        def build_network(self) -> None:
            self.root_node = Switchboard()
            self.nodes: list[Any] = []
            self.touched: dict[Any, None] = {}
            for rule in self.engine.get_rules():
                last: Any = None
                for element in rule:
                    last = self.join(last, element)
                ends = ConflictSetNode(rule)
                self.nodes.append(ends)
                last.add_child(ends, self.noting(ends))

        def join(self, left: Any, element: Any) -> Any:
            negated = isinstance(element, experta.NOT)
            right = self.root_node.pattern(element[0] if negated else element)
            if left is None:
                return right
            node = (NotNode if negated else OrdinaryMatchNode)(SameContextCheck())
            self.nodes.append(node)
            left.add_child(node, node.activate_left)
            right.add_child(node, node.activate_right)
            return node

        def noting(self, ends: Any) -> Callable[[Any], None]:
            def activate(token: Any) -> None:
                self.touched[ends] = None
                ends.activate(token)

            return activate

        def reset(self) -> None:
            for node in self.nodes:
                node._reset()
            self.touched.clear()

        def changes(
            self,
            adding: Any = None,
            deleting: Any = None,  # noqa: ARG002 - experta's own signature; nothing is deleted
        ) -> tuple[list[Any], list[Any]]:
            for fact in adding or ():
                self.root_node.add(fact)
            news = [ends.get_activations() for ends in self.touched]
            self.touched.clear()
            return [a for added, _ in news for a in added], [r for _, gone in news for r in gone]

    class BookEngine(experta.KnowledgeEngine):  # type: ignore[misc]
        __matcher__ = Matcher

        def get_rules(self) -> list[Any]:
            return rules

        def get_deffacts(self) -> list[Any]:
            return [self._declare_initial_fact]

    return BookEngine
