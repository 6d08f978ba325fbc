"""What was told and may be left aside: a danger that is not so, words that tell nothing.

It is the same `strike` as at a terminal, and the words stay in the case.
"""

from __future__ import annotations

from dataclasses import dataclass

from headwater.case.read import CaseError
from headwater.session.atseat import AtSeat
from headwater.session.intake import NOT_SO
from headwater.session.session import Session

NO_REASON = "say why it is left aside: whoever reads the case later was not there"


@dataclass(frozen=True, slots=True)
class ToldWords:
    """Something that was told and stands: `danger` a sign of danger, `outside` other trouble."""

    words: str
    danger: bool = False
    outside: bool = False


def kept_aside(session: Session) -> tuple[ToldWords, ...]:
    """Return what may be left aside: signs of danger first, then words that were not placed."""
    signs = session.open_book.book.emergencies
    titles = session.outside_titles()
    dangers = [ToldWords(words, danger=True) for oid, words in titles.items() if oid in signs]
    others = [ToldWords(words, outside=True) for oid, words in titles.items() if oid not in signs]
    return (*dangers, *others, *map(ToldWords, session.case.not_placed))


def leave_aside(at: AtSeat, words: str, reason: str) -> None:
    """Leave aside what was told, for a reason; where it cannot be, that is kept to be shown."""
    if not reason.strip():
        at.fault = NO_REASON
        return
    try:
        at.session.strike(words, reason)
    except CaseError as error:
        at.fault = error.message


def take_back_danger(at: AtSeat, words: str) -> None:
    """Take a sign of danger back that was told here or earlier: it is not so.

    A call that ended by it goes on, unless another one stands.
    """
    leave_aside(at, words, NOT_SO)
    at.ended = at.ended and any(one.danger for one in kept_aside(at.session))
