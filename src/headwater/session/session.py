"""A session: one case, from its first word to its verdict. Every front end drives it.

A case that is replayed from its file and a case that somebody is working on are the same thing:
findings in order, each understood once, where the person stands, and the verdict that follows. A
session belongs to one thread; the open book beneath it is shared.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import TAKEN_BACK, Nature, Seat
from headwater.case.casestore import CaseStore
from headwater.case.model import Case, EarlierWork, LogEntry
from headwater.case.read import CaseError
from headwater.case.store import earlier_line, entry_line, value_of
from headwater.errors import Place
from headwater.measure.answer import Judged, RawAnswer
from headwater.rules.status import Explanation, Obstacle, Status, why, why_not
from headwater.session.ask import (
    NextCheck,
    Purpose,
    later_checks,
    next_checks,
    not_worth_asking,
)
from headwater.session.earlier import earlier_chances
from headwater.session.findings import (
    Finding,
    check_id,
    find_out,
    findings_of,
    latest,
    numbered,
    rest_gone,
    rest_not_gone,
    standing,
)
from headwater.session.openbook import OpenBook, family_of, stand_of
from headwater.session.tosee import still_to_see
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.reach import Stand, still_to_open, within_reach

if TYPE_CHECKING:
    from headwater.hearing.understand import Understanding

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

    `case` is as it would stand in its file, every answer in it; `family` what the unit is, assumed
    attributes included; `turned_down` what was dropped, `calmed` words of no danger. One thread.
    """

    open_book: OpenBook
    case: Case
    family: dict[str, str]
    reasoner: Reasoner
    stand: Stand
    findings: list[Finding]
    writer: CaseStore | None = None
    clock: Clock = lambda: ""
    turned_down: set[str] = field(default_factory=set)
    calmed: set[str] = field(default_factory=set)
    signs_listed: bool = False
    _verdict: Assessment | None = field(default=None, repr=False)
    _ranked: tuple[Assessment, list[NextCheck]] | None = field(default=None, repr=False)
    _sweep: tuple[str, ...] | None = field(default=None, repr=False)

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
            told = [finding.judged for finding in standing(self.findings)]
            left, ear = self.case.left_aside, self.open_book
            stand = replace(
                self.stand,
                unplaced=self.unplaced,
                not_understood=any(map(self.open_book.tells_a_state, self.case.not_placed)),
                to_see=self.to_see,
                left_aside=bool(left and ear.which_may_tell(left, self.case.told)),
                left_telling=any(map(ear.may_complain, left)),
                outside=self.case.outside,
            )
            self._verdict = self.reasoner.assess(told, stand)
        return self._verdict

    @property
    def fine(self) -> bool:
        """True when nothing is held or open: the case is settled, or nothing is wrong."""
        return self.settled or self.verdict.ending is Ending.SOUND

    @property
    def settled(self) -> bool:
        """True when every finding is explained by a named origin."""
        return self.verdict.settled

    @property
    def unplaced(self) -> bool:
        """True while something that was said is placed nowhere.

        That is words that were not understood, a complaint that no answer speaks of, and what was
        spoken of and nobody has looked at yet.
        """
        if self.case.not_placed or self.to_see:
            return True
        if not self.case.complaint or any(entry.told for entry in self.case.findings):
            return False
        told = (self.book.checks[f.check] for f in standing(self.findings) if f.judged.shares)
        kinds = {
            self.book.conditions[c].kind
            for check in told
            for c in check.speaks_of()
            if c in self.book.conditions
        }
        return Nature.COMPLAINT not in kinds

    @property
    def to_see(self) -> tuple[str, ...]:
        """The conditions that somebody spoke of and no look has decided yet, by id."""
        return still_to_see(self.book, self.case.meant, self.answers)

    @property
    def held(self) -> frozenset[str]:
        """The parts on which no action is recommended yet."""
        return frozenset(self.verdict.held)

    @property
    def released(self) -> frozenset[str]:
        """The damaged parts that something is recommended for."""
        decisions = self.verdict.decisions.values()
        return frozenset(d.part for d in decisions if d.conditions and not d.held)

    @property
    def stale(self) -> bool:
        """True when the case was made with another state of the book."""
        made = self.case.book
        return made is not None and made.digest != self.open_book.book.digest

    def next(self) -> list[NextCheck]:
        """Return the checks worth making now, best first."""
        if self._ranked is None or self._ranked[0] is not self.verdict:
            self._ranked = (self.verdict, next_checks(self.verdict))
        found = list(self._ranked[1])
        if not any(item.purpose is Purpose.SWEEP for item in found):
            return found
        if self._sweep is None:
            self._sweep = tuple(item.check for item in found)
        return [item for item in found if item.check in self._sweep]

    @property
    def swept(self) -> tuple[int, int]:
        """How many looks of the sweep were answered, of how many."""
        sweep = self._sweep or ()
        return sum(check in self.answers for check in sweep), len(sweep)

    def later(self) -> list[NextCheck]:
        """Return what a later seat would settle, best first."""
        return later_checks(self.verdict)

    def not_worth_asking(self) -> list[NextCheck]:
        """Return the looks left that would cost more than they are expected to save, best first."""
        return not_worth_asking(self.verdict)

    def why(self, condition: str) -> Why:
        """Return why a condition has its status, from the record of what was derived."""
        verdict = self.verdict
        derived = verdict.derivation
        kept = why_not(derived, verdict.reasoner.rules, condition)
        status, deciders = verdict.statuses[condition], verdict.reasoner.deciders[condition]
        return Why(condition, status, why(derived, condition), tuple(kept), deciders)

    def find(self, words: str) -> list[str]:
        """Return checks at this seat that fit some words."""
        from headwater.hearing.search import search_checks

        usable = [c.id for c in self.book.checks.values() if within_reach(c, self.stand)]
        return search_checks(self.open_book.index, self.book, words, usable)

    def understand(self, words: str) -> Understanding:
        """Return what some words say, of what this unit can have."""
        from headwater.hearing.understand import understand

        return understand(self.open_book.index, words, self.book)

    def check(self, name: str) -> Check:
        """Return a check by id; raises CaseError that names the nearest one."""
        return self.book.checks[check_id(self.book, name, Place("(typed)"))]

    def answer(
        self,
        check: str,
        given: RawAnswer | Judged,
        note: str = "",
        corrects: int | None = None,
        *,
        told: bool = False,
        sent: str = "",
    ) -> Finding:
        """Take an answer: understood first, then written to disk, then believed.

        A second answer to a check is another look, unless it `corrects` an answer by its number.
        What is only `told` was seen by somebody at some time: nothing is taken off for it now.
        `sent` is what a page gave it, if it waited there.
        """
        now, seat = self.clock(), self.stand.seat
        finding = find_out(self.book, check, given, seat, now, note, Place("(typed)"))
        record = self.book.checks[finding.check]
        opens = [] if told else still_to_open(self.book, record, self.stand.removed)
        entries = [LogEntry(removed=Ref(rid), seat=seat, at=now) for rid in opens]
        value = value_of(given.given if isinstance(given, Judged) else given)
        answered = LogEntry(check=Ref(finding.check), answer=value, seat=seat, at=now, note=note)
        self.log(*entries, replace(answered, corrects=corrects, sent=sent))
        self.findings = [*self.findings, replace(finding, corrects=corrects)]
        self.stand = replace(self.stand, removed=self.stand.removed | set(opens))
        return finding

    def tell(
        self,
        words: str,
        unplaced: Iterable[str] = (),
        outside: Iterable[str] = (),
        means: Iterable[str] = (),
    ) -> None:
        """Take down what was said, word for word, with what of it is in no answer."""
        left, beside, meant = tuple(unplaced), tuple(outside), tuple(means)
        entry = LogEntry(told=words, unplaced=left, outside=beside, means=meant)
        self.log(replace(entry, seat=self.stand.seat, at=self.clock()))

    def forget_complaint(self) -> None:
        """Take the first words back, before anything was taken down from them."""
        if self.case.findings or not self.case.complaint:
            return
        if self.writer:
            self.writer.forget_complaint()
        self.case = replace(self.case, complaint="")
        self._verdict = None

    def describe(self, family: Mapping[str, str]) -> None:
        """Take down what the unit turns out to be; the book is narrowed to it.

        Raises CaseError, and changes nothing, where an answer given does not apply to such a unit.
        """
        entry = LogEntry(family=dict(family), seat=self.stand.seat, at=self.clock())
        case = replace(self.case, findings=(*self.case.findings, entry))
        whole = self.open_book.book
        found = family_of(whole, case)
        reasoner = self.open_book.compiled(found)
        reasoner = self.open_book.after_work(found, earlier_chances(reasoner.book, case))
        findings_of(whole, reasoner.book, case)
        self.log(entry)
        self.family, self.reasoner = found, reasoner

    def strike(self, words: str, reason: str) -> str:
        """Leave aside what was said and not placed, or a sign or trouble that is not so.

        Raises CaseError that names what there is.
        """
        left = {one: one for one in self.case.not_placed} | self.outside_titles()
        fit = [one for one in left if words.lower() in left[one].lower()]
        # The words themselves come before what only has them in it.
        struck = min(fit, key=lambda one: len(left[one]), default=None)
        if struck is None:
            known = "; ".join(f"'{one}'" for one in left.values()) or "nothing"
            raise CaseError(f"'{words}' is not among what was not placed: {known}")
        if not reason.strip():
            mend = f"'strike {left[struck]}: the reason'"
            raise CaseError(f"say why '{left[struck]}' is left aside: {mend}")
        self._strike(struck, reason)
        return left[struck]

    def strike_the_rest(self, reason: str) -> None:
        """Leave aside all that was said and not placed, for one reason."""
        for words in self.case.not_placed:
            self._strike(words, reason)

    def outside_titles(self) -> dict[str, str]:
        """Return the signs of danger and troubles outside that were told and stand, id -> words."""
        book = self.open_book.book
        titles = {oid: trouble.title for oid, trouble in book.elsewhere.items()}
        titles |= {oid: sign.title for oid, sign in book.emergencies.items()}
        return {one: titles[one] for one in self.case.outside if one in titles}

    def _strike(self, struck: str, reason: str) -> None:
        self.log(LogEntry(struck=struck, note=reason, seat=self.stand.seat, at=self.clock()))

    def remember(self, work: EarlierWork) -> None:
        """Take down what is told of work that was done before."""
        if self.writer:
            self.writer.tell(earlier_line(work))
        self.case = replace(self.case, before=work)
        chances = earlier_chances(self.book, self.case)
        self.reasoner = self.open_book.after_work(self.family, chances)
        self._verdict = None

    def back(self) -> Check | None:
        """Take the last answer that stands back, as far as the first; it stays in the file."""
        if any(finding.rest for finding in self.findings):
            return self._back_from_gone()
        stand = {id(finding) for finding in standing(self.findings)}
        open_ones = [(n, f) for n, f in numbered(self.findings) if id(f) in stand]
        if not open_ones:
            return None
        number, last = open_ones[-1]
        self.answer(last.check, TAKEN_BACK, corrects=number)
        return self.book.checks[last.check]

    def _back_from_gone(self) -> Check | None:
        self.log(LogEntry(rest="not-gone", seat=self.stand.seat, at=self.clock()))
        self.findings = rest_not_gone(self.findings)
        last = list(self.answers)[-1:]
        return self.book.checks[last[0]] if last else None

    def rest_is_gone(self) -> None:
        """Say that no look not made so far can be made any more."""
        self.log(LogEntry(rest="gone", seat=self.stand.seat, at=self.clock()))
        self.findings = rest_gone(self.book, self.findings)

    @property
    def acceptable(self) -> tuple[str, ...]:
        """The findings whose probable origin may be taken: nothing costly or final hangs on it."""
        return tuple(c for c, a in self.verdict.accounts.items() if a.acceptable)

    def accept(self) -> None:
        """Take the probable origins as they stand, where nothing costly or final hangs on them."""
        taken, seat, now = self.acceptable, self.stand.seat, self.clock()
        self.log(*(LogEntry(accepted=Ref(c), seat=seat, at=now) for c in taken))
        self.stand = replace(self.stand, accepted=self.stand.accepted | set(taken))

    def log(self, *entries: LogEntry) -> None:
        """Write entries to disk, then into the case; what hangs on them is worked out anew."""
        if self.writer:
            self.writer.append("".join(map(entry_line, entries)))
        self.case = replace(self.case, findings=(*self.case.findings, *entries))
        self._verdict = None


def open_session(
    open_book: OpenBook,
    case: Case,
    seat: Seat | None = None,
    writer: CaseStore | None = None,
    clock: Clock = lambda: "",
) -> Session:
    """Return a session over a case, at its own seat or another; a bad finding is reported now."""
    whole = open_book.book
    family = family_of(whole, case)
    stand = stand_of(whole, case)
    if seat and seat is not stand.seat:
        apart = case.unit.removed is None and seat is Seat.BENCH
        off = frozenset(whole.removals) if apart else stand.removed
        stand = replace(stand, seat=seat, removed=off)
    reasoner = open_book.compiled(family)
    reasoner = open_book.after_work(family, earlier_chances(reasoner.book, case))
    findings = findings_of(whole, reasoner.book, case)
    return Session(open_book, case, family, reasoner, stand, findings, writer, clock)
