"""Questions that never changed a verdict: each answer of some cases is taken out by itself.

What ending and named origins come to without it is held against what they came to with it. It may
still have been worth asking: to make sure, or because another answer says the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from sqlalchemy import select

from headwater.errors import HeadwaterError
from headwater.ledger.door import Ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.records import CountRow, IdleQuestions
from headwater.ledger.tables import cases
from headwater.session.findings import Finding, standing
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session

MOST_ANSWERS = 400
"""Answers that are taken out at most: each costs a verdict."""
FEWEST_ASKED = 2
"""Times that a question must have been asked to be told."""
MOST_TOLD = 10
Asked = tuple[str, str]
"""A check, and the seat at which it was answered."""


def idle_questions(ledger: Ledger, book: OpenBook, most: int) -> IdleQuestions:
    """Return the questions that never changed a verdict in the last cases that were done."""
    asked, changed = Counter[Asked](), Counter[Asked]()
    tried = answers = 0
    for session in _sessions(ledger, book, most):
        given = [replace(one, corrects=None) for one in standing(session.findings)]
        if answers + len(given) > MOST_ANSWERS:
            break
        tried, answers = tried + 1, answers + len(given)
        whole = _came_to(session)
        for place, one in enumerate(given):
            question = one.check, (one.seat or session.case.seat).value
            asked[question] += 1
            changed[question] += _came_to(_without(session, given, place)) != whole
    never = [(n, *question) for question, n in asked.items() if not changed[question]]
    rows = [
        CountRow(check, n, seat, book.book.owner.get(("checks", check), ""))
        for n, check, seat in sorted(never, key=lambda one: (-one[0], one[1:]))
        if n >= FEWEST_ASKED
    ]
    return IdleQuestions(tried, answers, tuple(rows[:MOST_TOLD]))


def _sessions(ledger: Ledger, book: OpenBook, most: int) -> Iterator[Session]:
    """Yield the last cases that were done, as far as this book can read them."""
    done = cases.c.out_on.is_not(None) & (cases.c.source == "case")
    wanted = select(cases.c.name).where(done).order_by(cases.c.out_on.desc(), cases.c.id.desc())
    with ledger.reading() as connection:
        names = connection.scalars(wanted.limit(most)).all()
    for name in names:
        try:
            yield open_session(book, LedgerCase(ledger, name).case())
        except HeadwaterError:
            continue


def _without(session: Session, given: list[Finding], place: int) -> Session:
    return replace(session, findings=given[:place] + given[place + 1 :], _verdict=None)


def _came_to(session: Session) -> tuple[object, ...]:
    verdict = session.verdict
    return verdict.ending, sorted(verdict.origins.items())
