"""Sessions for tests: a case replayed on a book that is loaded already, a verdict as a session."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from headwater import outputs
from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import parse_case, raw_answer
from headwater.measure.answer import RawAnswer
from headwater.session.findings import Finding
from headwater.session.letterhead import Letterhead, Tax
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.reach import Stand

LETTERHEAD = Letterhead(letterhead="Ridge", warranty="A year.", tax=Tax(name="VAT", rate=19.0))
"""What an invented shop has on its papers."""


def replay(book: Book, case: Case, reasoner: Reasoner | None = None) -> Session:
    """Return a session over a case; a reasoner made for its family saves making one."""
    if reasoner is None:
        return open_session(OpenBook(book), case)
    return open_session(opened_with(book, book.assumed | case.unit.family, reasoner), case)


def at_hoist(
    book: Book, family: Mapping[str, str], reasoner: Reasoner | None = None, **answers: str
) -> Session:
    """Return a session over a case as it is written at the hoist; `_` in a check stands for `-`."""
    lines = "".join(
        f"  - {{check: {check.replace('_', '-')}, answer: {answer}}}\n"
        for check, answer in answers.items()
    )
    unit = ", ".join(f"{name}: {value}" for name, value in family.items())
    text = f"case: ridge-40\nseat: hoist\nunit: {{family: {{{unit}}}}}\nfindings:\n{lines}"
    return replay(book, parse_case(text, "ridge-40.yaml"), reasoner)


def opened_with(book: Book, family: Mapping[str, str], reasoner: Reasoner) -> OpenBook:
    """Return an open book that has been compiled for a family already."""
    opened = OpenBook(book)
    opened._compiled[tuple(sorted(family.items()))] = reasoner
    return opened


def raw_findings(case: Case) -> list[tuple[str, RawAnswer, str]]:
    """Return (check, answer as written, note) of each answer in a case."""
    return [
        (str(entry.check), raw_answer(entry.answer), entry.note)
        for entry in case.findings
        if entry.check and entry.answer
    ]


def as_session(assessment: Assessment) -> Session:
    """Return a verdict as the front ends take it."""
    case = Case(case="drawn", seat=assessment.stand.seat)
    findings = [Finding(judged) for judged in assessment.stand.answered.values()]
    opened = OpenBook(assessment.book)
    stand, reasoner = assessment.stand, assessment.reasoner
    return Session(opened, case, {}, reasoner, stand, findings, _verdict=assessment)


def open_at(case: Case, reasoner: Reasoner, stand: Stand) -> Session:
    """Return a session without findings on a compiled book, where the person stands."""
    return Session(OpenBook(reasoner.book), case, {}, reasoner, stand, [])


def contract(session: Session) -> Any:
    """Return the verdict of a case as other programs get it."""
    return json.loads(outputs.json_text("verdict", session))


def screen(name: str, told: Any) -> str:
    """Return an output as its lines, not yet wrapped."""
    return "\n".join(line.text for line in outputs.lines(name, told))
