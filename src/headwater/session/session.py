"""A session: one case, from its first word to its verdict. Every front end drives it.

A case that is replayed from its file and a case that somebody is working on are the same thing:
findings in order, each understood once, where the person stands, and the verdict that follows. A
session belongs to one thread; the open book beneath it is shared.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.model import Case, EarlierWork, LogEntry
from headwater.case.store import CaseWriter, earlier_line, entry_line, value_of
from headwater.errors import Place
from headwater.measure.answer import Judged, RawAnswer
from headwater.rules.status import Explanation, Obstacle, Status, why, why_not
from headwater.session.ask import NextCheck, later_checks, next_checks
from headwater.session.findings import Finding, check_id, find_out, findings_of, latest
from headwater.session.openbook import OpenBook, family_of, stand_of
from headwater.session.search import search_checks
from headwater.verdict.assess import Assessment, Ending, Reasoner
from headwater.verdict.reach import Stand, still_to_open, within_reach

Clock = Callable[[], str]


@dataclass(frozen=True, slots=True)
class Why:
    """Why a condition has its status, and what keeps it from being confirmed."""

    condition: str
    status: Status
    reason: Explanation | None
    obstacles: tuple[Obstacle, ...]
    deciders: tuple[Check, ...]


@dataclass(slots=True)
class Session:
    """A case with its findings and where it stands. With a writer, every answer is on disk at once.

    `case` is the case as it would stand in its file, every answer so far in it. `family` is what
    the unit is, assumed attributes included. Not for two threads at once.
    """

    open_book: OpenBook
    case: Case
    family: dict[str, str]
    reasoner: Reasoner
    stand: Stand
    findings: list[Finding]
    writer: CaseWriter | None = None
    clock: Clock = lambda: ""
    _verdict: Assessment | None = field(default=None, repr=False)

    @property
    def book(self) -> Book:
        """The book as it applies to this unit."""
        return self.reasoner.book

    @property
    def answers(self) -> dict[str, Judged]:
        """The latest answer to each check, in the order given."""
        return {check: finding.judged for check, finding in latest(self.findings).items()}

    @property
    def verdict(self) -> Assessment:
        """The verdict as it stands, worked out once after each answer."""
        if self._verdict is None:
            self._verdict = self.reasoner.assess(self.answers.values(), self.stand)
        return self._verdict

    @property
    def fine(self) -> bool:
        """True when nothing is held or open: the case is settled, or nothing is wrong."""
        return self.verdict.ending in (Ending.SETTLED, Ending.HEALTHY)

    @property
    def settled(self) -> bool:
        """True when every finding is explained by a named origin."""
        return self.verdict.ending is Ending.SETTLED

    @property
    def held(self) -> frozenset[str]:
        """The parts on which no action is recommended yet."""
        return frozenset(self.verdict.held)

    @property
    def stale(self) -> bool:
        """True when the case was made with another state of the book."""
        made = self.case.book
        return made is not None and made.digest != self.open_book.book.digest

    def next(self) -> list[NextCheck]:
        """Return the checks worth making now, best first."""
        return next_checks(self.verdict)

    def later(self) -> list[NextCheck]:
        """Return what a later seat would settle, best first."""
        return later_checks(self.verdict)

    def why(self, condition: str) -> Why:
        """Return why a condition has its status, from the record of what was derived."""
        verdict = self.verdict
        derived = verdict.derivation
        kept = why_not(derived, verdict.reasoner.rules, condition)
        status, deciders = verdict.statuses[condition], verdict.reasoner.deciders[condition]
        return Why(condition, status, why(derived, condition), tuple(kept), deciders)

    def find(self, words: str) -> list[str]:
        """Return checks at this seat that fit some words."""
        usable = [c.id for c in self.book.checks.values() if within_reach(c, self.stand)]
        return search_checks(self.book, words, usable)

    def check(self, name: str) -> Check:
        """Return a check by id; raises CaseError that names the nearest one."""
        return self.book.checks[check_id(self.book, name, Place("(typed)"))]

    def answer(self, check: str, given: RawAnswer, note: str = "") -> Finding:
        """Take an answer: understood first, then written to disk, then believed."""
        now, seat = self.clock(), self.stand.seat
        finding = find_out(self.book, check, given, seat, now, note, Place("(typed)"))
        opens = still_to_open(self.book, self.book.checks[finding.check], self.stand.removed)
        entries = [LogEntry(removed=Ref(rid), seat=seat, at=now) for rid in opens]
        answered = LogEntry(
            check=Ref(finding.check), answer=value_of(given), seat=seat, at=now, note=note
        )
        entries.append(answered)
        if self.writer:
            self.writer.append("".join(map(entry_line, entries)))
        self.case = replace(self.case, findings=(*self.case.findings, *entries))
        self.findings.append(finding)
        self.stand = Stand(seat, self.stand.removed | set(opens))
        self._verdict = None
        return finding

    def remember(self, work: EarlierWork) -> None:
        """Take down what is told of work that was done before."""
        if self.writer:
            self.writer.tell(earlier_line(work))
        self.case = replace(self.case, before=work)
        self._verdict = None

    def back(self) -> Check | None:
        """Take the last answer back and return its check; it stays in the file, corrected."""
        known = [f.check for f in self.findings if f.judged.special != DONT_KNOW]
        if not known:
            return None
        self.answer(known[-1], DONT_KNOW)
        return self.book.checks[known[-1]]


def open_session(
    open_book: OpenBook,
    case: Case,
    seat: Seat | None = None,
    writer: CaseWriter | None = None,
    clock: Clock = lambda: "",
) -> Session:
    """Return a session over a case, at its own seat or another; a bad finding is reported now."""
    whole = open_book.book
    family = family_of(whole, case)
    stand = stand_of(whole, case)
    if seat and seat is not stand.seat:
        apart = case.unit.removed is None and seat is Seat.BENCH
        stand = Stand(seat, frozenset(whole.removals) if apart else stand.removed)
    reasoner = open_book.compiled(family)
    findings = findings_of(whole, reasoner.book, case)
    return Session(open_book, case, family, reasoner, stand, findings, writer, clock)
