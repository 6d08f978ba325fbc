"""One unit from its complaints to the verdict, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from trial.desk import Desk, Outcome, Release, Told

from headwater.book.model import Check
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, Seat
from headwater.session.openbook import OpenBook
from headwater.simulate.observer import Asked, Observer, Reply
from headwater.simulate.units import SimulatedUnit

AT_MOST = 400
"""Askings after which a sitting is given up: more than the shipped book has checks."""
TIMES = 5
"""Askings of one check after which it is left alone."""
EVERY = 16
"""Checks between two looks at the verdict where the order does not hang on it (to save time)."""

Choice = Callable[[Desk, Mapping[str, int]], str | None]


@dataclass(frozen=True, slots=True)
class Sitting:
    """What came of a unit. `minutes` and `asked` run up to the verdict, `sweep` is spent after it.

    `told` are all answers in order, the complaints first.
    """

    outcome: Outcome
    minutes: float
    asked: int
    sweep: float
    told: tuple[Told, ...]


@dataclass(slots=True)
class People:
    """Who is asked: after 'don't know' somebody else, else the one who answered before."""

    observer: Observer
    askings: dict[str, Asked] = field(default_factory=dict)
    last: dict[str, str] = field(default_factory=dict)
    times: dict[str, int] = field(default_factory=dict)

    def ask(self, check: Check) -> Reply:
        """Return what is answered, this time."""
        before = self.askings.get(check.id)
        if before is None:
            now = Asked()
        elif self.last[check.id] == DONT_KNOW:
            now = Asked(before.person + 1)
        else:
            now = Asked(before.person, before.time + 1)
        heard = self.observer.answer(check, now)
        self.askings[check.id], self.last[check.id] = now, heard.word
        self.times[check.id] = self.times.get(check.id, 0) + 1
        return heard

    def put_off(self, desk: Desk) -> list[Check]:
        """Return the checks that could not be made when they were asked for, and can be here."""
        checks = (desk.book.checks[cid] for cid, word in self.last.items() if word == CANNOT_CHECK)
        return [check for check in checks if self.times[check.id] < TIMES and desk.reaches(check)]


def planner(desk: Desk, times: Mapping[str, int]) -> str | None:
    """Ask what the program asks for."""
    return next((cid for cid in desk.offered() if times.get(cid, 0) < TIMES), None)


def cheapest(desk: Desk, times: Mapping[str, int]) -> str | None:
    """Make whatever takes the fewest minutes, opening included."""
    left = [check for check in desk.possible() if not times.get(check.id)]
    best = min(left, key=lambda check: (desk.cost(check), check.id), default=None)
    return None if best is None else str(best.id)


def begin(opened: OpenBook, family: Mapping[str, str], unit: SimulatedUnit, people: People) -> Desk:
    """Return a desk on which the complaints of a unit have been told."""
    desk = Desk(opened, family)
    for check, word in unit.told.items():
        desk.answer(check, word, word, free=True)
        people.askings[check], people.last[check], people.times[check] = Asked(), word, 1
    return desk


def next_look(desk: Desk, people: People, choice: Choice) -> str | None:
    """Return what is to be looked at next, at the bench where nothing is left on the hoist.

    What could not be made when it was asked for is tried again before that.
    """
    wanted = choice(desk, people.times)
    if wanted is not None or desk.settled:
        return wanted
    for check in people.put_off(desk):
        return str(check.id)
    if desk.seat is Seat.BENCH:
        return None
    desk.to_bench()
    return next_look(desk, people, choice)


def sit(opened: OpenBook, family: Mapping[str, str], observer: Observer, choice: Choice) -> Sitting:
    """Return what a way of asking makes of a unit; once the verdict stands it may sweep on."""
    people = People(observer)
    desk = begin(opened, family, observer.unit, people)
    stood: tuple[float, int] | None = None
    for asked in range(AT_MOST):
        minds = choice is planner or asked % EVERY == 0
        if minds and not desk.settled:
            stood = None
        elif minds and stood is None:
            stood = (desk.minutes, asked)
        if stood is not None and choice is not planner:
            break
        wanted = next_look(desk, people, choice)
        if wanted is None:
            break
        heard = people.ask(desk.book.checks[wanted])
        desk.answer(wanted, heard.given, heard.word)
    whole = (desk.minutes, len(desk.told) - len(observer.unit.told))
    minutes, asked = stood if stood and desk.settled else whole
    return Sitting(desk.outcome(), minutes, asked, desk.minutes - minutes, tuple(desk.told))


def is_right(outcome: Outcome, unit: SimulatedUnit) -> bool:
    """Say whether the names are right: a true cause for every finding that is there, no other."""
    if not outcome.origins or not outcome.origins <= unit.present:
        return False
    true = {cid: names for cid, names in outcome.named.items() if cid in unit.present}
    return all(names & unit.causes(cid) for cid, names in true.items())


def is_wrong(release: Release, unit: SimulatedUnit) -> bool:
    """Say whether a part is worked on though no true origin of some damage on it is named.

    Where the damage itself is not there, the named origin must be.
    """
    return any(
        not names & (unit.causes(cid) if cid in unit.present else unit.present)
        for cid, names in release.named.items()
    )


def leaves_one(release: Release, unit: SimulatedUnit) -> bool:
    """Say whether a part is worked on while a true origin of some damage on it is not named."""
    return any(
        not names & right
        for cid, names in release.named.items()
        for right in unit.behind.get(cid, ())
    )
