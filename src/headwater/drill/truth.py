"""The hidden unit of an exercise: its physical truth, drawn with the book's own meaning.

A chain of the book is picked; its origin has occurred and its links fired. Every other link fires
with its own probability, and a condition is present when fired links reach it from an origin.
It comes in closed: what is told of it was asked of its driver or seen from outside. What is looked
at then is answered by the people of `simulate`: a reading is a number, read on a gauge that errs.
Everything comes from the seed, each answer from the seed, the check and the number of the look,
whatever the order of the questions.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from headwater.book.model import Chain, Check
from headwater.book.records import Book, Family, applies, effects_by_cause
from headwater.book.tables import DONT_KNOW, POSSIBLE_AT, Nature, Seat
from headwater.graph.causal import causes_of, likeliest_chains
from headwater.rules.evidence import likelihoods
from headwater.simulate.observer import Asked, Observer
from headwater.simulate.units import Links, Setting, SimulatedUnit, reached
from headwater.verdict.assess import Reasoner
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
        told = zip(self.chains, self.ends, strict=True)
        return tuple(
            (*chain.path(), *_onward(self.fired, str(chain.found), end)) for chain, end in told
        )

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
    """Return a family, the pack's if none is given, changed only where the chain needs it."""
    family = dict(book.family if base is None else base)
    path = chain.path()
    whens = [chain.when, *(book.conditions[c].when for c in path)]
    whens += [book.links[ends].when for ends in pairwise(path)]
    for when in whens:
        for name, values in when.items():
            if family.get(name) not in values:
                family[name] = values[0]
    return family


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
    loop = circle(reasoner, chain) if Twist.LOOP in twists else ()
    if Twist.LOOP in twists and not loop:
        return None
    forced |= set(pairwise((*loop, loop[0]))) if loop else set()
    fired = frozenset(
        ends for ends, link in book.links.items() if rng.random() < link.often.p or ends in forced
    )
    present = reached([str(one.verdict) for one in told], fired)
    most = QUIET if Twist.LOUD in twists else ROUND if loop else SPREAD
    if len(present) > most:
        return None
    unit = HiddenUnit(seed, told, present, fired, (), Twist.LOUD in twists, loop)
    return _opened(reasoner, unit, twists, rng)


def _independent(unit: HiddenUnit) -> bool:
    """Say whether each chain needs its own origin: no other one explains what it is noticed by."""
    if len({*unit.origins}) < len(unit.chains) or len({*unit.ends}) < len(unit.ends):
        return False
    for one, end in zip(unit.chains, unit.ends, strict=True):
        others = [str(other.verdict) for other in unit.chains if other is not one]
        alone = reached(others, unit.fired)
        if str(one.verdict) in alone or end in alone or str(one.verdict) in others:
            return False
    return True


def circle(reasoner: Reasoner, chain: Chain) -> tuple[str, ...]:
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
    seen = outside(reasoner.book)
    opening: dict[str, str] = {}
    ends: list[str] = []
    for one in unit.chains:
        signs = [sign for sign in _signs(reasoner.book, unit, one, seen) if sign[0] not in opening]
        if not signs:
            return None
        check_id, word, end = pick(rng, signs)
        opening[check_id] = word
        ends.append(end)
    unit = replace(unit, ends=tuple(ends), opening=opening)
    if not _independent(unit):
        return None
    if Twist.RED_HERRING in twists:
        options = list(_herring(reasoner, unit, seen))
        if not options:
            return None
        check_id, word = pick(rng, options)
        unit = replace(unit, opening={**unit.opening, check_id: word}, herring=check_id)
    if Twist.DISPUTED in twists:
        options = list(_mistake(reasoner, unit, seen))
        if not options:
            return None
        check_id, word = pick(rng, options)
        unit = replace(unit, opening={**unit.opening, check_id: word}, mistaken=check_id)
    unit = _with_more(reasoner, unit, seen, rng)
    given = {c: _given(reasoner.book, unit, c, word) for c, word in unit.opening.items()}
    return replace(unit, opening=dict(in_any_order(rng, [*given.items()])))


def _given(book: Book, unit: HiddenUnit, check: str, word: str) -> str:
    """Return an answer as it is told: a word, or of a reading the figure."""
    record = book.checks[check]
    measured = record.reading is not None and word in record.answers
    return people(book, unit).read(record, word, "told").given if measured else word


def _signs(
    book: Book, unit: HiddenUnit, chain: Chain, seen: Sequence[Check]
) -> list[tuple[str, str, str]]:
    """Return (check, answer, condition) of what a chain was noticed by: its end, else what follows.

    What the vehicle does comes before what is seen on the unit.
    """
    after = reached([str(chain.found)], unit.fired)
    signs = [
        (check.id, word, cid)
        for check in seen
        for word in (plainest(check, unit.present),)
        for cid in map(str, check.answers[word].shows)  # type: ignore[index]
        if cid in after and check.shows(word, cid)
    ]
    own = [sign for sign in signs if sign[2] == str(chain.found)]
    told = [s for s in signs if book.conditions[s[2]].kind is Nature.COMPLAINT]
    return own or told or signs


def _with_more(
    reasoner: Reasoner, unit: HiddenUnit, seen: Sequence[Check], rng: random.Random
) -> HiddenUnit:
    """Return the unit with a few more answers known, which decide nothing of what it has."""
    behind = causes_of(reasoner.graph, *unit.ends) | set(unit.ends)
    aside = [
        check
        for check in seen
        if check.id not in unit.opening
        and not check.decides() & behind
        and not any(check.shows(plainest(check, unit.present), c) for c in check.decides())
        and people(reasoner.book, unit).makes_sense(check)
    ]
    more = in_any_order(rng, aside)[:BESIDE]
    told = {check.id: plainest(check, unit.present) for check in more}
    return replace(unit, opening={**unit.opening, **told})


def _herring(
    reasoner: Reasoner, unit: HiddenUnit, seen: Sequence[Check]
) -> Iterator[tuple[str, str]]:
    """Yield answers, short of decisive, that speak for a rival origin which is not there."""
    rivals = causes_of(reasoner.graph, unit.ends[0]) - unit.present
    for check in seen:
        if check.id in unit.opening:
            continue
        for word, given in check.answers.items():
            speaks = any(str(c) in rivals and not s.decisive for c, s in given.shows.items())
            every = (*given.shows.values(), *given.rules_out.values())
            if speaks and not any(s.decisive for s in every):
                yield check.id, str(word)


def _mistake(
    reasoner: Reasoner, unit: HiddenUnit, seen: Sequence[Check]
) -> Iterator[tuple[str, str]]:
    """Yield mistaken answers that do not go with what was told: they deny it, or clash with it."""
    book = reasoner.book
    for check in seen:
        if check.id in unit.opening:
            continue
        for word, given in check.answers.items():
            denied = (given.rules_out.get(end) for end in unit.ends)  # type: ignore[call-overload]
            if any(one and one.decisive for one in denied):
                yield check.id, str(word)
    visible = {check.id for check in seen}
    for conflict in book.conflicts.values():
        told = {str(check): str(word) for check, word in conflict.answers.items()}
        new = [check for check, word in told.items() if unit.opening.get(check) != word]
        alone = new[0] if len(new) == 1 and new[0] in visible - unit.opening.keys() else ""
        if alone and plainest(book.checks[alone], unit.present) != told[alone]:
            yield alone, told[alone]
