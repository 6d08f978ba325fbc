"""Whose doing a finding is, and what answers say, by adding up every world: for small books only.

Written from the meaning alone (design: presence is not cause, a chain is named at its topmost
fault), without numpy and without the program's belief, rules or gate.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from headwater.book.records import Book
from headwater.book.tables import SURENESS, UNLISTED
from headwater.measure.answer import Judged

Pair = tuple[float, float]
Told = dict[str, dict[str, Pair]]
"""Check -> condition -> (likelihood of what was answered if present, if absent)."""
UNKNOWN = "(not in the book)"


def told(book: Book, findings: Iterable[Judged]) -> Told:
    """Return what each answer says, from the table of sureness; every check is answered once."""
    said: Told = {}
    for judged in findings:
        if judged.special:
            continue
        assert judged.check not in said, "the oracle knows of one answer to a check"
        answer = book.checks[judged.check].answers[judged.settled]  # type: ignore[index]
        pairs = {str(c): SURENESS[s.word] for c, s in answer.shows.items()}
        for c, s in answer.rules_out.items():
            present, absent = SURENESS[s.word]
            pairs[str(c)] = (1.0 - present, 1.0 - absent)
        said[judged.check] = pairs
    return said


def factors(said: Told) -> dict[str, Pair]:
    """Return the likelihoods of all answers together, by condition."""
    found: dict[str, Pair] = {}
    for pairs in said.values():
        for c, (present, absent) in pairs.items():
            before = found.get(c, (1.0, 1.0))
            found[c] = (before[0] * present, before[1] * absent)
    return found


def closure(ends: Collection[tuple[str, str]], starts: Iterable[str]) -> set[str]:
    """Return what some starts reach over links, themselves included."""
    found = set(starts)
    while more := {effect for cause, effect in ends if cause in found} - found:
        found |= more
    return found


@dataclass(frozen=True)
class Worlds:
    """Every world of a small book that what was answered leaves possible, with its weight.

    A world is what has begun there (origins, and causes that the book does not list: only of what
    an answer speaks for) and which links fired.
    """

    book: Book
    said: Told

    @cached_property
    def usages(self) -> frozenset[str]:
        """The origins that were done to the vehicle, or befell it."""
        return frozenset(c for c, r in self.book.conditions.items() if r.origin and r.origin.usage)

    @cached_property
    def faults(self) -> frozenset[str]:
        """The origins that can be put right."""
        return frozenset(c for c, r in self.book.conditions.items() if r.origin) - self.usages

    @cached_property
    def _worlds(
        self,
    ) -> list[tuple[float, frozenset[str], frozenset[str], tuple[tuple[str, str], ...]]]:
        """Return (weight, what began, what is present, links that fired) of every world."""
        likelihood = factors(self.said)
        chances = {c: r.origin.common.p for c, r in self.book.conditions.items() if r.origin}
        for c, (present, absent) in likelihood.items():
            if c not in chances and present > absent:
                chances[c] = UNLISTED
        links = [(ends, link.often.p) for ends, link in self.book.links.items()]
        worlds = []
        for on in product((False, True), repeat=len(links)):
            weight, fired = 1.0, []
            for (ends, p), fires in zip(links, on, strict=True):
                weight *= p if fires else 1.0 - p
                fired += [ends] if fires else []
            reach = {c: closure(fired, [c]) for c in chances}
            for there in product((False, True), repeat=len(chances)):
                own, began = weight, []
                for (c, p), begins in zip(chances.items(), there, strict=True):
                    own *= p if begins else 1.0 - p
                    began += [c] if begins else []
                there_now = frozenset().union(*(reach[c] for c in began))
                for c, (yes, no) in likelihood.items():
                    own *= yes if c in there_now else no
                worlds.append((own, frozenset(began), there_now, tuple(fired)))
        total = sum(w for w, *_ in worlds)
        return [(w / total, *rest) for w, *rest in worlds]  # type: ignore[misc]

    def present(self, condition: str) -> float:
        """Return the probability that a condition is present."""
        return sum(w for w, _, there, _ in self._worlds if condition in there)

    def behind(self, condition: str) -> Mapping[frozenset[str], float]:
        """Return the probability of each set of origins that may be behind a condition.

        A fault is behind it where it leads to it, and is there by itself or through usages and
        unlisted causes over ways that pass no other fault. A usage, or an unlisted cause, is where
        a way of its own passes no fault at all.
        """
        found: dict[frozenset[str], float] = {}
        for weight, began, there, fired in self._worlds:
            if condition not in there:
                continue
            free = [(a, b) for a, b in fired if a not in self.faults]
            top = closure(free, began - self.faults) & self.faults | began & self.faults
            doers = {f for f in top if condition in closure(fired, [f])}
            for c in began - self.faults:
                if condition in closure(free, [c]) and condition not in self.faults:
                    doers.add(c if c in self.usages else UNKNOWN)
            key = frozenset(doers)
            found[key] = found.get(key, 0.0) + weight
        return found

    def share(self, origins: Collection[str], condition: str) -> float:
        """Return the probability that any of some origins is behind a condition."""
        wanted = set(origins)
        return sum(w for doers, w in self.behind(condition).items() if doers & wanted)

    def without(self, checks: Collection[str]) -> Worlds:
        """Return the worlds that are possible where some checks had not been answered."""
        return Worlds(self.book, {k: v for k, v in self.said.items() if k not in checks})
