"""An answer as a page sends it: once, or twice, from a page that may be older than the case.

Two people may work on one case, and one person may go back to a page that was left. Nobody's answer
is lost: what somebody else gave meanwhile stands beside one's own, as a look of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from headwater.case.read import raw_answer
from headwater.session.findings import numbered, standing
from headwater.session.session import Session


@dataclass(frozen=True, slots=True)
class Sent:
    """An answer as it comes from a page.

    `chosen` is an answer of the check, or that nobody knows; else `words`, or a `reading`, or the
    `inputs` of bench arithmetic. `number` is that of an answer that it corrects, `seen` how many
    entries the case had when the question was put.
    """

    check: str
    chosen: str = ""
    words: str = ""
    reading: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    number: int | None = None
    seen: int = 0


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
    """Say whether the same person has sent the same answer from the same page before."""
    same = given.chosen or given.inputs or given.reading
    entries = enumerate(session.case.findings)
    later = [entry for place, entry in entries if place >= given.seen and place in own]
    return bool(same) and any(
        entry.check == given.check and entry.answer is not None and raw_answer(entry.answer) == same
        for entry in later
    )


def places_of(session: Session) -> list[int]:
    """Return where in the case the answers stand, in the order of their numbers."""
    return [place for place, entry in enumerate(session.case.findings) if entry.check]
