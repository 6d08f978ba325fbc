"""What the book said of a case before it was proven, to be held against what turned out.

Truth is known where a case ended settled, with all its origins proven: these, and no others. A
forecast is the chance that each origin had when a seat was left, and at the last seat, where the
proof came, after its first answer: what is said after the proof is no forecast.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sqlalchemy import Connection, delete, insert

from headwater.case.model import Case
from headwater.ledger.tables import forecasts
from headwater.session.session import Session, open_session
from headwater.verdict.account import Naming
from headwater.verdict.ending import Ending

LEAST = 0.02
"""A chance below which an origin that was not the one is left out: nobody was told of it."""


@dataclass(frozen=True, slots=True)
class Foretold:
    """The chance of an origin at a seat, and whether it was the one."""

    seat: str
    origin: str
    pack: str
    chance: float
    true: bool


def forecasts_of(session: Session) -> tuple[Foretold, ...]:
    """Return what the book said at each seat of a case whose origins are proven; else nothing."""
    named = session.verdict.origins
    proven = all(naming is Naming.PROVEN for naming in named.values())
    if session.verdict.ending is not Ending.SETTLED or not named or not proven:
        return ()
    found: list[Foretold] = []
    for seat, length in stages(session.case):
        then = replace(session.case, findings=session.case.findings[:length])
        found += _said(open_session(session.open_book, then), seat, set(named))
    return tuple(found)


def stages(case: Case) -> Iterator[tuple[str, int]]:
    """Yield each seat of a case with how many lines of its log were there to forecast from."""
    seats = [
        (number, (entry.seat or case.seat).value)
        for number, entry in enumerate(case.findings, 1)
        if entry.check
    ]
    order = list(dict.fromkeys(seat for _, seat in seats))
    for seat in order:
        own = [number for number, one in seats if one == seat]
        if seat != order[-1]:
            yield seat, own[-1]
        elif own[0] < seats[-1][0]:  # a proof by one answer alone was forecast by nothing
            yield seat, own[0]


def _said(then: Session, seat: str, true: set[str]) -> Iterator[Foretold]:
    posterior, book = then.verdict.posterior, then.book
    for origin in book.origins:
        chance = posterior.probability(origin)
        if chance >= LEAST or origin in true:
            pack = book.owner.get(("conditions", origin), "")
            yield Foretold(seat, origin, pack, round(chance, 6), origin in true)


def keep_forecasts(connection: Connection, case: int, found: tuple[Foretold, ...]) -> None:
    """Put what was said of a case in place of what was kept of it."""
    connection.execute(delete(forecasts).where(forecasts.c.case == case))
    rows = [
        {
            "case": case,
            "seat": one.seat,
            "origin": one.origin,
            "pack": one.pack,
            "chance": one.chance,
            "came_true": one.true,
        }
        for one in found
    ]
    if rows:
        connection.execute(insert(forecasts), rows)
