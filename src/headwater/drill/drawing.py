"""How a hidden unit is drawn, so that what it comes in with tells no more than the book says.

Where any chain will do, an origin occurs as often as the book says, every link fires by its chance,
and what the unit is noticed by is any of what follows: not the end that some author gave a chain.
Where chains are named, one of them is picked and its links have fired. What else is told was seen
by people who err as often as the book says.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from headwater.book.model import Chain, Check
from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.drill.truth import (
    BESIDE,
    LOOP_AT_MOST,
    QUIET,
    ROUND,
    SHORT,
    SPREAD,
    TWISTS,
    HiddenUnit,
    Twist,
    in_any_order,
    outside,
    people,
    pick,
    plainest,
)
from headwater.graph.causal import causes_of, likeliest_chains
from headwater.simulate.units import Links, reached
from headwater.verdict.assess import Reasoner


def draw_by_chance(
    reasoner: Reasoner, level: int, seed: str, pool: Sequence[Chain], chains: Sequence[Chain]
) -> HiddenUnit | None:
    """Return a unit whose first origin has a chain in `pool`; None when this draw gives none.

    The second one, where the level has two, is that of any of `chains`.
    """
    rng, book, twists = random.Random(seed), reasoner.book, TWISTS[level]
    first = _origin(book, rng, pool)
    origins = (first, _origin(book, rng, chains)) if Twist.TWO_ORIGINS in twists else (first,)
    fired = frozenset(ends for ends, link in book.links.items() if rng.random() < link.often.p)
    among = (pool, chains)
    told = tuple(
        next(c for c in some if c.verdict == origin)
        for origin, some in zip(origins, among, strict=False)
    )
    present = reached(origins, fired)
    if len(present) > (QUIET if Twist.LOUD in twists else SPREAD):
        return None
    unit = HiddenUnit(seed, told, present, fired, (), Twist.LOUD in twists)
    opened = _opened(reasoner, unit, twists, rng, own=False)
    return _chained(opened, among, short=Twist.LOUD in twists) if opened else None


def _origin(book: Book, rng: random.Random, chains: Sequence[Chain]) -> str:
    """Return an origin of some chains, by the odds that the book gives it."""
    weights: dict[str, float] = {}
    for chain in chains:
        origin = book.conditions[chain.verdict].origin
        p = origin.common.p if origin else 0.0
        weights[str(chain.verdict)] = p / (1.0 - p)
    left = rng.random() * sum(weights.values())
    for name in sorted(weights):
        left -= weights[name]
        if left < 0.0:
            return name
    return max(weights)


def _chained(unit: HiddenUnit, among: Sequence[Sequence[Chain]], short: bool) -> HiddenUnit | None:
    """Return the unit, each chain of it the one that fits best what it was noticed by.

    None where none fits, or where a short way is wanted and there is none.
    """
    told = []
    for first, end, some in zip(unit.chains, unit.ends, among, strict=False):
        own = [c for c in some if c.verdict == first.verdict]
        ranked = [
            (misfit, str(c.chain), n)
            for n, c in enumerate(own)
            if (misfit := _misfit(c, end, unit.fired)) is not None
        ]
        if not ranked:
            return None
        told.append(own[min(ranked)[2]])
    found = replace(unit, chains=tuple(told))
    return None if short and any(len(way) > SHORT for way in found.ways) else found


def _misfit(chain: Chain, end: str, fired: Links) -> int | None:
    """Return 0 where a chain led to an end, more where it led on to it; None where it did not."""
    path, found = chain.path(), str(chain.found)
    way = path[: path.index(end) + 1] if end in path else path
    if not set(pairwise(way)) <= fired:
        return None
    if end in path:
        return int(found != end)
    return 2 if end in reached([found], fired) else None


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
    reasoner: Reasoner,
    unit: HiddenUnit,
    twists: frozenset[Twist],
    rng: random.Random,
    own: bool = True,
) -> HiddenUnit | None:
    """Return the unit with what is known at the start, or None when it cannot be told so.

    It is noticed by the `own` end of each chain, where that is seen, or by whatever follows.
    """
    seen = outside(reasoner.book)
    # A figure that is worked out from others is nothing that somebody mentions beside.
    beside = [check for check in seen if not (check.reading and check.reading.work)]
    opening: dict[str, str] = {}
    ends: list[str] = []
    for one in unit.chains:
        signs = [s for s in _signs(reasoner.book, unit, one, seen, own) if s[0] not in opening]
        if not signs:
            return None
        check_id, word, end = pick(rng, signs)
        opening[check_id] = word
        ends.append(end)
    unit = replace(unit, ends=tuple(ends), opening=opening)
    if not _independent(unit):
        return None
    if Twist.RED_HERRING in twists:
        options = list(_herring(reasoner, unit, beside))
        if not options:
            return None
        check_id, word = pick(rng, options)
        unit = replace(unit, opening={**unit.opening, check_id: word}, herring=check_id)
    if Twist.DISPUTED in twists:
        options = list(_mistake(reasoner, unit, beside))
        if not options:
            return None
        check_id, word = pick(rng, options)
        unit = replace(unit, opening={**unit.opening, check_id: word}, mistaken=check_id)
    unit = _with_more(reasoner, unit, beside, rng)
    given = {c: _given(reasoner.book, unit, c, word) for c, word in unit.opening.items()}
    return replace(unit, opening=dict(in_any_order(rng, [*given.items()])))


def _given(book: Book, unit: HiddenUnit, check: str, word: str) -> str:
    """Return an answer as it is told: a word, or of a reading the figure."""
    record = book.checks[check]
    measured = record.reading is not None and word in record.answers
    return people(book, unit).read(record, word, "told").given if measured else word


def _signs(
    book: Book, unit: HiddenUnit, chain: Chain, seen: Sequence[Check], own: bool
) -> list[tuple[str, str, str]]:
    """Return (check, answer, condition) of what a chain was noticed by.

    That is its `own` end, else what follows on it; or else whatever follows on its origin. What the
    vehicle does comes before what is seen on the unit.
    """
    begin = str(chain.found if own else chain.verdict)
    after = reached([begin], unit.fired) - ({begin} if not own else set())
    signs = [
        (check.id, word, cid)
        for check in seen
        for word in (plainest(check, unit.present),)
        for cid in map(str, check.answers[word].shows)  # type: ignore[index]
        if cid in after and check.shows(word, cid)
    ]
    ends = [sign for sign in signs if own and sign[2] == str(chain.found)]
    told = [s for s in signs if book.conditions[s[2]].kind is Nature.COMPLAINT]
    return ends or told or signs


def _with_more(
    reasoner: Reasoner, unit: HiddenUnit, seen: Sequence[Check], rng: random.Random
) -> HiddenUnit:
    """Return the unit with a few more answers known, to looks that decide nothing of its ends.

    They are what people saw, who may err: looks that were picked by what they show would tell.
    """
    behind = causes_of(reasoner.graph, *unit.ends) | set(unit.ends)
    who = people(reasoner.book, unit)
    aside = [
        check
        for check in seen
        if check.id not in unit.opening and not check.decides() & behind and who.makes_sense(check)
    ]
    more = in_any_order(rng, aside)[:BESIDE]
    seen_as = who.exactly if unit.loud else who.answer
    told = {check.id: seen_as(check).word for check in more}
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
