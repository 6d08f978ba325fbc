"""Reads a case file and replays its findings against a book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.shape import Reader
from headwater.case.model import Case, Finding, LogEntry
from headwater.errors import HeadwaterError, Place
from headwater.measure.answer import Judged, RawAnswer, understand
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.reach import Stand, torn_down
from headwater.yamltext import Table, Value, parse, read_file


class CaseError(HeadwaterError):
    """A case file that cannot be used."""


def read_case(path: Path) -> Case:
    """Return the case in a file; raises CaseError or BookError with file, line and mend."""
    return parse_case(read_file(path), str(path))


def parse_case(text: str, file: str) -> Case:
    """Return the case in a text."""
    tree = parse(text, file)
    if not isinstance(tree.data, Table):
        raise CaseError("is no case: it must start with 'case: NAME'", tree.place)
    reader = Reader()
    case = reader.record(Case, tree)
    if reader.problems:
        first = sorted(reader.problems)[0]
        more = len(reader.problems) - 1
        tail = f" (and {more} more)" if more else ""
        raise CaseError(first.message + tail, first.place)
    assert isinstance(case, Case)
    for entry in case.findings:
        if bool(entry.check) == bool(entry.removed) or bool(entry.check) != bool(entry.answer):
            raise CaseError("a finding needs 'check' and 'answer', or 'removed'", entry.place)
    return case


def given_of(value: Value) -> RawAnswer:
    """Return an answer as written: a word, a reading, several readings, or inputs by name."""
    if isinstance(value.data, Table):
        return {key: _several(item) for key, _, item in value.data}
    if isinstance(value.data, tuple):
        return tuple(_plain(item) for item in value.data)
    return _plain(value)


def _several(value: Value) -> str:
    """Return one reading, or several as one text, as the bench arithmetic reads them."""
    items = value.data if isinstance(value.data, tuple) else (value,)
    return "; ".join(_plain(item) for item in items)


def _plain(value: Value) -> str:
    if isinstance(value.data, (Table, tuple)) or value.data is None:
        raise CaseError("an answer must be a word or a reading", value.place)
    if isinstance(value.data, bool):
        return "yes" if value.data else "no"
    return str(value.data)


def findings_of(case: Case) -> list[Finding]:
    """Return the answers of a case in order, corrected ones included."""
    return [_finding(e) for e in case.findings if e.check is not None]


def _finding(entry: LogEntry) -> Finding:
    assert entry.check is not None
    assert entry.answer is not None
    given = given_of(entry.answer)
    return Finding(str(entry.check), given, entry.check.place, entry.seat, entry.note)


def check_id(book: Book, name: str, place: Place) -> str:
    """Return the id of a check, an old id resolved; raises CaseError with the nearest one."""
    for known in (name, book.aliases.get(name, name)):
        if known in book.checks:
            return known
    raise CaseError(f"there is no check '{name}'{nearest(name, book.checks)}", place)


def understand_all(book: Book, findings: Iterable[Finding]) -> dict[str, Judged]:
    """Return the latest answer to each check, understood; a later one corrects an earlier."""
    judged: dict[str, Judged] = {}
    for finding in findings:
        cid = check_id(book, finding.check, finding.place)
        judged.pop(cid, None)
        judged[cid] = understand(book, book.checks[cid], finding.given, finding.place)
    return judged


@dataclass(frozen=True, slots=True)
class Replay:
    """A case, brought to its verdict. `stale` says that the book has changed since."""

    case: Case
    family: dict[str, str]
    judged: dict[str, Judged]
    assessment: Assessment
    stale: bool


def family_of(book: Book, case: Case) -> dict[str, str]:
    """Return the unit family of a case, checked against the book's attributes.

    Attributes that the case leaves out are not assumed, but where the book says so.
    """
    for name, value in case.unit.family.items():
        place = case.unit.place
        if name not in book.attributes:
            raise CaseError(
                f"there is no attribute '{name}'{nearest(name, book.attributes)}", place
            )
        values = book.attributes[name].values
        if value not in values:
            mend = nearest(value, values) or f"; it is one of {', '.join(values)}"
            raise CaseError(f"'{name}' cannot be '{value}'{mend}", place)
    return book.assumed | case.unit.family


def stand_of(book: Book, case: Case) -> Stand:
    """Return where a case stands: its seat and what is off."""
    if case.unit.removed is None:
        off = torn_down(book) if case.seat.value == "bench" else frozenset()
    else:
        off = frozenset(map(str, case.unit.removed))
    done = [entry.removed for entry in case.findings if entry.removed]
    for removal in (*(case.unit.removed or ()), *done):
        if removal not in book.removals:
            mend = nearest(removal, book.removals)
            raise CaseError(f"there is no removal '{removal}'{mend}", removal.place)
    return Stand(case.seat, off | {str(removal) for removal in done})


def replay(book: Book, case: Case, reasoner: Reasoner | None = None) -> Replay:
    """Return the verdict of a case under a book; the same case and book always give the same."""
    family = family_of(book, case)
    known = reasoner or build_reasoner(book, family)
    findings = findings_of(case)
    for finding in findings:
        if check_id(book, finding.check, finding.place) not in known.book.checks:
            text = f"check '{finding.check}' does not apply to this unit family"
            raise CaseError(f"{text}; mend the check or 'family'", finding.place)
    judged = understand_all(known.book, findings)
    assessment = known.assess(judged.values(), stand_of(book, case))
    stale = case.book is not None and case.book.digest != book.digest
    return Replay(case, family, judged, assessment, stale)
