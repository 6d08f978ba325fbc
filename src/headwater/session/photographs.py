"""Photographs of findings, as a case tells of them; what they hold is kept with the case."""

from __future__ import annotations

from headwater.book.tables import TAKEN_BACK
from headwater.case.model import LogEntry
from headwater.case.read import CaseError
from headwater.session.findings import Finding, numbered
from headwater.session.session import Session

LONGEST_CAPTION = 200


def add_photograph(session: Session, name: str, number: int, caption: str = "") -> None:
    """Take down that a photograph, kept by its name, shows an answer; the same one counts once.

    Raises CaseError where there is no answer of that number.
    """
    if number not in _shown(session):
        raise CaseError(f"there is no answer {number} that a photograph could show")
    told = (entry for entry in session.case.findings if entry.photograph == name)
    if any(entry.of == number for entry in told):
        return
    caption = " ".join(caption.split())[:LONGEST_CAPTION]
    seat, now = session.stand.seat, session.clock()
    session.log(LogEntry(photograph=name, of=number, note=caption, seat=seat, at=now))


def photographs(session: Session) -> list[tuple[LogEntry, Finding | None]]:
    """Return the photographs that were taken, in order, each with the finding that it shows."""
    found = _shown(session)
    entries = (entry for entry in session.case.findings if entry.photograph)
    return [(entry, found.get(entry.of or 0)) for entry in entries]


def _shown(session: Session) -> dict[int, Finding]:
    """Return the answers by their numbers, without what only takes one back."""
    every = numbered(session.findings)
    return {number: found for number, found in every if found.judged.special != TAKEN_BACK}
