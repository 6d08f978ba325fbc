"""What somebody says to a question, heard with the words of the whole book."""

from __future__ import annotations

from headwater.hearing.answers import Heard, hear
from headwater.session.session import Session


def hear_answer(session: Session, check: str, said: str) -> Heard:
    """Return what was said, as an answer to a check of the unit's book."""
    book = session.book
    return hear(session.open_book.index, book, book.checks[check], said)
