"""The findings of a case in words: what was asked, what was answered, and against which limit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE, Seat
from headwater.book.things import Limit
from headwater.measure.answer import Judged, RawAnswer, limit_of
from headwater.rules.compile import Mark
from headwater.session.findings import Finding, latest
from headwater.session.session import Session
from headwater.units import Quantity, parse_quantity, show
from headwater.view.words import plain_word, title

_PLAIN_READING = re.compile(r"\s*[\d.,]+\s*(?P<unit>[^\d\s.,:][^\d.,:]*?)\s*")
"""A number and its unit, and nothing more."""
UNTOLD = {
    DONT_KNOW: "not known",
    CANNOT_CHECK: "could not be checked",
    GONE: "can no longer be seen",
}
SEAT_WORDS = {
    Seat.CALL: "asked of the driver",
    Seat.HOIST: "at the hoist",
    Seat.BENCH: "at the bench",
}


@dataclass(frozen=True, slots=True)
class FindingView:
    """One finding: the answer as given and as understood, and both in words.

    `shares` give each answer of the check its probability; `limit` and `source` are empty where
    nothing was measured; `shows` is what the answer decided.
    """

    number: int
    check: str
    ask: str
    answer: Any
    settled: str | None
    special: str | None
    shares: dict[str, float]
    words: str
    working: tuple[str, ...]
    measured: str
    limit: str
    source: str
    shows: tuple[str, ...]
    note: str
    seat: str
    at: str


def finding_views(session: Session) -> tuple[FindingView, ...]:
    """Return the findings in the order given, a corrected one by its last answer."""
    found = latest(session.findings).values()
    return tuple(_finding(session, n, finding) for n, finding in enumerate(found, 1))


def _finding(session: Session, number: int, finding: Finding) -> FindingView:
    book, judged = session.book, finding.judged
    limit = limit_of(book, judged.check)
    return FindingView(
        number=number,
        check=judged.check,
        ask=book.checks[judged.check].ask,
        answer=dict(judged.given) if isinstance(judged.given, Mapping) else judged.given,
        settled=judged.settled,
        special=judged.special,
        shares=dict(judged.shares),
        words=answer_words(book, judged),
        working=judged.working,
        measured=_measured(judged, limit) if limit else "",
        limit=limit_words(limit) if limit else "",
        source=_source(book, limit) if limit else "",
        shows=_shows(session, judged.check),
        note=finding.note,
        seat=SEAT_WORDS[finding.seat] if finding.seat else "",
        at=finding.at,
    )


def answer_words(book: Book, judged: Judged) -> str:
    """Return an answer in words: the only place that does. A reading is told with its band."""
    if judged.special:
        return UNTOLD[judged.special]
    limit = limit_of(book, judged.check)
    if judged.quantity is not None and limit is not None:
        band = plain_word(judged.settled) if judged.settled else "too close to call"
        return f"{reading_words(judged.quantity, judged.given, limit)}: {band}"
    return word_words(book, judged.check, str(judged.settled))


def reading_words(quantity: Quantity, given: RawAnswer, limit: Limit) -> str:
    """Return a reading as it was given, with the limit's unit beside it where that is another."""
    shown = show(quantity, limit.unit)
    plain = _PLAIN_READING.fullmatch(given) if isinstance(given, str) else None
    if plain is None:
        return shown
    told = show(quantity, plain["unit"])
    return shown if told == shown else f"{told} ({shown})"


def word_words(book: Book, check: str, word: str) -> str:
    """Return what one answer of a check says."""
    answer = book.checks[check].answer(word)
    return answer.says if answer and answer.says else plain_word(word)


def _measured(judged: Judged, limit: Limit) -> str:
    """Return how surely a reading was taken, and as what it was given, if that differs."""
    if judged.quantity is None:
        return ""
    told = ""
    if judged.uncertainty and limit.dimension != "temperature":
        spread = show(Quantity(judged.uncertainty, limit.dimension), limit.unit)
        told = f", standard uncertainty {spread}"
    given = judged.given if isinstance(judged.given, str) else ""
    shown = reading_words(judged.quantity, given, limit)
    return f"{told} (given as {given})" if given and given not in shown else told


def limit_words(limit: Limit) -> str:
    """Return the bands of a limit: 'in limits up to 0.1 mm; past limit above'."""
    words = []
    for band in limit.bands:
        if band.upto:
            edge = show(parse_quantity(band.upto, limit.dimension), limit.unit)
            words.append(f"{plain_word(band.name)} up to {edge}")
        else:
            words.append(f"{plain_word(band.name)} above")
    return "; ".join(words)


def _source(book: Book, limit: Limit) -> str:
    source = book.sources.get(str(limit.source))
    words = source.title if source else str(limit.source)
    pack = book.owner.get(("limits", limit.id), "")
    own = pack in {override.pack for override in book.overrides}
    return f"{words}; a figure of the shop's own pack '{pack}'" if own else words


def _shows(session: Session, check: str) -> tuple[str, ...]:
    words = {Mark.SHOWN: "shows", Mark.DENIED: "rules out"}
    return tuple(
        f"{words[fact.mark]}: {title(session.book, fact.condition)}"
        for fact, checks in sorted(session.verdict.evidence.basis.items())
        if check in checks
    )
