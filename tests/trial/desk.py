"""The one place where the trial touches the program: it drives a Session and reads its verdict."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import POSSIBLE_AT, SPECIAL, VERB_RANK, Seat, Verb
from headwater.case.model import Case, CaseUnit
from headwater.session.ask import OWNER_MINUTES
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session
from headwater.verdict.account import Naming
from headwater.verdict.reach import minutes_to_open, still_to_open

LISTED_FROM = 0.01
"""Share from which a candidate is listed for a finding."""


@dataclass(frozen=True, slots=True)
class Told:
    """An answer given: to which check, in what words, what it comes to, and where."""

    check: str
    given: str
    word: str
    seat: Seat

    @property
    def tells(self) -> bool:
        """True unless it is 'don't know' or its like."""
        return self.word not in SPECIAL


@dataclass(frozen=True, slots=True)
class Release:
    """A damaged part on which work is recommended, and the origins named for each damage on it."""

    part: str
    named: Mapping[str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a verdict says. By finding: the origins `named`, the `proven` ones, those `listed`.

    `leading` is what is named for a finding or, where nothing is, the likeliest candidate.
    """

    settled: bool
    ending: str
    named: Mapping[str, frozenset[str]]
    proven: Mapping[str, frozenset[str]]
    listed: Mapping[str, frozenset[str]]
    leading: Mapping[str, frozenset[str]]
    releases: tuple[Release, ...]

    @property
    def origins(self) -> frozenset[str]:
        """Every origin named."""
        return frozenset[str]().union(*self.named.values())


class Desk:
    """A case on the program's desk: the vehicle on the hoist first, then the unit on the bench."""

    def __init__(self, opened: OpenBook, family: Mapping[str, str]) -> None:
        case = Case(case="trial", unit=CaseUnit(family=dict(family), removed=()), seat=Seat.HOIST)
        self.opened = opened
        self.session: Session = open_session(opened, case)
        self.minutes = 0.0
        self.told: list[Told] = []

    @property
    def book(self) -> Book:
        """The book as it applies to the unit."""
        return self.session.book

    @property
    def seat(self) -> Seat:
        """Where the person stands."""
        return self.session.stand.seat

    @property
    def settled(self) -> bool:
        """True when every finding is explained by a named origin."""
        return self.session.settled

    def to_bench(self) -> None:
        """Go on at the bench, with what is off so far."""
        self.session = open_session(self.opened, self.session.case, Seat.BENCH)

    def offered(self) -> list[str]:
        """Return the checks that the program asks for and that can be made here, best first."""
        asked = (item.check for item in self.session.next())
        return [cid for cid in asked if self.reaches(self.book.checks[cid])]

    def possible(self) -> list[Check]:
        """Return the checks that can be made here and were not, whether or not they tell."""
        answered = {told.check for told in self.told}
        checks = self.book.checks.values()
        return [check for check in checks if check.id not in answered and self.reaches(check)]

    def reaches(self, check: Check) -> bool:
        """Say whether a check can be made here."""
        return bool(POSSIBLE_AT[self.seat] & {*check.seats}) and not late(check, self.removed)

    @property
    def removed(self) -> frozenset[str]:
        """What is off."""
        return self.session.stand.removed

    def cost(self, check: Check) -> float:
        """Return the minutes of a check here, with what must be opened first."""
        opens = still_to_open(self.book, check, self.removed)
        return minutes_here(check, self.seat) + minutes_to_open(self.book, opens)

    def answer(self, check: str, given: str, word: str, free: bool = False) -> None:
        """Give an answer; `free` where it was known when the unit came in."""
        if not free:
            self.minutes += self.cost(self.book.checks[check])
        self.told.append(Told(check, given, word, self.seat))
        self.session.answer(check, given)

    def outcome(self) -> Outcome:
        """Return what the verdict says."""
        verdict = self.session.verdict
        named = {
            cid: {c.origin: c.naming for c in account.chains if c.naming is not Naming.OPEN}
            for cid, account in verdict.accounts.items()
        }
        listed = {
            cid: [c.origin for c in account.candidates if c.origin and c.share >= LISTED_FROM]
            for cid, account in verdict.accounts.items()
        }
        return Outcome(
            settled=self.settled,
            ending=str(verdict.ending),
            named={cid: frozenset(names) for cid, names in named.items()},
            proven={
                cid: frozenset(o for o, naming in names.items() if naming is Naming.PROVEN)
                for cid, names in named.items()
            },
            listed={cid: frozenset(names) for cid, names in listed.items()},
            leading={cid: frozenset(named[cid]) or frozenset(listed[cid][:1]) for cid in named},
            releases=tuple(self._releases(named)),
        )

    def _releases(self, named: Mapping[str, Collection[str]]) -> Iterable[Release]:
        for part, decision in self.session.verdict.decisions.items():
            damage = {c: frozenset(named[c]) for c in decision.conditions if c in named}
            action = decision.action
            if decision.released and damage and action is not None and works(action):
                yield Release(part, damage)


def works(action: Verb) -> bool:
    """Say whether what is done to the part needs a named origin: looks and washing do not."""
    return VERB_RANK[action] > VERB_RANK[Verb.CLEAN]


def late(check: Check, removed: Collection[str]) -> bool:
    """Say whether something is off that had to be on."""
    return any(removal in removed for removal in check.before)


def minutes_here(check: Check, seat: Seat) -> float:
    """Return the minutes of a check at a seat; the owner must be reached for what he alone knows.

    Opening comes on top.
    """
    return check.minutes + (0.0 if seat in check.seats else OWNER_MINUTES)


def least_minutes(check: Check) -> float:
    """Return the fewest minutes of a check at hoist or bench, opening not counted."""
    return min(minutes_here(check, seat) for seat in (Seat.HOIST, Seat.BENCH))


def retold(opened: OpenBook, family: Mapping[str, str], told: Iterable[Told], free: int) -> Desk:
    """Return a desk on which answers were given in order, the first `free` of them for nothing."""
    desk = Desk(opened, family)
    for index, one in enumerate(told):
        if one.seat is Seat.BENCH and desk.seat is not Seat.BENCH:
            desk.to_bench()
        desk.answer(one.check, one.given, one.word, free=index < free)
    return desk
