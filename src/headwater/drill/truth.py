"""The hidden unit of an exercise: its physical truth, drawn with the book's own meaning.

It comes in closed: what is told of it was asked of its driver or seen from outside. What is looked
at then is answered by the people of `simulate`: a reading is a number, read on a gauge that errs.
Everything comes from the seed, each answer from the seed, the check and the number of the look,
whatever the order of the questions. How a unit is drawn stands in `drawing`.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from headwater.book.model import Chain, Check
from headwater.book.records import Book, Family, applies, effects_by_cause
from headwater.book.tables import DONT_KNOW, POSSIBLE_AT, Seat
from headwater.rules.evidence import likelihoods
from headwater.simulate.observer import Asked, Observer
from headwater.simulate.units import Links, Setting, SimulatedUnit, reached
from headwater.verdict.reach import still_to_open

LEVELS = (1, 2, 3, 4, 5)
SHORT = 3
"""Conditions of a chain, at most, at level 1."""
LOOP_AT_MOST = 4
QUIET = 8
SPREAD = 24
ROUND = 40
"""Conditions present in a unit, at most: at level 1, above it, and where a circle is closed."""
BESIDE = 2
"""Answers that a unit comes in with and that decide nothing of what it has."""
AS_EXPECTED = 0.6
"""How often an attribute of a unit has the value that the book's examples assume."""
PEOPLE = Setting("lesson", unsure=0.0, not_now=0.0)
PLAIN_PEOPLE = replace(PEOPLE, plain=True)

T = TypeVar("T")


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
    """What is true of a unit. `opening` are the answers known at the start, by check, as given.

    `chains` are the drawn chains, `ends` what each of them was noticed by, `fired` the links that
    fired, `mistaken` the look that was answered wrongly at the start (the second look is true),
    `herring` the misleading one. The opening is in no order.
    """

    seed: str
    chains: tuple[Chain, ...]
    present: frozenset[str]
    fired: Links
    ends: tuple[str, ...] = ()
    loud: bool = False
    loop: tuple[str, ...] = ()
    opening: Mapping[str, str] = field(default_factory=dict)
    herring: str | None = None
    mistaken: str | None = None

    @property
    def origins(self) -> tuple[str, ...]:
        """The origins that have occurred."""
        return tuple(str(chain.verdict) for chain in self.chains)

    @property
    def ways(self) -> tuple[tuple[str, ...], ...]:
        """The true chains, each from its origin to what it was noticed by."""
        return tuple(self._way(*told) for told in zip(self.chains, self.ends, strict=True))

    def _way(self, chain: Chain, end: str) -> tuple[str, ...]:
        """Return the way of a chain to an end, or else the shortest there is from its origin."""
        path, found = chain.path(), str(chain.found)
        if end in path:
            return path[: path.index(end) + 1]
        if onward := _onward(self.fired, found, end):
            return (*path, *onward)
        return (path[0], *_onward(self.fired, path[0], end))

    def on_way(self, origin: str) -> frozenset[str]:
        """Return the conditions between an origin and what the unit came in with."""
        there = reached([origin], self.fired)
        back = reached(self.ends, [(effect, cause) for cause, effect in self.fired])
        return (there & back) - {origin, *self.ends}


def _onward(fired: Links, start: str, end: str) -> tuple[str, ...]:
    """Return the conditions after `start` on the shortest way of fired links to `end`."""
    onward, ways = effects_by_cause(sorted(fired)), {start: tuple[str, ...]()}
    queue = [start]
    for cid in queue:
        fresh = [effect for effect in onward(cid) if effect not in ways]
        ways |= {effect: (*ways[cid], effect) for effect in fresh}
        queue += dict.fromkeys(fresh)
    return ways.get(end, ())


def people(book: Book, unit: HiddenUnit) -> Observer:
    """Return the people who look at a unit."""
    told = {c: w for c, w in unit.opening.items() if c not in (unit.herring, unit.mistaken)}
    words = {c: w for c, w in told.items() if w in book.checks[c].answers}
    seed = random.Random(unit.seed).getrandbits(62)
    simulated = SimulatedUnit(seed, frozenset(unit.origins), unit.present, {}, words, unit.ends)
    return Observer(book, simulated, PLAIN_PEOPLE if unit.loud else PEOPLE)


