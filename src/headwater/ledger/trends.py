"""What fails: origins and damaged parts, by family, season or distance, and whether they grow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, Row, select

from headwater.ledger.door import Ledger, many_rows
from headwater.ledger.fits import drift, growth, shares_compared
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


@dataclass(frozen=True, slots=True)
class _Done:
    """A case that is done: its place in time, and the group that it falls into."""

    id: int
    day: str
    group: str


def trends_report(ledger: Ledger, asked: TrendsAsked) -> TrendsReport:
    """Return what was behind the cases of a period, and what was damaged."""
    with many_rows(), ledger.reading() as connection:
        done = list(_cases(connection, asked))
        behind = select(origins.c.case, origins.c.origin).where(origins.c.naming != "open")
        named = _pairs(connection.execute(behind).all())
        hurt = _pairs(connection.execute(select(damages.c.case, damages.c.part).distinct()).all())
    return TrendsReport(
        cases=len(done),
        by=asked.by,
        since=asked.since,
        until=asked.until,
        groups=tuple(_groups(done, named, hurt, asked)),
        tests=tuple(_tests(done, named, asked.split)),
    )


def _pairs(rows: Iterable[Row[*tuple[int, str]]]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for case, what in rows:
        found.setdefault(case, []).append(what)
    return found


def _cases(connection: Connection, asked: TrendsAsked) -> Iterator[_Done]:
    """Yield the cases that are done and known from within, as they came in."""
    columns = (cases.c.id, cases.c.came_on, cases.c.opened, cases.c.family, cases.c.distance_km)
    known = cases.c.out_on.is_not(None) & (cases.c.source == "case")
    found = []
    for row in connection.execute(select(*columns).where(known)).all():
        day = row.came_on or row.opened[:10]
        if (not asked.since or day >= asked.since) and (not asked.until or day <= asked.until):
            found.append(_Done(row.id, day, _group(asked.by, day, row.family, row.distance_km)))
    yield from sorted(found, key=lambda one: (one.day, one.id))


def _group(by: str, day: str, family: str, km: float | None) -> str:
    if not by:
        return ""
    if by == "season":
        return SEASONS[day[5:7]]
    if by == "distance":
        low = None if km is None else int(km // BAND) * BAND
        return NOT_SAID if low is None else f"{low}-{low + BAND} km"
    if by == "family":
        return family or NOT_SAID
    told = dict(pair.split("=", 1) for pair in family.split("; ") if "=" in pair)
    return f"{by}={told[by]}" if by in told else NOT_SAID


def _groups(
    done: list[_Done], named: dict[int, list[str]], hurt: dict[int, list[str]], asked: TrendsAsked
) -> Iterator[TrendGroup]:
    parted: dict[str, list[_Done]] = {}
    for one in done:
        parted.setdefault(one.group, []).append(one)
    if asked.by and done and set(parted) == {NOT_SAID}:
        known = "season, distance, family, or an attribute of a unit: 'drive'"
        raise LedgerError(f"--by: no case says its '{asked.by}'; say one of {known}")
    for name, ones in sorted(parted.items()):
        none = sum(one.id not in named for one in ones)
        yield TrendGroup(
            name,
            len(ones),
            tuple(_shares(ones, named)),
            tuple(_shares(ones, hurt)),
            share_row("no origin named", none, len(ones)),
        )


def _shares(ones: list[_Done], found: dict[int, list[str]]) -> list[ShareRow]:
    counts = Counter(what for one in ones for what in found.get(one.id, ()))
    ranked = sorted(counts.items(), key=lambda item: (-item[1], item[0]))[:MOST_ROWS]
    return [share_row(what, count, len(ones)) for what, count in ranked]


def _tests(done: list[_Done], named: dict[int, list[str]], split: str) -> Iterator[StatisticRow]:
    """Yield whether an origin grows, and whether it differs between two periods.

    Time is counted in cases: what grows is its share among them, not how busy the shop was.
    """
    places: dict[str, list[int]] = {}
    for place, one in enumerate(done, 1):
        for origin in named.get(one.id, ()):
            places.setdefault(origin, []).append(place)
    before = sum(one.day < split for one in done)
    for origin, found in sorted(places.items(), key=lambda item: (-len(item[1]), item[0])):
        if len(found) < FEWEST_TESTED:
            continue
        test = drift([place - 0.5 for place in found], len(done))
        if test is not None:
            yield StatisticRow(f"{origin}, over the cases", test.name, test.statistic, test.p)
        if not split:
            continue
        first = sum(place <= before for place in found)
        two = shares_compared((first, before), (len(found) - first, len(done) - before))
        if two is not None:
            sides = f"{first} of {before} before {split}"
            sides += f", {len(found) - first} of {len(done) - before} from then on"
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
