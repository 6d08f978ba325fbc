"""Units for the trial: origins drawn from the book, their damage simulated, a person to answer.

Nothing here looks at what the planner believes. The truth of a unit is fixed first; the answers
that a person would give to every check are then drawn from the sureness table, each from a random
stream of its own, so that every policy meets the same unit and hears the same answers.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass

from headwater.belief.particles import spoken_of
from headwater.book.load import Book
from headwater.book.model import Check
from headwater.book.tables import Nature, Seat
from headwater.measure.answer import DONT_KNOW, Judged
from headwater.rules.evidence import likelihoods


@dataclass(frozen=True, slots=True)
class Setting:
    """How hard a trial is: origins in a unit, and how well its answers can be trusted.

    `unsure` is the share of checks answered 'don't know', `slips` the share answered at random
    whatever the truth, on top of the noise that the sureness table allows.
    """

    name: str
    origins: int
    unsure: float = 0.15
    slips: float = 0.0


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit with its hidden truth. `traces` are the origins that left damage or a complaint.

    `complaints` are the checks whose answers it comes in with.
    """

    seed: int
    setting: Setting
    origins: frozenset[str]
    present: frozenset[str]
    traces: frozenset[str]
    complaints: tuple[str, ...]

    def answer(self, check: Check, time: int = 0) -> Judged:
        """Return what the person answers; `time` counts how often the check was made before."""
        stream = random.Random(f"{self.seed}/{check.id}/{time}")
        words = [str(word) for word in check.answers]
        if stream.random() < self.setting.unsure:
            return Judged(check.id, DONT_KNOW, special=DONT_KNOW)
        if stream.random() < self.setting.slips:
            word = stream.choice(words)
        else:
            word = stream.choices(words, answer_weights(check, self.present))[0]
        return Judged(check.id, word, ((word, 1.0),), settled=word)

    def first(self, book: Book) -> list[Judged]:
        """Return what is known when the unit comes in: a complaint or visible damage each."""
        found = []
        for check in (book.checks[cid] for cid in self.complaints):
            weights = answer_weights(check, self.present)
            word = str(list(check.answers)[weights.index(max(weights))])
            found.append(Judged(check.id, word, ((word, 1.0),), settled=word))
        return found


def answer_weights(check: Check, present: Iterable[str]) -> list[float]:
    """Return how likely each answer of a check is, given what is present."""
    there = frozenset(present)
    weights = []
    for answer in check.answers.values():
        weight = 1.0
        for condition in spoken_of(check):
            pair = likelihoods(answer, condition)
            weight *= pair[0] if condition in there else pair[1]
        weights.append(weight)
    return weights


def spread(book: Book, origins: Iterable[str], stream: random.Random) -> frozenset[str]:
    """Return what the origins bring about in one world: each link fires or not, once."""
    effects: dict[str, list[str]] = {}
    for (cause, effect), link in book.links.items():
        if stream.random() < link.often.p:
            effects.setdefault(cause, []).append(effect)
    present = set(origins)
    frontier = list(present)
    while frontier:
        for effect in effects.get(frontier.pop(), ()):
            if effect not in present:
                present.add(effect)
                frontier.append(effect)
    return frozenset(present)


def draw_unit(book: Book, setting: Setting, seed: int) -> Unit:
    """Return a unit in which every origin has left a mark, one mark of each known."""
    stream = random.Random(f"unit/{seed}/{setting.origins}")
    chances = {cid: c.origin.common.p for cid, c in book.conditions.items() if c.origin}
    while True:
        origins: dict[str, None] = {}
        while len(origins) < setting.origins:
            origins[stream.choices(list(chances), list(chances.values()))[0]] = None
        alone = {origin: spread(book, [origin], stream) for origin in origins}
        present = frozenset[str]().union(*alone.values())
        traces = {o for o, reached in alone.items() if any(_mark(book, c) for c in reached)}
        known = [_opening_checks(book, reached) for reached in alone.values()]
        if all(known) and len(traces) == setting.origins:
            complaints = dict.fromkeys(stream.choice(checks) for checks in known)
            return Unit(
                seed, setting, frozenset(origins), present, frozenset(traces), tuple(complaints)
            )


def _mark(book: Book, cid: str) -> bool:
    return book.conditions[cid].kind in (Nature.DAMAGE, Nature.COMPLAINT)


def _opening_checks(book: Book, present: frozenset[str]) -> list[str]:
    """Return checks of the closed unit that decide a complaint, or failing that damage."""
    for kind in (Nature.COMPLAINT, Nature.DAMAGE):
        found = [
            check.id
            for check in book.checks.values()
            if not check.after
            and Seat.CALL in check.seats + (Seat.CALL,) * (kind is Nature.DAMAGE)
            and any(
                sureness.decisive and cid in present and book.conditions[cid].kind is kind
                for answer in check.answers.values()
                for cid, sureness in answer.shows.items()
            )
        ]
        if found:
            return found
    return []
