"""What is known of every repair since it left, brought together and counted by the data base.

A table that lasts as long as one transaction has a row for each repair; what is told of them is
counted in it. Only repairs whose distance must be reckoned from how a vehicle runs are looked at
one by one, and of units only as many as the spread among them asks for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    Float,
    Integer,
    MetaData,
    Row,
    Select,
    Subquery,
    Table,
    case,
    cast,
    func,
    insert,
    select,
)

from headwater.ledger.counted import day_number
from headwater.ledger.tables import cases, origins, sightings

NOT_KNOWN, NOT_NAMED, LEFT, RIGHT = range(4)
"""Whether a repair's origin had been named and put right; of one from a sheet nobody knows."""
SHORTEST_RATE = 30
"""Days between two distances of a vehicle from which its own rate is taken."""
Rows = Select[*tuple[Any, ...]]
UNITS_LOOKED_AT = 5_000
"""Units whose own histories are looked at: of more of them, every so many-th."""
_UNIT, _VEHICLE, _ALONE, _KINDS = 0, 1, 2, 3

_OWN = MetaData()
repairs = Table(
    "repairs_known",
    _OWN,
    Column("case", Integer, primary_key=True, autoincrement=False),
    Column("whose", Integer, nullable=False),
    Column("first_on", Integer, nullable=False),
    Column("left_on", Integer, nullable=False),
    Column("group", Integer, nullable=False),
    Column("back", Integer, nullable=False),
    Column("same", Integer),
    Column("days", Integer, nullable=False),
    Column("km", Float),
    Column("gone", Integer, nullable=False),
    Column("rated", Integer, nullable=False),
    prefixes=["TEMPORARY"],
)
"""A row for each repair.

`whose`: the unit by its number, else the vehicle, else the case alone; `first_on`: when its first
repair of the period left. `days` and `km`: the age at return, or when it was last known to run;
`rated`: its km must come from the vehicle's own rate.
"""


class Alike(NamedTuple):
    """So many repairs of one group that came back, or not, after so many days."""

    group: int
    back: bool
    same: bool | None
    days: int
    number: int


@dataclass(frozen=True, slots=True)
class Histories:
    """When units came back, in days since their first repair, and how long each was followed.

    `events` and `ends` are counted over all `of` units that were followed for any time at all, or
    came back at once; `sample` has the histories of some, or of all of them, by a number: days of
    the returns, and the end.
    """

    of: int
    events: Mapping[float, int]
    ends: Mapping[float, int]
    sample: Mapping[int, tuple[list[float], float]]


@dataclass(frozen=True, slots=True)
class RepairsKnown:
    """What is known of the repairs of a period.

    `back_km` and `running_km`: how often each distance, at return or when last known to run.
    `origins`: of those that were named, (came back, repairs).
    """

    alike: tuple[Alike, ...]
    gone: int
    back_km: Mapping[float, int]
    running_km: Mapping[float, int]
    origins: Mapping[str, tuple[int, int]]
    histories: Histories


def known_of_repairs(connection: Connection, since: str, until: str) -> RepairsKnown:
    """Return what is known of the repairs that left within a period."""
    repairs.create(connection)  # gone with the transaction, if anything goes wrong
    names = [one.name for one in repairs.c]
    connection.execute(insert(repairs).from_select(names, _repairs(since, until)))
    alike = _by(*(repairs.c[name] for name in ("group", "back", "same", "days")))
    running, back = _kilometres(connection)
    known = RepairsKnown(
        alike=tuple(map(_alike, connection.execute(alike))),
        gone=int(connection.scalar(select(func.sum(repairs.c.gone))) or 0),
        back_km=back,
        running_km=running,
        origins=_by_origin(connection),
        histories=_histories(connection),
    )
    repairs.drop(connection)
    return known


def _kilometres(connection: Connection) -> tuple[Counter[float], Counter[float]]:
    """Return how often there is which distance: last known to run at, and at return."""
    found: tuple[Counter[float], Counter[float]] = (Counter(), Counter())
    for back, km, number in connection.execute(_by(repairs.c.back, repairs.c.km)):
        if km:
            found[back][km] += number
    found[False].update(filter(None, _rated(connection)))
    return found


def _alike(row: Row[*tuple[Any, ...]]) -> Alike:
    group, back, same, days, number = row
    return Alike(group, bool(back), None if same is None else bool(same), days, number)


def _by(*columns: ColumnElement[Any]) -> Rows:
    """Return how often there is what, one row for all that are alike."""
    return select(*columns, func.count()).group_by(*columns).order_by(*columns)


