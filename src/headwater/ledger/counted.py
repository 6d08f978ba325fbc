"""What a data base can count by itself where its tongues differ: days, and bands of a distance."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Integer, case, cast, func
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement

from headwater.ledger.tables import cases

BEFORE_OUR_ERA = 1_721_424.5
"""The Julian day on which the days of `date.toordinal` begin to be counted."""


class day_number(FunctionElement[int]):  # noqa: N801 - a function of SQL
    """A day, ISO 8601, as a number: that of `date.toordinal`."""

    type = Integer()
    inherit_cache = True


@compiles(day_number, "sqlite")
def _in_sqlite(element: day_number, compiler: Any, **how: Any) -> str:
    day = compiler.process(element.clauses, **how)
    return f"CAST(julianday({day}) - {BEFORE_OUR_ERA} AS INTEGER)"


@compiles(day_number, "postgresql")
def _in_postgresql(element: day_number, compiler: Any, **how: Any) -> str:
    day = compiler.process(element.clauses, **how)
    return f"(CAST({day} AS DATE) - DATE '0001-01-01' + 1)"


def band_number(what: ColumnElement[float], width: int) -> ColumnElement[int]:
    """Return in which band of a width a figure is, 0 from 0 on.

    A cast cuts off in SQLite and rounds in PostgreSQL: what it makes too large is put right.
    """
    near = cast(what / width, Integer)
    return case((near * width > what, near - 1), else_=near)


def came_in() -> ColumnElement[str]:
    """Return the day on which a case came in: as told, else that on which it was opened."""
    return func.coalesce(func.nullif(cases.c.came_on, ""), func.substr(cases.c.opened, 1, 10))