def answer(book: Book, unit: HiddenUnit, check: Check, look: int = 1) -> str:
    """Return what is answered at a look, the same at every asking; a reading is a number."""
    who = people(book, unit)
    if not who.makes_sense(check):
        return DONT_KNOW
    if unit.loud or (look > 1 and check.id in (unit.herring, unit.mistaken)):
        return who.exactly(check).given
    return who.answer(check, Asked(0, look - 1)).given


def shares(check: Check, present: Collection[str]) -> dict[str, float]:
    """Return the probability of each answer of a check on a unit with these conditions."""
    spoken = check.speaks_of()
    weights: dict[str, float] = {}
    for word, given in check.answers.items():
        weight = 1.0
        for condition in spoken:
            weight *= likelihoods(given, condition)[condition not in present]
        weights[str(word)] = weight
    total = sum(weights.values())
    return {word: weight / total for word, weight in weights.items()}


def plainest(check: Check, present: Collection[str]) -> str:
    """Return the likeliest answer, the first written of equals."""
    weights = shares(check, present)
    return max(weights, key=lambda word: weights[word])


def shown_by(check: Check, condition: str) -> str:
    """Return the answer that shows a condition decisively; empty if none does."""
    return next((str(w) for w in check.answers if check.shows(str(w), condition)), "")


def pick(rng: random.Random, items: Sequence[T]) -> T:
    """Return one of the items, each as likely as the others."""
    return items[min(int(rng.random() * len(items)), len(items) - 1)]


def in_any_order(rng: random.Random, items: Sequence[T]) -> list[T]:
    """Return the items in an order of chance, every order as likely as the others."""
    left = list(items)
    return [left.pop(min(int(rng.random() * len(left)), len(left) - 1)) for _ in items]


def on_bench(book: Book) -> frozenset[str]:
    """Return what is off a unit on the bench, unopened: what all bench work needs first."""
    needs = [
        set(still_to_open(book, check, ()))
        for check in book.checks.values()
        if check.seats == (Seat.BENCH,) and check.after
    ]
    return frozenset(set.intersection(*needs)) if needs else frozenset()


def outside(book: Book) -> list[Check]:
    """Return the checks that a closed unit can have been met with: asked, driven, or looked at."""
    off, all_seats = on_bench(book), POSSIBLE_AT[Seat.BENCH] | POSSIBLE_AT[Seat.HOIST]
    return [
        check
        for check in book.checks.values()
        if all_seats & {*check.seats} and not still_to_open(book, check, off)
    ]


def draw_family(book: Book, seed: str) -> dict[str, str]:
    """Return a unit family by chance, whatever the unit turns out to have.

    What packs are parted by, the kind of unit, says which of the others a unit has at all.
    """
    rng = random.Random(f"family:{seed}")
    family: dict[str, str] = {}
    for name, attribute in sorted(book.attributes.items()):
        kinds = [pack.when[name] for pack in book.packs if name in pack.when]
        # On a bench lies one unit, not all of them together.
        single = [v for v in attribute.values if len(kinds) < 2 or not all(v in k for k in kinds)]
        usual = book.family.get(name)
        as_expected = not kinds and usual in single and rng.random() < AS_EXPECTED
        family[name] = str(usual) if as_expected else pick(rng, single)
    asked = {name for pack in book.packs if applies(pack.when, family) for name in pack.attributes}
    return {name: value for name, value in family.items() if name in asked}


def family_for(book: Book, chain: Chain, base: Family | None = None) -> dict[str, str]:
    """Return a family, the pack's if none is given, changed only where the chain needs it.

    What a pack is about, its records need too: a chain that leads from one unit into another needs
    the vehicle that has both.
    """
    family = dict(book.family if base is None else base)
    path = chain.path()
    owners = {
        book.owner.get(key) for key in (("chains", chain.id), *(("conditions", c) for c in path))
    }
    whens = [pack.when for pack in book.packs if pack.pack in owners]
    whens += [chain.when, *(book.conditions[c].when for c in path)]
    whens += [book.links[ends].when for ends in pairwise(path)]
    allowed: dict[str, list[str]] = {}
    for when in whens:
        for name, values in when.items():
            allowed[name] = [v for v in map(str, allowed.get(name, values)) if v in values]
    for name, left in allowed.items():
        if left and family.get(name) not in left:
            family[name] = left[0]
    return family
