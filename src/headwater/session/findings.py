"""Findings: the answers of a case, each understood once, when it is given or read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.book.things import NOWHERE
from headwater.case.model import Case, LogEntry
from headwater.case.read import CaseError, raw_answer
from headwater.errors import HeadwaterError, Place, refuse_all
from headwater.measure.answer import Judged, RawAnswer, understand


@dataclass(frozen=True, slots=True)
class Finding:
    """An answer given to a check, understood, with who stood where when it was given."""

    judged: Judged
    seat: Seat | None = None
    at: str = ""
    note: str = ""
    place: Place = NOWHERE

    @property
    def check(self) -> str:
        """The check answered."""
        return self.judged.check


def check_id(book: Book, name: str, place: Place) -> str:
    """Return the id of a check, an old id resolved; raises CaseError with the nearest one."""
    for known in (name, book.aliases.get(name, name)):
        if known in book.checks:
            return known
    raise CaseError(f"there is no check '{name}'{nearest(name, book.checks)}", place)


def find_out(
    book: Book,
    name: str,
    given: RawAnswer,
    seat: Seat | None = None,
    at: str = "",
    note: str = "",
    place: Place = NOWHERE,
) -> Finding:
    """Return an answer to a check as a finding. Raises CaseError or AnswerError with the mend."""
    check = book.checks[check_id(book, name, place)]
    return Finding(understand(book, check, given, place), seat, at, note, place)


def findings_of(whole: Book, own: Book, case: Case) -> list[Finding]:
    """Return the answers of a case in order, corrected ones included.

    `own` is the `whole` book narrowed to the unit: a check that it leaves out is a fault.
    """
    found: list[Finding] = []
    faults: list[HeadwaterError] = []
    for entry in case.findings:
        if entry.check is not None:
            try:
                found.append(_finding(whole, own, entry))
            except HeadwaterError as fault:
                faults.append(fault)
    refuse_all(faults)
    return found


def _finding(whole: Book, own: Book, entry: LogEntry) -> Finding:
    assert entry.check is not None
    assert entry.answer is not None
    name, place = str(entry.check), entry.check.place
    if check_id(whole, name, place) not in own.checks:
        text = f"check '{name}' does not apply to this unit family"
        raise CaseError(f"{text}; mend the check or 'family'", place)
    given = raw_answer(entry.answer)
    return find_out(own, name, given, entry.seat, entry.at, entry.note, place)


def latest(findings: Iterable[Finding]) -> dict[str, Finding]:
    """Return the latest finding of each check, in the order given: it corrects an earlier one."""
    found: dict[str, Finding] = {}
    for finding in findings:
        found.pop(finding.check, None)
        found[finding.check] = finding
    return found