def _by_origin(connection: Connection) -> dict[str, tuple[int, int]]:
    wanted = (
        select(origins.c.origin, func.sum(repairs.c.back), func.count())
        .join(repairs, repairs.c.case == origins.c.case)
        .where(origins.c.naming != "open")
        .group_by(origins.c.origin)
    )
    return {origin: (int(back), of) for origin, back, of in connection.execute(wanted)}


# Brought together -------------------------------------------------------------------------------


def _repairs(since: str, until: str) -> Rows:
    """Return every repair of a period with what is known of it since."""
    left, named, gone = _left(since, until), _named(), _gone()
    back, seen = _first_returns(), _last_seen()
    by_sight = (seen.c.day > left.c.left_on) & (seen.c.day >= left.c.last_on)
    by_visit = left.c.last_on > left.c.left_on
    came_back = back.c.earlier.is_not(None)
    last_on = case((by_sight, seen.c.day), (by_visit, left.c.last_on), else_=left.c.left_on)
    ran = case((by_sight, seen.c.km), (by_visit, left.c.last_km)) - left.c.out_km
    ages = case((came_back, back.c.since_days), else_=last_on - left.c.left_on)
    km = case((came_back, back.c.since_km), (ran < 0, 0.0), else_=ran)
    rated = case((~came_back & (last_on > left.c.left_on) & ran.is_(None), 1), else_=0)
    group = case(
        (left.c.source != "case", NOT_KNOWN),
        (named.c.case.is_(None), NOT_NAMED),
        (named.c.right == 1, RIGHT),
        else_=LEFT,
    )
    together = (
        left.outerjoin(named, named.c.case == left.c.id)
        .outerjoin(gone, gone.c.case == left.c.id)
        .outerjoin(back, back.c.earlier == left.c.id)
        .outerjoin(seen, seen.c.case == left.c.id)
    )
    return (
        select(
            *(left.c.id, left.c.whose, left.c.first_on, left.c.left_on, group),
            *(case((came_back, 1), else_=0), cast(back.c.same, Integer), ages, km),
            *(case((gone.c.case.is_not(None), 1), else_=0), rated),
        )
        .select_from(together)
        .where(left.c.left_on.is_not(None))
    )


def _left(since: str, until: str) -> Subquery:
    """Return all cases, and when those that left within a period did so.

    With the last time that the unit or vehicle came in, whatever for, and at which distance.
    """
    wanted: ColumnElement[bool] = cases.c.out_on.is_not(None)
    if since:
        wanted &= cases.c.out_on >= since
    if until:
        wanted &= cases.c.out_on <= until
    left_on = case((wanted, day_number(cases.c.out_on))).label("left_on")
    came_on = func.coalesce(day_number(_day()), 0).label("came_on")
    columns = (cases.c.id, cases.c.source, cases.c.out_km, cases.c.distance_km.label("km"))
    every = select(*columns, _whose().label("whose"), came_on, left_on).subquery("every_case")
    each, order = every.c.whose, (every.c.came_on.desc(), every.c.id)
    return select(
        *(every.c.id, every.c.source, every.c.out_km, every.c.whose, every.c.left_on),
        func.first_value(every.c.came_on).over(partition_by=each, order_by=order).label("last_on"),
        func.first_value(every.c.km).over(partition_by=each, order_by=order).label("last_km"),
        func.min(every.c.left_on).over(partition_by=each).label("first_on"),
    ).subquery("left_cases")


def _day() -> ColumnElement[str]:
    """Return when a unit or vehicle came in, if it is one that can be known again."""
    opened = case((cases.c.source == "case", func.substr(cases.c.opened, 1, 10)))
    known = cases.c.unit.is_not(None) | cases.c.vehicle.is_not(None)
    return case((known, func.coalesce(func.nullif(cases.c.came_on, ""), opened)))


def _whose() -> ColumnElement[int]:
    """Return by what a unit is known again: its number, else its vehicle, else the case alone."""
    return case(
        (cases.c.unit.is_not(None), _KINDS * cases.c.unit + _UNIT),
        (cases.c.vehicle.is_not(None), _KINDS * cases.c.vehicle + _VEHICLE),
        else_=_KINDS * cases.c.id + _ALONE,
    )


def _named() -> Subquery:
    """Return the cases with a named origin, and whether all of those were put right."""
    right = func.min(cast(origins.c.corrected, Integer)).label("right")
    named = select(origins.c.case, right).where(origins.c.naming != "open")
    return named.group_by(origins.c.case).subquery("named")


