"""One finding, everything else refused: what was released by declining to look, once."""

from __future__ import annotations

import pytest
from proof.bench import in_pieces

from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, Verb
from headwater.session.session import Session
from headwater.verdict.assess import build_reasoner
from headwater.verdict.ending import Ending

FOUND = [
    ("range-hub-teeth", "chipped-corners"),
    ("hub-rollers", "dented"),
    ("feed-wire", "plug"),
    ("rear-ring-fit-cold", "loose"),
    ("rear-bore-look", "polished"),
]
ONE = pytest.mark.parametrize(("check", "answer"), FOUND)
WORD = pytest.mark.parametrize("word", [CANNOT_CHECK, DONT_KNOW])


def opened(book: Book, check: str, answer: str) -> Session:
    """Return a session on a unit whose hub runs on rollers, where that is asked about."""
    hub = "rollers" if check == "hub-rollers" else "plain"
    return in_pieces(build_reasoner(book, {**book.family, "hub": hub}), (check, answer))


def refuse_all(session: Session, word: str) -> None:
    for check in session.book.checks:
        if check not in session.answers:
            session.answer(check, word)


@WORD
@ONE
def test_nothing_is_released_when_everything_else_is_refused(
    book: Book, check: str, answer: str, word: str
) -> None:
    session = opened(book, check, answer)
    before = session.released
    refuse_all(session, word)
    assert session.released == before
    # What is only cleaned needs no named origin: a plugged oil feed, of these five.
    assert {session.verdict.decisions[part].action for part in before} <= {Verb.CLEAN}


@WORD
@ONE
def test_nothing_is_settled_when_everything_else_is_refused(
    book: Book, check: str, answer: str, word: str
) -> None:
    session = opened(book, check, answer)
    refuse_all(session, word)
    assert session.verdict.ending not in (Ending.SETTLED, Ending.SOUND)


@ONE
def test_the_looks_refused_are_still_left(book: Book, check: str, answer: str) -> None:
    session = opened(book, check, answer)
    before = {c: a.at_hand for c, a in session.verdict.accounts.items()}
    refuse_all(session, DONT_KNOW)
    assert {c: a.at_hand for c, a in session.verdict.accounts.items()} == before
