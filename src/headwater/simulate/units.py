"""Simulated units: origins drawn by their starting chance, links fired, complaints told.

Only the causal graph of the book is read here, nothing of what the program believes or asks.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from math import log

from headwater.book.model import Check
from headwater.book.records import Book, effects_by_cause, spread
from headwater.book.tables import Nature, Seat

Links = frozenset[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Setting:
    """How hard a trial is: origins in a unit, and how well its answers can be trusted.

    `unsure` is the share of checks that a person cannot answer, `slips` that of answers that are
    another ordinary one, on top of what the observer's skill misses; `not_now` the share of askings
    met with 'cannot check now'. `plain` units give of each check the likeliest answer.
    """

    name: str
    origins: int = 1
    unsure: float = 0.05
    slips: float = 0.0
    not_now: float = 0.02
    plain: bool = False


SETTINGS: Mapping[str, Setting] = {
    setting.name: setting
    for setting in (
        Setting("plain"),
        Setting("slips", slips=0.05),
        Setting("unsure", unsure=0.30),
        Setting("two", origins=2),
        Setting("three", origins=3),
    )
}


@dataclass(frozen=True, slots=True)
class SimulatedUnit:
    """A unit with its hidden truth.

    `behind` gives for every condition present, for each origin that occurred and reaches it over
    links that fired, what may rightly be named for it: the origin, and of a usage also the first
    faults below it. `told` are the complaints (check -> its answer), in the order of the origins,
    and `found` the conditions that they show.
    """

    seed: int
    origins: frozenset[str]
    present: frozenset[str]
    behind: Mapping[str, tuple[frozenset[str], ...]]
    told: Mapping[str, str]
    found: tuple[str, ...]

    def causes(self, condition: str) -> frozenset[str]:
        """Return all that may rightly be named for a condition; nothing for one not there."""
        return frozenset[str]().union(*self.behind.get(condition, ()))


def draw_unit(book: Book, origins: int, seed: int) -> SimulatedUnit:
    """Return a unit each of whose origins has brought a complaint about (or plain damage).

    What is drawn is keyed by id, so that a record more in the book draws no other unit, unless it
    is drawn itself.
    """
    chances = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    attempt = 0
    while True:
        draw = partial(_drawn, seed, origins, attempt)
        drawn = sorted(chances, key=lambda cid: -log(draw(cid)) / chances[cid])[:origins]
        fired = frozenset(ends for ends, link in book.links.items() if draw(*ends) < link.often.p)
        complaints = [_complaints(book, reached([one], fired)) for one in drawn]
        if all(complaints):
            picked = [min(some, key=lambda one: draw("told", *one)) for some in complaints]
            return _unit(book, seed, drawn, fired, picked)
        attempt += 1


def _drawn(*key: object) -> float:
    """Return a number above 0 and below 1, of a stream of its own."""
    return random.Random("/".join(map(str, ("unit", *key)))).uniform(1e-12, 1.0)


def _unit(
    book: Book, seed: int, drawn: list[str], fired: Links, picked: list[tuple[str, str, str]]
) -> SimulatedUnit:
    behind: dict[str, list[frozenset[str]]] = {}
    for origin in drawn:
        for condition in reached([origin], fired):
            right = nameable(book, origin, condition, fired)
            behind.setdefault(condition, []).append(right)
    told: dict[str, str] = {}
    found: dict[str, None] = {}
    for check, word, condition in picked:
        if check not in told:
            told[check] = word
            found[condition] = None
    return SimulatedUnit(
        seed,
        frozenset(drawn),
        reached(drawn, fired),
        {condition: tuple(right) for condition, right in behind.items()},
        told,
        tuple(found),
    )


def reached(start: Iterable[str], fired: Iterable[tuple[str, str]]) -> frozenset[str]:
    """Return what some origins bring about over links that fired, themselves included."""
    return frozenset(spread(start, effects_by_cause(fired)))


def nameable(book: Book, origin: str, condition: str, fired: Links) -> frozenset[str]:
    """Return what may be named for a condition that an origin has brought about.

    A chain is named at its topmost fault; a usage above it is told beside it.
    """
    if not is_usage(book, origin):
        return frozenset({origin})
    onward = effects_by_cause(fired)
    below = spread([origin], lambda c: onward(c) if c == origin or not is_fault(book, c) else ())
    faults = {c for c in below if is_fault(book, c) and condition in reached([c], fired)}
    return frozenset({origin, *faults})


def is_usage(book: Book, condition: str) -> bool:
    """Say whether an origin was done to the vehicle or befell it."""
    origin = book.conditions[condition].origin
    return bool(origin and origin.usage)


def is_fault(book: Book, condition: str) -> bool:
    """Say whether a condition is an origin that can be put right."""
    return bool(book.conditions[condition].origin) and not is_usage(book, condition)


def _complaints(book: Book, present: frozenset[str]) -> list[tuple[str, str, str]]:
    """Return (check, answer, condition) of complaints that can be told; failing them, of damage."""
    for kind in (Nature.COMPLAINT, Nature.DAMAGE):
        found = [
            (str(check.id), str(word), str(cid))
            for check in book.checks.values()
            if not check.after and (kind is Nature.DAMAGE or Seat.CALL in check.seats)
            for word, answer in check.answers.items()
            for cid, sureness in answer.shows.items()
            if sureness.decisive and cid in present and book.conditions[cid].kind is kind
        ]
        if found:
            return found
    return []


def looks_that_show(
    checks: Iterable[Check], answers: Mapping[str, str], conditions: Iterable[str]
) -> frozenset[str]:
    """Return the checks whose given answer shows one of some conditions decisively."""
    wanted = set(conditions)
    return frozenset(
        str(check.id)
        for check in checks
        if check.id in answers and any(check.shows(answers[check.id], c) for c in wanted)
    )
