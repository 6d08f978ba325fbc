"""Words that were told once: kept where asking told no more, or said to add nothing."""

from __future__ import annotations

from collections.abc import Mapping

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


def keep_told(session: Session, asked: Mapping[str, str]) -> None:
    """Keep what was told and whose check (check -> words) was asked and told nothing.

    The answer that holds where nobody can say more is taken down; else the words stay, not placed.
    """
    for check, words in asked.items():
        given = session.answers.get(check)
        if given is not None and given.special is None:
            continue
        if alone := session.book.checks[check].told_alone:
            session.answer(check, alone, words, told=True)
        else:
            session.tell(_sentence_of(words, session.case.told), (words,))


def _sentence_of(words: str, told: tuple[str, ...]) -> str:
    """Return what was said of which these are words."""
    said = set(words.split())
    sentences = [one for one in told if said & set(one.lower().split())]
    return max(sentences, key=lambda one: len(said & set(one.lower().split())), default=words)
