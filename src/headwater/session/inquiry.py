"""An inquiry: the case so far, its verdict, and the moves a person can make. Used by every seat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.load import Replay, check_id, family_of, findings_of, stand_of, understand_all
from headwater.case.model import Case, Finding
from headwater.case.store import CaseWriter, finding_line, removal_line
from headwater.errors import Place
from headwater.measure.answer import RawAnswer, understand
from headwater.session.ask import NextCheck, next_checks
from headwater.session.search import search_checks
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.reach import Stand, still_to_open, within_reach


@dataclass(slots=True)
class Inquiry:
    """A case in progress. Every answer is on disk before the next question is asked."""

    book: Book
    case: Case
    reasoner: Reasoner
    stand: Stand
    findings: list[Finding]
    writer: CaseWriter | None = None
    clock: Callable[[], str] = lambda: ""
    _assessment: list[Assessment] = field(default_factory=list)

    @property
    def assessment(self) -> Assessment:
        """Return the verdict as it stands, worked out once after each answer."""
        if not self._assessment:
            judged = understand_all(self.reasoner.book, self.findings)
            self._assessment.append(self.reasoner.assess(judged.values(), self.stand))
        return self._assessment[0]

    @property
    def replay(self) -> Replay:
        """Return the case with its verdict, as every view takes it."""
        stale = self.case.book is not None and self.case.book.digest != self.book.digest
        judged = dict(self.assessment.stand.answered)
        return Replay(self.case, dict(self.case.unit.family), judged, self.assessment, stale)

    def next(self) -> list[NextCheck]:
        """Return the checks worth making now, best first."""
        return next_checks(self.assessment)

    def find(self, words: str) -> list[str]:
        """Return checks at this seat that fit some words."""
        usable = [c.id for c in self.reasoner.book.checks.values() if within_reach(c, self.stand)]
        return search_checks(self.reasoner.book, words, usable)

    def check(self, name: str) -> Check:
        """Return a check by id; raises CaseError that names the nearest one."""
        book = self.reasoner.book
        return book.checks[check_id(book, name, Place("(typed)"))]

    def answer(self, check: Check, given: RawAnswer, note: str = "") -> None:
        """Take an answer: understood first, then written to disk, then believed."""
        understand(self.reasoner.book, check, given)
        opens = still_to_open(self.reasoner.book, check, self.stand.removed)
        now = self.clock()
        if self.writer:
            lines = [removal_line(rid, self.stand.seat, now) for rid in opens]
            lines.append(finding_line(check.id, given, self.stand.seat, now, note))
            self.writer.append("".join(lines))
        self.findings.append(Finding(check.id, given, seat=self.stand.seat, note=note))
        self.stand = Stand(self.stand.seat, self.stand.removed | set(opens))
        self._assessment.clear()

    def take_back(self) -> Check | None:
        """Take the last answer back and return its check; it stays in the file, corrected."""
        known = [f.check for f in self.findings if f.given != DONT_KNOW]
        if not known:
            return None
        check = self.check(known[-1])
        self.answer(check, DONT_KNOW)
        return check


def open_inquiry(
    book: Book,
    case: Case,
    writer: CaseWriter | None = None,
    clock: Callable[[], str] = lambda: "",
    seat: Seat | None = None,
) -> Inquiry:
    """Return an inquiry over a case, with what was answered before."""
    reasoner = build_reasoner(book, family_of(book, case))
    stand = stand_of(book, case)
    if seat and seat is not stand.seat:
        removed = frozenset(book.removals) if seat is Seat.BENCH else stand.removed
        if case.unit.removed is not None:
            removed = stand.removed
        stand = Stand(seat, removed)
    findings = findings_of(case)
    understand_all(reasoner.book, findings)  # a bad finding is reported before the first question
    return Inquiry(book, case, reasoner, stand, findings, writer, clock)
