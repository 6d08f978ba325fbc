"""Words placed nowhere that tell no more than what was taken down: a person says so."""

from __future__ import annotations

from headwater.case.model import LogEntry
from headwater.session.session import Session


def has_heard(session: Session) -> bool:
    """Say whether something amiss was taken down, which other words may tell once more."""
    return bool(session.verdict.accounts or session.verdict.loose or session.to_see)


def is_held_back(session: Session) -> bool:
    """Say whether words left aside may tell of more than what was taken down."""
    return has_heard(session) and session.verdict.stand.left_aside


def tells_no_more(session: Session) -> None:
    """Take all that was not placed, struck or not, to tell no more than what was taken down."""
    for words in (*session.case.not_placed, *session.case.left_aside):
        session.log(LogEntry(again=words, seat=session.stand.seat, at=session.clock()))
