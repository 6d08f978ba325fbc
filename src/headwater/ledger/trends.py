"""What fails: origins and damaged parts, by family, season or distance, and whether they grow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Subquery,
    case,
    func,
    literal,
    select,
)

from headwater.ledger.counted import band_number, came_in
from headwater.ledger.door import Ledger
from headwater.ledger.fits import drift_of, growth, shares_compared
from headwater.ledger.records import (
    FleetReport,
    LedgerError,
    ShareRow,
    StatisticRow,
    TrendGroup,
    TrendsReport,
)
from headwater.ledger.returns import share_row
from headwater.ledger.tables import cases, damages, origins

MOST_ROWS = 12
BAND = 50_000
"""Km of one band of distances."""
SEASONS = {
    **dict.fromkeys(("12", "01", "02"), "winter"),
    **dict.fromkeys(("03", "04", "05"), "spring"),
    **dict.fromkeys(("06", "07", "08"), "summer"),
    **dict.fromkeys(("09", "10", "11"), "autumn"),
}
"""Month -> season, as they are north of the equator."""
FEWEST_TESTED = 5
"""Cases of an origin from which it is tested whether it grows or differs between two periods."""
NOT_SAID = "not said"


@dataclass(frozen=True, slots=True)
class TrendsAsked:
    """What is asked: which period, by what parted, and where two periods meet that are compared."""

    by: str = ""
    since: str = ""
    until: str = ""
    split: str = ""


Key = str | int | None
"""What the data base groups cases by; several may be one group."""


@dataclass(frozen=True, slots=True)
class _Parted:
    """How cases are parted: the column that they are grouped by, and the name of each group."""

    column: ColumnElement[Any]
    name: Callable[[Key], str]


def trends_report(ledger: Ledger, asked: TrendsAsked) -> TrendsReport:
    """Return what was behind the cases of a period, and what was damaged."""
    parted = _parted(asked.by)
    with ledger.counting() as connection:
        done = _done(asked, parted.column)
        groups = tuple(_groups(connection, done, parted.name))
        tests = tuple(_tests(connection, done, asked.split))
    if asked.by and groups and {group.name for group in groups} == {NOT_SAID}:
        known = "season, distance, family, or an attribute of a unit: 'drive'"
        raise LedgerError(f"--by: no case says its '{asked.by}'; say one of {known}")
    return TrendsReport(
        cases=sum(group.cases for group in groups),
        by=asked.by,
        since=asked.since,
        until=asked.until,
        groups=groups,
        tests=tests,
    )


def _done(asked: TrendsAsked, key: ColumnElement[Any]) -> Subquery:
    """Return the cases that are done and known from within, by when they came in."""
    day = came_in()
    known = cases.c.out_on.is_not(None) & (cases.c.source == "case")
    if asked.since:
        known &= day >= asked.since
    if asked.until:
        known &= day <= asked.until
    columns = (cases.c.id, day.label("day"), key.label("key"))
    return select(*columns).where(known).subquery("done")


def _parted(by: str) -> _Parted:
    if not by:
        return _Parted(literal(""), str)
    if by == "season":
        return _Parted(func.substr(came_in(), 6, 2), lambda month: SEASONS[str(month)])
    if by == "distance":
        return _Parted(band_number(cases.c.distance_km, BAND), _band)
    if by == "family":
        return _Parted(cases.c.family, lambda family: str(family) or NOT_SAID)
    return _Parted(cases.c.family, lambda family: _attribute(by, str(family)))


def _band(number: Key) -> str:
    if number is None:
        return NOT_SAID
    low = int(number) * BAND
    return f"{low}-{low + BAND} km"


def _attribute(by: str, family: str) -> str:
    told = dict(pair.split("=", 1) for pair in family.split("; ") if "=" in pair)
    return f"{by}={told[by]}" if by in told else NOT_SAID


def _groups(
    connection: Connection, done: Subquery, name: Callable[[Key], str]
) -> Iterator[TrendGroup]:
    """Yield the groups, each with its origins and damaged parts, as the data base counts them."""
    key, number = done.c.key, func.count()
    behind = origins.c.naming != "open"
    has_one = select(origins.c.case).where(behind & (origins.c.case == done.c.id)).exists()
    hurt = select(damages.c.case, damages.c.part).distinct().subquery()
    whole = _counted(connection, select(key, literal(""), number).group_by(key), name)
    named = select(key, literal(""), number).where(has_one).group_by(key)
    with_one = _counted(connection, named, name)
    found = select(key, origins.c.origin, number).join(origins, origins.c.case == done.c.id)
    origin_rows = found.where(behind).group_by(key, origins.c.origin)
    part_rows = select(key, hurt.c.part, number).join(hurt, hurt.c.case == done.c.id)
    by_origin = _counted(connection, origin_rows, name)
    by_part = _counted(connection, part_rows.group_by(key, hurt.c.part), name)
    for group, counts in sorted(whole.items()):
        of = counts[""]
        none = of - with_one.get(group, {"": 0})[""]
        yield TrendGroup(
            group,
            of,
            tuple(_shares(by_origin.get(group, {}), of)),
            tuple(_shares(by_part.get(group, {}), of)),
            share_row("no origin named", none, of),
        )


def _counted(
    connection: Connection, wanted: Select[*tuple[Any, ...]], name: Callable[[Key], str]
) -> dict[str, Counter[str]]:
    """Return, of each group, how often what was counted; a group may have several keys."""
    found: dict[str, Counter[str]] = {}
    for key, what, number in connection.execute(wanted):
        found.setdefault(name(key), Counter())[what] += number
    return found


def _shares(counts: Mapping[str, int], of: int) -> list[ShareRow]:
    ranked = sorted(counts.items(), key=lambda item: (-item[1], item[0]))[:MOST_ROWS]
    return [share_row(what, count, of) for what, count in ranked]


def _tests(connection: Connection, done: Subquery, split: str) -> Iterator[StatisticRow]:
    """Yield whether an origin grows, and whether it differs between two periods.

    Time is counted in cases: what grows is its share among them, not how busy the shop was.
    """
    early = case((done.c.day < split, 1), else_=0)
    place = func.row_number().over(order_by=(done.c.day, done.c.id)).label("place")
    placed = select(done.c.id, place, early.label("early")).subquery("placed")
    number, places = func.count(), func.sum(placed.c.place)
    wanted = (
        select(origins.c.origin, number, places, func.sum(placed.c.early))
        .join(placed, placed.c.id == origins.c.case)
        .where(origins.c.naming != "open")
        .group_by(origins.c.origin)
        .having(number >= FEWEST_TESTED)
    )
    of, before = connection.execute(
        select(func.count(), func.coalesce(func.sum(early), 0)).select_from(done)
    ).one()
    rows = connection.execute(wanted).all()
    for origin, found, total, first in sorted(rows, key=lambda row: (-row[1], row[0])):
        test = drift_of(found, int(total) - found / 2, of)
        if test is not None:
            yield StatisticRow(f"{origin}, over the cases", test.name, test.statistic, test.p)
        if not split:
            continue
        two = shares_compared((first, before), (found - first, of - before))
        if two is not None:
            sides = f"{first} of {before} before {split}"
            sides += f", {found - first} of {of - before} from then on"
            yield StatisticRow(f"{origin}: {sides}", two.name, two.statistic, two.p)


def fleet_report(ledger: Ledger, customer: str = "") -> FleetReport:
    """Return how repairs of a fleet's units come as they run: ever more, or ever fewer.

    A unit counts with the distances at which it came in, up to the last that is known of it.
    """
    from headwater.ledger.tables import customers
    from headwater.ledger.terms import key_of

    wanted = select(cases.c.unit, cases.c.distance_km).where(
        cases.c.unit.is_not(None) & cases.c.distance_km.is_not(None)
    )
    if customer:
        wanted = wanted.join(customers, customers.c.id == cases.c.customer)
        wanted = wanted.where(customers.c.key == key_of(customer))
    events: dict[str, list[float]] = {}
    with ledger.reading() as connection:
        for unit, km in connection.execute(wanted):
            events.setdefault(str(unit), []).append(km)
    ends = {unit: max(ages) for unit, ages in events.items()}
    found = growth({unit: sorted(ages) for unit, ages in events.items()}, ends)
    return FleetReport(
        customer,
        len(events),
        sum(map(len, events.values())),
        found.beta if found else None,
        found.mean_between if found else None,
    )
