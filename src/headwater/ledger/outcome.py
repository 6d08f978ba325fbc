"""What became of a case: how far it is, what was done, whether the unit came back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, insert, select

from headwater.book.shape import Named
from headwater.book.tables import Seat
from headwater.case.casestore import case_text, flow
from headwater.case.model import Case, CaseUnit, Done
from headwater.case.store import case_data
from headwater.errors import Place
from headwater.ledger.conclude import Conclusion, keep_conclusion
from headwater.ledger.door import Ledger
from headwater.ledger.kept import LedgerCase, file_name, has_case, place_of
from headwater.ledger.look import zone_of
from headwater.ledger.records import CaseState, Finished, Hand, LedgerError, Returning
from headwater.ledger.tables import cases, sightings
from headwater.ledger.taken import add_case, case_file_of
from headwater.ledger.times import Clock, day_of, kept_time, utc_now
from headwater.ledger.warranty import Limits, limits_of, read_term, standing_words
from headwater.units import UnitError, parse_quantity

GONE = ("sold", "elsewhere", "scrapped")
"""Where a unit went that will not come back here: a state, never a proof that it lasts."""
SETTABLE = tuple(state for state in CaseState if state is not CaseState.DONE)


@dataclass(frozen=True, slots=True)
class Handed:
    """How a repaired unit left: on which day, at which distance, under which warranty, as told."""

    on: str = ""
    distance: str = ""
    warranty: str = ""


def mark_case(
    ledger: Ledger,
    name: str,
    state: CaseState,
    waits_for: str,
    hand: Hand,
    clock: Clock = utc_now,
) -> str:
    """Say how far a case is. Raises LedgerError where it is waiting and nobody says for whom."""
    if state is CaseState.WAITING and not waits_for:
        raise LedgerError("say for whom or what it waits: --for WHOM", place_of(name))
    if state is CaseState.DONE:
        raise LedgerError(f"say what was done: 'headwater ledger done {name}'", place_of(name))
    what = state.value.replace("-", " ") + (f" for {waits_for}" if waits_for else "")
    LedgerCase(ledger, name, hand, clock).mark(what, state=state.value, waits_for=waits_for)
    return what


# Done -------------------------------------------------------------------------------------------


def read_deed(text: str) -> Done:
    """Return what was done as it is told, `replace: range fork`. Raises LedgerError."""
    action, colon, on = (part.strip() for part in text.partition(":"))
    if not (action and colon and on):
        raise LedgerError(f"'{text}' must be written ACTION: PART, as in 'replace: range fork'")
    place = Place("--did")
    return Done(action=action, on=Named(on, place), place=place)


def with_deeds(case: Case, deeds: Sequence[Done]) -> tuple[Done, ...]:
    """Return what was done in a case and what is told now, each once."""
    every = {(one.action, str(one.on).casefold()): one for one in (*case.done, *deeds)}
    return tuple(every.values())


def finish(
    ledger: Ledger,
    kept: LedgerCase,
    deeds: Sequence[Done],
    found: Conclusion,
    handed: Handed,
    clock: Clock = utc_now,
) -> Finished:
    """Say that a case is done: what was done, what it came to, how and when the unit left."""
    row = _row_of(ledger, kept.id)
    on = handed.on or row.out_on or day_of(kept_time(clock()), zone_of(ledger))
    km = row.distance_km if row.out_km is None else row.out_km
    km = read_km(handed.distance) if handed.distance else km
    limits = _limits(ledger, kept.id, handed.warranty, on, km)
    columns = {
        "state": CaseState.DONE.value,
        "waits_for": "",
        "out_on": on,
        "out_km": km,
        "until": limits.until,
        "until_km": limits.km,
        "ending": found.ending,
        "family": found.family,
    }
    lines = f"done: {flow(_deed_rows(deeds))}\n" if deeds else ""
    kept.put("done", lines, "done", lambda c: keep_conclusion(c, kept.id, found), **columns)
    return Finished(kept.name, on, found.sentence, found.origins, limits.words)


def _deed_rows(deeds: Sequence[Done]) -> list[dict[str, str]]:
    data: list[dict[str, str]] = case_data(Case(case="x", done=tuple(deeds)))["done"]
    return data


def _limits(ledger: Ledger, case: int, told: str, on: str, km: float | None) -> Limits:
    """Return where the warranty ends: as told, as the shop has it, or as it was before."""
    row = _row_of(ledger, case)
    if not told and row.earlier is not None and ledger.setting("warranty-from") != "return":
        before = _row_of(ledger, row.earlier)
        return Limits(before.until, before.until_km)
    return limits_of(read_term(told or ledger.setting("warranty")), on, km)


def _row_of(ledger: Ledger, case: int) -> Any:
    with ledger.reading() as connection:
        return connection.execute(select(cases).where(cases.c.id == case)).one()


def read_km(text: str) -> float:
    """Return a distance in km. Raises LedgerError."""
    try:
        return parse_quantity(text, "distance").value
    except UnitError as error:
        raise LedgerError(f"distance: {error.message}") from None


# Returned ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CameBack:
    """How a unit came back, as told: when, at which distance, with what, whether the same again."""

    on: str = ""
    distance: str = ""
    complaint: str = ""
    same: bool | None = None


def returned(
    ledger: Ledger, earlier: str, name: str, told: CameBack, hand: Hand, clock: Clock = utc_now
) -> Returning:
    """Open a case for a unit that came back, with the earlier one known from its first word on.

    Raises LedgerError where that one is not done yet, or there is a case of the new name.
    """
    before = LedgerCase(ledger, earlier, hand, clock)
    case = before.case()
    on = told.on or day_of(kept_time(clock()), zone_of(ledger))
    km = read_km(told.distance) if told.distance else None
    columns = since(ledger, earlier, on, km)
    if has_case(ledger, name):
        raise LedgerError("is in the ledger already; choose another name", place_of(name))
    text = case_text(replace(_again(case, name, told), earlier=file_name(earlier)))
    more = {"came_on": on, "same": told.same, **columns}
    add_case(ledger, case_file_of(text, name), hand, columns=more, clock=clock)
    row = _row_of(ledger, before.id)
    days, far = _days(row.out_on, on), None if km is None or row.out_km is None else km - row.out_km
    outcome = {"comeback": True, "after": _after(days, far), "note": told.complaint}
    rows = {key: value for key, value in outcome.items() if value != ""}
    before.put("outcome", f"outcome: {flow(rows)}\n", f"came back as '{name}'")
    standing = standing_words(Limits(row.until, row.until_km), on, km)
    return Returning(name, earlier, days, far, told.same, standing, case.done != ())


def since(ledger: Ledger, earlier: str, on: str, km: float | None) -> dict[str, object]:
    """Return, as columns, how long and how far after an earlier case a unit came back.

    Raises LedgerError where that one is not done, or it would have come back before it left.
    """
    before = LedgerCase(ledger, earlier)
    row = _row_of(ledger, before.id)
    if row.out_on is None:
        raise LedgerError(f"is not done yet; 'headwater ledger done {earlier}'", before.place)
    days, far = _days(row.out_on, on), None if km is None or row.out_km is None else km - row.out_km
    if days < 0 or (far or 0) < 0:
        text = f"came back before it left ({row.out_on}); see to day and distance"
        raise LedgerError(text, before.place)
    return {"earlier": before.id, "since_days": days, "since_km": far}


def _again(case: Case, name: str, told: CameBack) -> Case:
    """Return the case with which a unit comes back: whose and what it is, and nothing found yet."""
    unit = CaseUnit(family=case.family, number=case.unit.number, history=case.unit.history)
    return Case(
        case=name,
        seat=Seat.CALL,
        complaint=told.complaint,
        customer=case.customer,
        phone=case.phone,
        vehicle=case.vehicle,
        distance=told.distance,
        unit=unit,
    )


def _days(first: str, last: str) -> int:
    return (date.fromisoformat(last) - date.fromisoformat(first)).days


def _after(days: int, km: float | None) -> str:
    return f"{days} days" if km is None else f"{km:.0f} km"


# Known to run -----------------------------------------------------------------------------------


def seen_running(ledger: Ledger, name: str, on: str, distance: str, gone: str, hand: Hand) -> None:
    """Note that a unit was known to run on a day, or where it has gone. Raises LedgerError."""
    kept = LedgerCase(ledger, name, hand)
    row = _row_of(ledger, kept.id)
    if row.out_on is None:
        raise LedgerError(f"is not done yet; 'headwater ledger done {name}'", kept.place)
    if on < row.out_on:
        raise LedgerError(f"left on {row.out_on}, after that day", kept.place)
    km = read_km(distance) if distance else None
    seen = {"case": kept.id, "on": on, "km": km, "gone": gone}
    what = f"gone: {gone}, on {on}" if gone else f"known to run on {on}"

    def note_it(connection: Connection) -> None:
        connection.execute(insert(sightings), seen)

    kept.mark(what, note_it)
