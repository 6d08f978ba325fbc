"""The hidden unit of an exercise: its physical truth, drawn with the book's own meaning.

A chain of the book is picked; its origin has occurred and its links fired. Every other link fires
with its own probability, and a condition is present when fired links reach it from an origin.
Answers are drawn from that truth by the sureness table: the share of an answer is the product of
its likelihoods over the conditions that the check speaks of. Everything comes from the seed, each
answer from the seed, the check and the number of the look, whatever the order of the questions.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from headwater.belief.particles import spoken_of
from headwater.book.load import Book
from headwater.book.model import Chain, Check
from headwater.graph.causal import causes_of, likeliest_chains
from headwater.rules.evidence import likelihoods
from headwater.verdict.assess import Reasoner

LEVELS = (1, 2, 3, 4, 5)
SHORT = 3
"""Conditions of a chain, at most, at level 1."""
LOOP_AT_MOST = 4
QUIET = 8
SPREAD = 24
ROUND = 40
"""Conditions present in a unit, at most: at level 1, above it, and where a circle is closed."""

Item = TypeVar("Item")
Links = frozenset[tuple[str, str]]


class Twist(StrEnum):
    """What makes an exercise hard."""

    LOUD = "loud"
    RED_HERRING = "red-herring"
    TWO_ORIGINS = "two-origins"
    LOOP = "loop"
    DISPUTED = "disputed"


TWISTS: Mapping[int, frozenset[Twist]] = {
    1: frozenset({Twist.LOUD}),
    2: frozenset(),
    3: frozenset({Twist.RED_HERRING}),
    4: frozenset({Twist.TWO_ORIGINS}),
    5: frozenset({Twist.TWO_ORIGINS, Twist.RED_HERRING, Twist.LOOP, Twist.DISPUTED}),
}
LEVEL_WORDS: Mapping[int, str] = {
    1: "one origin, a short chain, evidence that speaks plainly",
    2: "one origin, any chain, evidence that can mislead",
    3: "one origin, and a sign that points elsewhere",
    4: "two origins",
    5: "two origins, a circle, a sign that points elsewhere, and findings that disagree",
}


@dataclass(frozen=True, slots=True)
class HiddenUnit:
    """What is true of a unit. `opening` are the answers given at the start, by check.

    `chains` are the drawn chains, `fired` the links that fired, `mistaken` the looks that were
    answered wrongly at the start (the second look is true), `herring` the misleading one.
    """

    seed: str
    chains: tuple[Chain, ...]
    present: frozenset[str]
    fired: Links
    loud: bool = False
    loop: tuple[str, ...] = ()
    opening: Mapping[str, str] = field(default_factory=dict)
    herring: str | None = None
    mistaken: str | None = None

    @property
    def origins(self) -> tuple[str, ...]:
        """The origins that have occurred."""
        return tuple(str(chain.verdict) for chain in self.chains)

    def answer(self, check: Check, look: int = 1) -> str:
        """Return the answer that the unit gives to a check, the same at every asking of a look."""
        if self.loud or (look > 1 and check.id in (self.herring, self.mistaken)):
            return plainest(check, self.present)
        rng = random.Random(f"{self.seed}:{check.id}:{look}")
        return drawn(check, self.present, rng)


def shares(check: Check, present: Collection[str]) -> dict[str, float]:
    """Return the probability of each answer of a check on a unit with these conditions."""
    spoken = spoken_of(check)
    weights: dict[str, float] = {}
    for word, answer in check.answers.items():
        weight = 1.0
        for condition in spoken:
            weight *= likelihoods(answer, condition)[condition not in present]
        weights[str(word)] = weight
    total = sum(weights.values())
    return {word: weight / total for word, weight in weights.items()}


def plainest(check: Check, present: Collection[str]) -> str:
    """Return the likeliest answer, the first written of equals."""
    weights = shares(check, present)
    return max(weights, key=lambda word: weights[word])


def drawn(check: Check, present: Collection[str], rng: random.Random) -> str:
    """Return an answer drawn by its probability."""
    target = rng.random()
    for word, share in shares(check, present).items():
        target -= share
        if target < 0.0:
            return word
    return plainest(check, present)  # rounding left a crumb


def pick(rng: random.Random, items: Sequence[Item]) -> Item:
    """Return one of the items, each as likely as the others."""
    return items[min(int(rng.random() * len(items)), len(items) - 1)]


def reached(origins: Iterable[str], fired: Collection[tuple[str, str]]) -> frozenset[str]:
    """Return everything that fired links reach from the origins, themselves included."""
    effects: dict[str, list[str]] = {}
    for cause, effect in fired:
        effects.setdefault(cause, []).append(effect)
    found = set(origins)
    frontier = list(found)
    while frontier:
        for effect in effects.get(frontier.pop(), ()):
            if effect not in found:
                found.add(effect)
                frontier.append(effect)
    return frozenset(found)


def draw_unit(
    reasoner: Reasoner, chain: Chain, level: int, seed: str, chains: Sequence[Chain]
) -> HiddenUnit | None:
    """Return a unit whose first chain is `chain`; None when this draw does not give one.

    `chains` are those that a second origin may be taken from.
    """
    rng = random.Random(seed)
    twists = TWISTS[level]
    book = reasoner.book
    told: tuple[Chain, ...] = (chain,)
    if Twist.TWO_ORIGINS in twists:
        told = (chain, pick(rng, chains))
    forced = {pair for one in told for pair in pairwise(one.path())}
    loop = _loop(reasoner, chain) if Twist.LOOP in twists else ()
    if Twist.LOOP in twists and not loop:
        return None
    forced |= set(pairwise((*loop, loop[0]))) if loop else set()
    fired = frozenset(
        ends for ends, link in book.links.items() if rng.random() < link.often.p or ends in forced
    )
    if not _independent(told, fired):
        return None
    present = reached([str(one.verdict) for one in told], fired)
    most = QUIET if Twist.LOUD in twists else ROUND if loop else SPREAD
    if len(present) > most:
        return None
    unit = HiddenUnit(seed, told, present, fired, Twist.LOUD in twists, loop)
    return _opened(reasoner, unit, twists, rng)


def _independent(told: Sequence[Chain], fired: Links) -> bool:
    """Say whether each chain needs its own origin: no other one explains what it ends in."""
    for one in told:
        others = [str(other.verdict) for other in told if other is not one]
        alone = reached(others, fired)
        if str(one.verdict) in alone or str(one.found) in alone or str(one.verdict) in others:
            return False
    return True


def _loop(reasoner: Reasoner, chain: Chain) -> tuple[str, ...]:
    """Return the shortest circle that a link of the chain can close, cause first."""
    found: list[tuple[str, ...]] = []
    for cause, effect in pairwise(chain.path()):
        back = likeliest_chains(reasoner.graph, cause).get(effect)
        if back and len(back) <= LOOP_AT_MOST:
            found.append((cause, *back[:-1]))
    return min(found, key=len, default=())


def _opened(
    reasoner: Reasoner, unit: HiddenUnit, twists: frozenset[Twist], rng: random.Random
) -> HiddenUnit | None:
    """Return the unit with what is known at the start, or None when it cannot be told so."""
    opening: dict[str, str] = {}
    for one in unit.chains:
        shown = [
            (check.id, word)
            for check in reasoner.deciders[str(one.found)]
            for word in (plainest(check, unit.present),)
            if shows(check, word, str(one.found))
        ]
        if not shown:
            return None
        check_id, word = pick(rng, shown)
        opening[check_id] = word
    herring = mistaken = None
    if Twist.RED_HERRING in twists:
        found = _herring(reasoner, unit, opening, rng)
        if found is None:
            return None
        herring = found[0]
        opening[herring] = found[1]
    if Twist.DISPUTED in twists:
        found = _mistake(reasoner, unit, opening, rng)
        if found is None:
            return None
        mistaken = found[0]
        opening[mistaken] = found[1]
    return HiddenUnit(
        unit.seed,
        unit.chains,
        unit.present,
        unit.fired,
        unit.loud,
        unit.loop,
        opening,
        herring,
        mistaken,
    )


def shows(check: Check, word: str, condition: str) -> bool:
    """Say whether an answer shows a condition decisively."""
    sureness = check.answers[word].shows.get(condition)  # type: ignore[index,call-overload]
    return bool(sureness and sureness.decisive)


def _herring(
    reasoner: Reasoner, unit: HiddenUnit, opening: Mapping[str, str], rng: random.Random
) -> tuple[str, str] | None:
    """Return an answer, short of decisive, that speaks for a rival origin which is not there."""
    found = str(unit.chains[0].found)
    rivals = causes_of(reasoner.graph, found) - unit.present
    options = [
        (check.id, str(word))
        for check in reasoner.book.checks.values()
        if check.id not in opening and not check.after
        for word, answer in check.answers.items()
        if any(str(c) in rivals and not s.decisive for c, s in answer.shows.items())
        and not any(s.decisive for s in (*answer.shows.values(), *answer.rules_out.values()))
    ]
    return pick(rng, options) if options else None


def _mistake(
    reasoner: Reasoner, unit: HiddenUnit, opening: Mapping[str, str], rng: random.Random
) -> tuple[str, str] | None:
    """Return a mistaken answer that denies what another check of the opening shows."""
    found = str(unit.chains[0].found)
    options = [
        (check.id, str(word))
        for check in reasoner.deciders[found]
        if check.id not in opening
        for word, answer in check.answers.items()
        if (denied := answer.rules_out.get(found)) and denied.decisive  # type: ignore[call-overload]
    ]
    return pick(rng, options) if options else None


def family_for(book: Book, chain: Chain) -> dict[str, str]:
    """Return the pack's family, changed only where the chain needs another unit."""
    family = dict(book.family)
    path = chain.path()
    whens = [chain.when, *(book.conditions[c].when for c in path)]
    whens += [book.links[ends].when for ends in pairwise(path)]
    for when in whens:
        for name, values in when.items():
            if family.get(name) not in values:
                family[name] = values[0]
    return family
