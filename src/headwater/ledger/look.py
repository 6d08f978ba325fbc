"""What the ledger tells of its cases: lists, looking for one, and one in full."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import tzinfo
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, func, select

from headwater.case.model import Case
from headwater.ledger.door import Ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.records import (
    CaseCard,
    CaseList,
    CaseRow,
    CaseState,
    HappenedRow,
    LedgerError,
    PictureRow,
)
from headwater.ledger.tables import (
    case_pictures,
    cases,
    customers,
    findings,
    happened,
    pictures,
    units,
    vehicles,
    words,
)
from headwater.ledger.terms import key_of, terms_of
from headwater.ledger.times import shown_time, zone_named

MOST_SHOWN = 50
COMMON = 20_000
"""Cases from which a word is common."""
MOST_COUNTED = 1_000
"""Cases that are looked for at most: of more of them the words say too little."""
_AFTER = "\U0010ffff"


def list_cases(
    ledger: Ledger, states: Iterable[CaseState] = (), most: int = MOST_SHOWN
) -> CaseList:
    """Return cases in some states, or all that are not archived, the last changed first."""
    wanted = [state.value for state in states]
    chosen = cases.c.state.in_(wanted) if wanted else cases.c.state != CaseState.ARCHIVED.value
    with ledger.reading() as connection:
        of = connection.scalar(select(func.count()).select_from(cases).where(chosen)) or 0
        order = (cases.c.changed.desc(), cases.c.id.desc())
        return CaseList(_rows(ledger, connection, _SHOWN.where(chosen).order_by(*order), most), of)


def find_cases(ledger: Ledger, text: str, most: int = MOST_SHOWN) -> CaseList:
    """Return the cases that have every word of a text, or one that begins with it.

    Words are those of customer, phone, plate, unit number, name, complaint, what was told and
    remarks; a plate or a number may be written with or without its signs.
    """
    asked = sorted(terms_of(text), key=len, reverse=True)
    if not asked:
        raise LedgerError("name a customer, phone, plate, unit's number or word to look for")
    with ledger.reading() as connection:
        found = [*_with_words(connection, [key_of(text)]), *_with_words(connection, asked)]
        every = list(dict.fromkeys(found))
        rows = _rows(ledger, connection, _SHOWN.where(cases.c.id.in_(every)), most)
    return CaseList(rows, len(every), text, len(every) >= MOST_COUNTED)


def _with_words(connection: Connection, asked: Sequence[str]) -> list[int]:
    """Return the cases that have a word beginning with each of these, no more than are counted.

    The word that the fewest have is looked up, unless it is common as well: then the cases last
    changed are gone through. The others are asked of each case.
    """
    rare = min(asked, key=lambda word: _how_common(connection, word))
    wanted = select(cases.c.id).order_by(cases.c.changed.desc(), cases.c.id.desc())
    for word in asked:
        if word == rare and _how_common(connection, word) < COMMON:
            wanted = wanted.where(cases.c.id.in_(select(words.c.case).where(_begins(word))))
        else:
            has = select(words.c.word).where((words.c.case == cases.c.id) & _begins(word))
            wanted = wanted.where(has.exists())
    return list(connection.scalars(wanted.limit(MOST_COUNTED)))


def _how_common(connection: Connection, word: str) -> int:
    some = select(words.c.case).where(_begins(word)).limit(COMMON).subquery()
    return connection.scalar(select(func.count()).select_from(some)) or 0


def _begins(word: str) -> ColumnElement[bool]:
    return (words.c.word >= word) & (words.c.word < word + _AFTER)


_SHOWN = (
    select(
        cases.c.name,
        cases.c.state,
        cases.c.waits_for,
        customers.c.name.label("customer"),
        vehicles.c.plate,
        units.c.number,
        cases.c.complaint,
        cases.c.findings,
        cases.c.opened,
        cases.c.changed,
    )
    .select_from(cases)
    .outerjoin(customers, customers.c.id == cases.c.customer)
    .outerjoin(vehicles, vehicles.c.id == cases.c.vehicle)
    .outerjoin(units, units.c.id == cases.c.unit)
)


def zone_of(ledger: Ledger) -> tzinfo | None:
    """Return the zone of the shop; None for that of this machine."""
    return zone_named(ledger.setting("zone"))


def _rows(
    ledger: Ledger, connection: Connection, wanted: Select[*tuple[Any, ...]], most: int
) -> tuple[CaseRow, ...]:
    zone = zone_of(ledger)
    ordered = wanted.order_by(cases.c.changed.desc(), cases.c.id.desc()).limit(most)
    return tuple(_row(row, zone) for row in connection.execute(ordered))


def _row(row: Row[*tuple[Any, ...]], zone: tzinfo | None) -> CaseRow:
    return CaseRow(
        case=row.name,
        state=CaseState(row.state),
        waits_for=row.waits_for,
        customer=row.customer or "",
        vehicle=row.plate or "",
        unit=row.number or "",
        complaint=row.complaint,
        findings=row.findings,
        opened=shown_time(row.opened, zone),
        changed=shown_time(row.changed, zone),
    )


def show_case(ledger: Ledger, name: str) -> CaseCard:
    """Return one case in full. Raises LedgerError where there is none of the name."""
    opened = LedgerCase(ledger, name)
    case, zone = opened.case(), zone_of(ledger)
    with ledger.reading() as connection:
        (row,) = connection.execute(_SHOWN.where(cases.c.id == opened.id))
        return CaseCard(
            row=_row(row, zone),
            phone=case.phone,
            distance=case.distance,
            earlier=case.earlier_case.case if case.earlier_case else case.earlier,
            returns=tuple(
                connection.scalars(select(cases.c.name).where(cases.c.earlier == opened.id))
            ),
            told=case.told,
            done=tuple(_done(case)),
            pictures=_pictures(connection, opened.id, case),
            others=_others(connection, opened.id),
            log=_log(connection, opened.id, zone),
        )


def _done(case: Case) -> Iterable[str]:
    for one in case.done:
        yield f"{one.action}: {one.on}" + (f" ({one.note})" if one.note else "")


def _pictures(connection: Connection, case: int, told: Case) -> tuple[PictureRow, ...]:
    kept = {
        row.name: row
        for row in connection.execute(
            select(case_pictures.c.name, pictures.c.digest, pictures.c.size)
            .join(pictures, pictures.c.digest == case_pictures.c.digest)
            .where(case_pictures.c.case == case)
        )
    }
    return tuple(
        PictureRow(name, kept[name].digest, kept[name].size)
        if name in kept
        else PictureRow(name, "", 0)
        for name in told.pictures
    )


def _others(connection: Connection, case: int) -> tuple[str, ...]:
    """Return the other cases of the same unit."""
    unit = select(cases.c.unit).where(cases.c.id == case).scalar_subquery()
    same = (cases.c.unit == unit) & (cases.c.id != case)
    return tuple(connection.scalars(select(cases.c.name).where(same).order_by(cases.c.id)))


def _log(connection: Connection, case: int, zone: tzinfo | None) -> tuple[HappenedRow, ...]:
    """Return what happened to a case, its findings among it, in order of time."""
    rows = [
        (row.at, 0, row.id, row.who, row.device, row.what)
        for row in connection.execute(select(happened).where(happened.c.case == case))
    ]
    rows += [
        (row.at, 1, row.number, row.who, row.device, f"finding {row.number}")
        for row in connection.execute(select(findings).where(findings.c.case == case))
    ]
    return tuple(
        HappenedRow(shown_time(at, zone), who, device, what)
        for at, _, _, who, device, what in sorted(rows)
    )
