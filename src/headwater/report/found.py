"""The findings of a case as rows: what was asked, what was answered, and against which limit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.model import Limit
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE, Seat
from headwater.measure.answer import Judged, say_given
from headwater.rules.compile import Mark
from headwater.session.findings import latest
from headwater.session.session import Session
from headwater.units import Quantity, parse_quantity, show
from headwater.view.words import title

SPECIAL_WORDS = {
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
class Found:
    """One finding in words. `limit` and `source` are empty where nothing was measured."""

    number: int
    check: str
    ask: str
    answer: str
    limit: str = ""
    source: str = ""
    shows: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    note: str = ""
    seat: str = ""
    at: str = ""


def found_rows(session: Session) -> list[Found]:
    """Return the findings in the order given, a corrected one by its last answer."""
    return list(_rows(session))


def _rows(session: Session) -> Iterator[Found]:
    book = session.verdict.book
    for number, finding in enumerate(latest(session.findings).values(), 1):
        judged = finding.judged
        check = book.checks[judged.check]
        limit = book.limits[check.reading.limit] if check.reading else None
        yield Found(
            number,
            judged.check,
            check.ask,
            answer_words(book, judged, limit),
            limit_words(limit) if limit else "",
            _source(book, limit) if limit else "",
            _shows(session, judged.check),
            judged.working,
            finding.note,
            SEAT_WORDS[finding.seat] if finding.seat else "",
            finding.at,
        )


def answer_words(book: Book, judged: Judged, limit: Limit | None) -> str:
    """Return an answer in words, a reading with its uncertainty and the band it lies in."""
    if judged.special:
        return SPECIAL_WORDS[judged.special]
    if judged.quantity is not None and limit is not None:
        said = (
            say_given(judged, limit).replace("-", " ")
            if judged.settled
            else say_given(judged, limit)
        )
        given = judged.given if isinstance(judged.given, str) else ""
        own = f" (given as {given})" if given and given not in said else ""
        return f"{said}{_spread(judged, limit)}{own}"
    answer = book.checks[judged.check].answers.get(str(judged.settled))  # type: ignore[call-overload]
    return answer.says if answer and answer.says else str(judged.settled).replace("-", " ")


def _spread(judged: Judged, limit: Limit) -> str:
    if not judged.uncertainty or limit.dimension == "temperature":
        return ""
    return (
        f", standard uncertainty {show(Quantity(judged.uncertainty, limit.dimension), limit.unit)}"
    )


def limit_words(limit: Limit) -> str:
    """Return the bands of a limit: 'in limits up to 0.1 mm; past limit above'."""
    words = []
    for band in limit.bands:
        name = str(band.name).replace("-", " ")
        if band.upto:
            edge = show(parse_quantity(band.upto, limit.dimension), limit.unit)
            words.append(f"{name} up to {edge}")
        else:
            words.append(f"{name} above")
    return "; ".join(words)


def _source(book: Book, limit: Limit) -> str:
    source = book.sources.get(str(limit.source))
    words = source.title if source else str(limit.source)
    pack = book.owner.get(("limits", limit.id), "")
    own = pack in {override.pack for override in book.overrides}
    return f"{words}; a figure of the shop's own pack '{pack}'" if own else words


def _shows(session: Session, check: str) -> tuple[str, ...]:
    """Return what an answer decided, in words."""
    words = {Mark.SHOWN: "shows", Mark.DENIED: "rules out"}
    assessment = session.verdict
    return tuple(
        f"{words[fact.mark]}: {title(assessment.book, fact.condition)}"
        for fact, checks in sorted(assessment.evidence.basis.items())
        if check in checks
    )
