"""Sessions on the shipped book for tests: a unit in pieces on the bench, or one still closed."""

from __future__ import annotations

from collections.abc import Iterable

from sessions import opened_with, screen

from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import parse_case
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner
from headwater.verdict.reach import Stand, torn_down

Given = tuple[str, str]


def in_pieces(reasoner: Reasoner, *given: Given, stand: Stand | None = None) -> Session:
    """Return a session with some answers, on a unit in pieces or where somebody stands."""
    here = stand or Stand(removed=torn_down(reasoner.book))
    case = Case(case="ridge-90", seat=here.seat)
    session = Session(OpenBook(reasoner.book), case, {}, reasoner, here, [])
    for check, answer in given:
        session.answer(check, answer)
    return session


def read(book: Book, reasoner: Reasoner, *lines: str, head: Iterable[str] = ()) -> Session:
    """Return a session over a case file with these lines of findings, on a unit in pieces."""
    findings = [f"  - {{{line}}}" for line in lines] or ["  []"]
    text = "\n".join(["case: ridge-91", *head, "findings:", *findings]) + "\n"
    opened = opened_with(book, dict(book.family), reasoner)
    return open_session(opened, parse_case(text, "ridge-91.yaml"))


def named(session: Session, finding: str) -> dict[str, Naming]:
    """Return the origins named for a finding, and how surely."""
    return {chain.origin: chain.naming for chain in session.verdict.accounts[finding].chains}


def shown(session: Session) -> str:
    """Return the verdict as a screen prints it."""
    return screen("verdict", session)
