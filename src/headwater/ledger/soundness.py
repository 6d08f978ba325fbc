"""Looks a ledger through: is all there that it says is there, and can all of it be read?"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from sqlalchemy import Connection, func, select

from headwater.case.read import parse_case
from headwater.errors import HeadwaterError
from headwater.ledger.door import Ledger
from headwater.ledger.kept import place_of, texts_of
from headwater.ledger.tables import cases, findings, pictures

MOST_TOLD = 20


def problems_of(ledger: Ledger, whole: bool = True) -> list[str]:
    """Return what is wrong with a ledger, a line each; `whole` reads every case and photograph."""
    with ledger.reading() as connection:
        found = [*_of_the_file(connection), *_of_numbers(connection)]
        if whole:
            found += [*_of_cases(connection), *_of_pictures(connection)]
    return found


def _of_the_file(connection: Connection) -> Iterator[str]:
    if connection.dialect.name != "sqlite":
        return
    for row in connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars():
        if row != "ok":
            yield f"the file is damaged: {row}"
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check").all()[:MOST_TOLD]:
        yield f"a row of '{row[0]}' refers to one of '{row[2]}' that is not there"


def _of_numbers(connection: Connection) -> Iterator[str]:
    """Yield cases that have not the findings 1 to N that they say they have."""
    counted = (
        select(
            findings.c.case,
            func.count().label("rows"),
            func.max(findings.c.number).label("last"),
            func.min(findings.c.number).label("first"),
        )
        .group_by(findings.c.case)
        .subquery()
    )
    rows, last = func.coalesce(counted.c.rows, 0), func.coalesce(counted.c.last, 0)
    first = func.coalesce(counted.c.first, 1)
    wrong = (rows != cases.c.findings) | (last != cases.c.findings) | (first != 1)
    told = (
        select(cases.c.name, cases.c.findings, rows)
        .select_from(cases)
        .outerjoin(counted, counted.c.case == cases.c.id)
        .where(wrong)
        .limit(MOST_TOLD)
    )
    for name, said, there in connection.execute(told):
        yield f"{place_of(name)}: it says {said} findings, and has {there}"


def _of_cases(connection: Connection) -> Iterator[str]:
    for row in connection.execute(select(cases.c.id, cases.c.name, cases.c.head)).all():
        place = place_of(row.name)
        try:
            case = parse_case(row.head + "".join(texts_of(connection, row.id)), place.file)
        except HeadwaterError as error:
            yield f"{place}: cannot be read ({error.message})"
            continue
        if case.case != row.name:
            yield f"{place}: calls itself '{case.case}'"


def _of_pictures(connection: Connection) -> Iterator[str]:
    for digest in connection.scalars(select(pictures.c.digest)).all():
        data = connection.scalar(select(pictures.c.data).where(pictures.c.digest == digest))
        if hashlib.sha256(data or b"").hexdigest() != digest:
            yield f"photograph {digest[:12]}: is not what was put in"
