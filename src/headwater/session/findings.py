"""Findings: the answers of a case, each understood once, when it is given or read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.tables import GONE, TAKEN_BACK, Seat
from headwater.book.things import NOWHERE
from headwater.case.model import Case, LogEntry
from headwater.case.read import CaseError, raw_answer
from headwater.errors import HeadwaterError, Place, enough, refuse_all
from headwater.measure.answer import Judged, RawAnswer, understand


@dataclass(frozen=True, slots=True)
class Finding:
    """An answer given to a check, understood, with who stood where when it was given."""

    judged: Judged
    seat: Seat | None = None
    at: str = ""
    note: str = ""
    place: Place = NOWHERE
    corrects: int | None = None
    rest: bool = False

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
    given: RawAnswer | Judged,
    seat: Seat | None = None,
    at: str = "",
    note: str = "",
    place: Place = NOWHERE,
) -> Finding:
    """Return an answer to a check as a finding. Raises CaseError or AnswerError with the mend."""
    check = book.checks[check_id(book, name, place)]
    judged = given if isinstance(given, Judged) else understand(book, check, given, place)
    return Finding(replace(judged, seat=seat), seat, at, note, place)


def findings_of(whole: Book, own: Book, case: Case) -> list[Finding]:
    """Return the answers of a case in order, corrected ones included.

    `own` is the `whole` book narrowed to the unit: a check that it leaves out is a fault.
    """
    found: list[Finding] = []
    faults: list[HeadwaterError] = []
    for entry in case.findings:
        if enough(faults):
            break
        try:
            if entry.check is not None:
                found.append(_finding(whole, own, entry))
            elif entry.rest:
                found = rest_gone(own, found) if entry.rest == GONE else rest_not_gone(found)
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
    finding = find_out(own, name, given, entry.seat, entry.at, entry.note, place)
    return replace(finding, corrects=entry.corrects)


def numbered(findings: Iterable[Finding]) -> list[tuple[int, Finding]]:
    """Return the answers with their numbers in the case, counted from 1; corrected ones, too."""
    return list(enumerate((f for f in findings if not f.rest), 1))


def standing(findings: Iterable[Finding]) -> list[Finding]:
    """Return the answers that stand: neither corrected nor taken back. A second is another look."""
    found = list(findings)
    corrected = {f.corrects for f in found if f.corrects is not None}
    away = {id(f) for number, f in numbered(found) if number in corrected}
    return [f for f in found if id(f) not in away and f.judged.special != TAKEN_BACK]


def rest_gone(book: Book, findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings with all looks that are not told gone; the owner can still be asked."""
    found = list(findings)
    told = {f.check for f in standing(found) if f.judged.special is None}
    return found + [
        Finding(Judged(check.id, GONE, special=GONE), rest=True)
        for check in book.checks.values()
        if check.id not in told and set(check.seats) != {Seat.CALL}
    ]


def rest_not_gone(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings without what was said to be gone as a whole."""
    return [finding for finding in findings if not finding.rest]


def latest(findings: Iterable[Finding]) -> dict[str, Finding]:
    """Return the latest standing finding of each check, in the order given."""
    found: dict[str, Finding] = {}
    for finding in standing(findings):
        if finding.rest:
            continue
        found.pop(finding.check, None)
        found[finding.check] = finding
    return found