def _gone() -> Subquery:
    return select(sightings.c.case).where(sightings.c.gone != "").distinct().subquery("gone")


def _first(rows: Rows, each: ColumnElement[Any], *order: ColumnElement[Any]) -> Subquery:
    """Return the first row, in an order, of each whom they are of."""
    place = func.row_number().over(partition_by=each, order_by=order).label("place")
    numbered = rows.add_columns(place).subquery()
    kept = [one for one in numbered.c if one.name != "place"]
    return select(*kept).where(numbered.c.place == 1).subquery()


def _first_returns() -> Subquery:
    """Return of each repair that came back: days and km after, and whether with the same."""
    rows = select(cases.c.earlier, cases.c.since_days, cases.c.since_km, cases.c.same)
    known = cases.c.earlier.is_not(None) & cases.c.since_days.is_not(None)
    return _first(rows.where(known), cases.c.earlier, cases.c.since_days, cases.c.id)


def _last_seen() -> Subquery:
    """Return when a unit was last seen to run after each case, and at which distance."""
    rows = select(sightings.c.case, day_number(sightings.c.on).label("day"), sightings.c.km)
    rows = rows.where(sightings.c.gone == "")
    return _first(rows, sightings.c.case, sightings.c.on.desc(), sightings.c.id)


# By a vehicle's own rate ------------------------------------------------------------------------

Reading = tuple[str, float | None]
"""A day, and the distance that stood on the vehicle then, if known."""


def _rated(connection: Connection) -> Iterator[float | None]:
    """Yield the km of the repairs that are known by their days alone, where a rate is known."""
    mine = repairs.c.rated == 1
    visits = select(_whose().label("whose"), _day().label("day"), cases.c.distance_km.label("km"))
    came = visits.where(_whose().in_(select(repairs.c.whose).where(mine))).subquery()
    visited = _readings(connection, select(came).where(came.c.day.is_not(None)))
    seen = select(sightings.c.case, sightings.c.on, sightings.c.km).where(sightings.c.gone == "")
    of_rated = sightings.c.case.in_(select(repairs.c.case).where(mine))
    sighted = _readings(connection, seen.where(of_rated))
    columns = (repairs.c.case, repairs.c.whose, repairs.c.days, cases.c.out_on, cases.c.out_km)
    wanted = select(*columns).join(cases, cases.c.id == repairs.c.case).where(mine)
    for number, whose, days, out_on, out_km in connection.execute(wanted):
        readings = (*sighted.get(number, ()), *visited.get(whose, ()), (out_on, out_km))
        rate = _rate(readings)
        yield None if rate is None else rate * days


def _readings(connection: Connection, wanted: Rows) -> dict[int, list[Reading]]:
    found: dict[int, list[Reading]] = {}
    for key, day, km in connection.execute(wanted):
        found.setdefault(key, []).append((day, km))
    return found


def _rate(readings: Iterable[Reading]) -> float | None:
    """Return the km that a vehicle runs in a day, by the first and last distance known of it."""
    known = sorted({(day, km) for day, km in readings if km is not None})
    if len(known) < 2:
        return None
    (first, low), (last, high) = known[0], known[-1]
    days = (date.fromisoformat(last) - date.fromisoformat(first)).days
    return (high - low) / days if days >= SHORTEST_RATE and high > low else None


# Unit by unit -----------------------------------------------------------------------------------


def _histories(connection: Connection) -> Histories:
    """Return when units came back, counted; and of some of them one by one."""
    mine = repairs.c
    since = (mine.left_on + mine.days - mine.first_on).label("since")
    end = func.max(since).label("end")
    followed = (end > 0) | (func.max(mine.back) == 1)
    units = select(mine.whose, end).group_by(mine.whose).having(followed)
    ends = {float(age): n for age, n in connection.execute(_by(units.subquery().c.end))}
    came = connection.execute(_by(since).where(mine.back == 1))
    events = {float(age): n for age, n in came}
    of = sum(ends.values())
    every = -(-of // UNITS_LOOKED_AT) or 1
    taken = (mine.whose // _KINDS) % every == 0
    some = units.where(taken).subquery()
    rows = select(mine.whose, some.c.end, mine.back, since).where(taken).order_by(mine.case)
    sample: dict[int, tuple[list[float], float]] = {}
    for whose, last, back, age in connection.execute(rows.join(some, some.c.whose == mine.whose)):
        days, _ = sample.setdefault(whose, ([], float(last)))
        if back:
            days.append(float(age))
    return Histories(of, events, ends, sample)
