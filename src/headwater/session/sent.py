"""An answer as a page sends it: once, or twice, from a page that may be older than the case.

Two people may work on one case, and one person may go back to a page that was left. Nobody's answer
is lost: what somebody else gave meanwhile stands beside one's own, as a look of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from headwater.case.model import LogEntry
from headwater.case.read import raw_answer
from headwater.errors import Place
from headwater.session.findings import check_id, numbered, standing
from headwater.session.session import Session


@dataclass(frozen=True, slots=True)
class Sent:
    """An answer as it comes from a page.

    `chosen` is an answer of the check, or that nobody knows; else `words`, or a `reading`, or the
    `inputs` of bench arithmetic. `number` is that of an answer that it corrects, `seen` how many
    entries the case had when the question was put. `id` is what the page gave it, if it may have
    waited there: the case keeps it, so that it counts once whatever becomes of house and network.
    """

    check: str
    chosen: str = ""
    words: str = ""
    reading: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    number: int | None = None
    seen: int = 0
    id: str = ""

    @property
    def words_for_it(self) -> str:
        """The answer in the words in which it was sent."""
        inputs = ", ".join(f"{name} {value}" for name, value in self.inputs.items())
        return self.chosen or inputs or self.reading or self.words


def corrected_by(session: Session, own: Collection[int], given: Sent) -> int | None:
    """Return the number of the answer that one corrects: the one told, or the person's `own`.

    Whoever goes back to an older page and answers there anew means to correct themselves.
    """
    stand = {id(finding) for finding in standing(session.findings)}
    of_check = {
        number: place
        for (number, finding), place in zip(
            numbered(session.findings), places_of(session), strict=True
        )
        if id(finding) in stand and finding.check == given.check
    }
    if given.number in of_check:
        return given.number
    mine = [n for n, place in of_check.items() if place >= given.seen and place in own]
    return mine[-1] if mine else None


def is_sent_twice(session: Session, own: Collection[int], given: Sent) -> bool:
    """Say whether it came before: by its id, or the same answer from the same person's page."""
    if given.id:
        return any(entry.sent == given.id for entry in session.case.findings)
    same = given.chosen or given.inputs or given.reading
    entries = enumerate(session.case.findings)
    later = [entry for place, entry in entries if place >= given.seen and place in own]
    return bool(same) and any(
        entry.check == given.check and entry.answer is not None and raw_answer(entry.answer) == same
        for entry in later
    )


def keep_as_told(session: Session, given: Sent) -> str:
    """Keep an answer that waited for the network, to a check that such a unit cannot have.

    Returns its words. Somebody told meanwhile how it is built. Raises CaseError where the book has
    no such check.
    """
    check = check_id(session.open_book.book, given.check, Place("(typed)"))
    ask = session.open_book.book.checks[check].ask
    told, seat = f"{ask} {given.words_for_it}", session.stand.seat
    session.log(LogEntry(told=told, sent=given.id, seat=seat, at=session.clock()))
    return told


def places_of(session: Session) -> list[int]:
    """Return where in the case the answers stand, in the order of their numbers."""
    return [place for place, entry in enumerate(session.case.findings) if entry.check]
