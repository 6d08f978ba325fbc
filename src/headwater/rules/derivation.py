"""A derivation, and the rule set that it is drawn from.

Of a book of thousands of rules a case can touch a few hundred: those whose needs all lie in the
closure of what was given when every `unless` is left aside. No other rule can fire, so only these
are handed to the engine, and the cost of a derivation does not grow with the rest of the book.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from headwater.rules.compile import Fact, Mark, Rule


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


@dataclass(frozen=True, slots=True)
class RuleSet:
    """Rules in the order in which they may fire; never changed, so that threads may share it."""

    rules: tuple[Rule, ...]
    _needing: Mapping[Fact, list[int]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Index the rules by what they need."""
        needing: dict[Fact, list[int]] = {}
        for index, rule in enumerate(self.rules):
            for fact in rule.needs:
                needing.setdefault(fact, []).append(index)
        object.__setattr__(self, "_needing", needing)

    def __iter__(self) -> Iterator[Rule]:
        """Go through the rules."""
        return iter(self.rules)

    def touched(self, given: Iterable[Fact]) -> dict[int, Rule]:
        """Return the rules that could fire, by their place in the order."""
        known = set(given)
        ahead = list(known)
        met = set()
        while ahead:
            for index in self._needing.get(ahead.pop(), ()):
                rule = self.rules[index]
                if index not in met and known.issuperset(rule.needs):
                    met.add(index)
                    if rule.concludes not in known:
                        known.add(rule.concludes)
                        ahead.append(rule.concludes)
        return {index: self.rules[index] for index in sorted(met)}

    def derive(self, facts: Iterable[Fact]) -> Derivation:
        """Return what follows from the given facts; the same for the same facts, in any thread."""
        given = frozenset(facts)
        touched = self.touched(given)
        if not touched:
            return Derivation(given, {})
        # Importing experta is slow: it waits until a rule can fire.
        from headwater.rules.engine import run

        return Derivation(given, run(touched, given))
