"""A unit that came back: the earlier case and what was done, held against the present one.

For every origin of the present case it says whether the same chain ran again, the origin was missed
then, it came in at fitting, or it is new; and on what evidence. Who pays is for the shop to decide.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.rules.status import Status
from headwater.session.proposal import deeds_done
from headwater.session.session import Session, open_session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.audit import Proposal
from headwater.verdict.gate import corrected_by


class Return(StrEnum):
    """How an origin of a comeback stands to the earlier repair."""

    SAME_CHAIN = "same chain again"
    MISSED = "missed origin"
    FITTING = "fitting error"
    NEW = "new"
    UNTOLD = "cannot be told yet"


@dataclass(frozen=True, slots=True)
class Returned:
    """One present origin, its kind of return and the evidence; origin None while none is named."""

    origin: str | None
    naming: Naming
    kind: Return
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comeback:
    """The earlier case and the present one, compared."""

    earlier: Session
    done: Proposal
    again: tuple[str, ...]
    returned: tuple[Returned, ...]


def earlier_case(case: Case) -> Case:
    """Return the earlier case that a case points to; its file stands relative to the case's own."""
    return case.earlier_case or read_case(Path(case.place.file).parent / case.earlier)


def compare(present: Session) -> Comeback | None:
    """Return the comparison; None if the case names no earlier one."""
    if not present.case.earlier:
        return None
    before = open_session(present.open_book, earlier_case(present.case))
    done = deeds_done(before.case, before.book)
    found = _again(before.verdict, present.verdict)
    named = present.verdict.origins
    returned = [_returned(before, present, done, o, n) for o, n in named.items()]
    if not returned or present.verdict.held:
        returned.append(_untold(present.verdict))
    return Comeback(before, done, tuple(found), tuple(returned))


def _again(before: Assessment, now: Assessment) -> Iterable[str]:
    """Yield what was found then and is found again."""
    for cid in now.accounts:
        if cid in before.accounts:
            yield cid


def _untold(now: Assessment) -> Returned:
    live = {c.origin for a in now.accounts.values() for c in a.candidates if c.origin}
    words = f"{len(live)} origins are still live" if live else "no origin is in the book"
    return Returned(None, Naming.OPEN, Return.UNTOLD, (f"the present case names none: {words}",))


def _returned(
    before: Session, present: Session, done: Proposal, origin: str, naming: Naming
) -> Returned:
    then, now = before.verdict, present.verdict
    book = now.book
    evidence: list[str] = []
    status = then.statuses.get(origin, Status.UNKNOWN)
    deeds = done.deeds
    fixed = corrected_by(book, then.statuses, deeds, origin) if origin in book.conditions else False
    if origin in then.origins:
        evidence.append(f"it was named then ({then.origins[origin].value})")
        if not deeds:
            evidence.append("nothing is written down as done")
            return Returned(origin, naming, Return.MISSED, tuple(evidence))
        if fixed:
            evidence.append("its correction is written down as done, and it is found again")
            return Returned(origin, naming, Return.SAME_CHAIN, tuple(evidence))
        evidence.append("nothing that was done corrects it")
        kind = Return.SAME_CHAIN if _same_end(then, now, origin) else Return.MISSED
        return Returned(origin, naming, kind, tuple(evidence))
    evidence.append(f"it was not named then; its status was '{status.value}'")
    record = book.conditions[origin]
    opened = [d.part for d in deeds if d.part in book.parts and not book.parts[d.part].outside]
    reaches = _explains_earlier(then, origin)
    if record.origin and record.origin.at_fitting and opened:
        evidence.append("it comes about only while a unit is put together")
        evidence.append(f"the unit was opened then: {_titles(book, opened)}")
        if status is not Status.RULED_OUT and reaches:
            evidence.append(
                "an earlier hand is not excluded: it was not looked at then, and its chain reaches "
                f"{_quoted(book, reaches)}, found then"
            )
        elif status is Status.RULED_OUT:
            evidence.append("it was looked at and ruled out before that work")
        return Returned(origin, naming, Return.FITTING, tuple(evidence))
    if reaches and status is not Status.RULED_OUT:
        evidence.append(f"its chain reaches {_quoted(book, reaches)}, found then")
        return Returned(origin, naming, Return.MISSED, tuple(evidence))
    evidence.append(
        "it was ruled out then" if status is Status.RULED_OUT else "nothing found then points to it"
    )
    return Returned(origin, naming, Return.NEW, tuple(evidence))


def _same_end(then: Assessment, now: Assessment, origin: str) -> bool:
    """Say whether a chain from the origin ends in the same finding in both cases."""
    ends = [
        {
            c.found
            for a in side.accounts.values()
            for c in a.chains
            if c.origin == origin and len(c.path) > 1
        }
        for side in (then, now)
    ]
    return bool(ends[0] & ends[1])


def _explains_earlier(then: Assessment, origin: str) -> list[str]:
    """Return what was found then and has this origin among its live candidates."""
    return [
        cid
        for cid, account in then.accounts.items()
        if any(candidate.origin == origin for candidate in account.candidates)
    ]


def _titles(book: Book, parts: Iterable[str]) -> str:
    return ", ".join(book.parts[part].title for part in dict.fromkeys(parts))


def _quoted(book: Book, conditions: Iterable[str]) -> str:
    return ", ".join(f"'{book.conditions[c].title}'" for c in conditions)
