"""The one question about work that was done before, as it is answered in plain words."""

from __future__ import annotations

import re

from headwater.hearing.answers import special_answer
from headwater.session.earlier import NO_WORK, tells_of_work, without_beginning, work_told
from headwater.session.session import Session

_NO = re.compile(
    r"(?:(?:no|nope|nah|never|not|nothing|nobody|none)(?:\s*[,.;:-]+\s*|\s+(?=(?:it|she|he|but)\b))"
    r"|but\b[\s,]*)+",
    re.IGNORECASE,
)
"""What denies that there was work; words of something else may stand behind it."""


def is_unknown(session: Session) -> bool:
    """Say whether nobody has told yet what was done before, or that nothing was."""
    return not (session.case.earlier or session.case.before)


def take_earlier(session: Session, typed: str) -> str:
    """Take down what is told of work that was done before.

    Returns words that tell of something else: they are to be heard as what was said before.
    """
    if tells_of_work(typed):
        session.remember(work_told(session.book, typed))
        return ""
    if says_of_none(typed):
        return ""
    rest = typed[found.end() :] if (found := _NO.match(typed)) else typed
    if tells_of_work(rest):
        return ""
    if _tells_more(session, rest):
        return rest
    session.tell(typed)
    return ""


def says_of_none(typed: str) -> bool:
    """Say whether words say no more than that there was no work, or that nobody knows of any."""
    return typed.lower() in NO_WORK or special_answer(typed) is not None


def _tells_more(session: Session, words: str) -> bool:
    """Say whether words may tell of trouble."""
    words = without_beginning(words)
    heard = session.understand(words)
    told = heard.understood or heard.emergency or heard.not_driveline
    return bool(told) or session.open_book.index.may_complain(words)
