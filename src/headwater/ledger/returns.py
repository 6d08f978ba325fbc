"""What came back: how often, how soon, and whether the origin had been named and put right.

A repair that has not come back is followed to the last day on which its unit was known to run: it
was seen, or came in for something else. One that nobody heard of again is followed for no time at
all, and a unit that was sold or scrapped to the day before: a state, never a proof that it lasts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from sqlalchemy import ColumnElement, Connection, select

from headwater.ledger.door import Ledger, many_rows
from headwater.ledger.fits import (
    Ages,
    curves_compared,
    life_curve,
    mean_count,
    share_at,
    share_of,
    share_still_running,
    shares_compared,
)
from headwater.ledger.records import (
    CountStep,
    LifeStep,
    LifeTable,
    ReturnsReport,
    ShareRow,
    StatisticRow,
)
from headwater.ledger.tables import cases, origins, sightings

DAYS = (30, 90, 180, 365, 730, 1095)
KM = (1_000, 5_000, 10_000, 20_000, 50_000, 100_000)
"""The ages at which a curve is told."""
SEEN = 1 / 200
"""The least that a share must fall for its curve to show it."""
SHORTEST_RATE = 30
"""Days between two distances of a vehicle from which its own rate is taken."""
MOST_ORIGINS = 10
NOT_KNOWN = "of the past: not known"


class Repair(NamedTuple):
    """A case that was done. `days` and `km` are its age at return, or when it was last known.

    `origins` are those that were named, `right` says whether all of them were put right.
    """

    id: int
    out_on: str
    whose: tuple[str, int] | None
    known: bool
    came_back: bool
    same: bool | None
    days: float
    km: float | None
    gone: bool
    origins: tuple[str, ...]
    right: bool

    @property
    def group(self) -> str:
        """Whether its origin had been named, and put right."""
        if not self.known:
            return NOT_KNOWN
        if not self.origins:
            return "origin not named"
        return "origin named and put right" if self.right else "origin named, left in place"


def returns_report(ledger: Ledger, since: str = "", until: str = "") -> ReturnsReport:
    """Return what came back of the repairs that left within a period."""
    with many_rows(), ledger.reading() as connection:
        repairs = list(_repairs(connection, since, until))
    back = [one for one in repairs if one.came_back]
    lost = [one for one in repairs if not one.came_back and not one.days]
    return ReturnsReport(
        whole=share_row("all repairs", len(back), len(repairs)),
        since=since,
        until=until,
        never_seen=len(lost),
        gone=sum(one.gone for one in repairs),
        groups=tuple(_groups(repairs, lambda one: (one.group,))),
        origins=tuple(_groups(repairs, lambda one: one.origins))[:MOST_ORIGINS],
        complaints=tuple(_complaints(back)),
        by_days=_table(repairs, "days", DAYS, lambda one: one.days),
        by_km=_table(repairs, "km", KM, lambda one: one.km),
        counts=tuple(_counts(repairs)),
        tests=tuple(_tests(repairs)),
    )


def share_row(name: str, count: int, of: int) -> ShareRow:
    """Return a share with its interval."""
    within = share_of(count, of)
    return ShareRow(name, count, of, count / of if of else 0.0, within.low, within.high)


# What is known of each repair -------------------------------------------------------------------


def _repairs(connection: Connection, since: str, until: str) -> Iterator[Repair]:
    """Yield every repair of a period with what is known of it since."""
    wanted: ColumnElement[bool] = cases.c.out_on.is_not(None)
    if since:
        wanted &= cases.c.out_on >= since
    if until:
        wanted &= cases.c.out_on <= until
    behind, back = _behind(connection), _first_returns(connection)
    seen, visits, gone = _seen(connection), _visits(connection), _gone(connection)
    names = ("id", "out_on", "out_km", "unit", "vehicle", "source")
    columns = select(*(cases.c[name] for name in names)).where(wanted).order_by(cases.c.id)
    for number, out_on, out_km, unit, vehicle, source in connection.execute(columns).all():
        whose = _whose(unit, vehicle)
        named = behind.get(number, ())
        came = back.get(number)
        if came:
            days, km, same = came
        else:
            readings = visits.get(whose, ()) if whose else ()
            (days, km), same = _last_known(out_on, out_km, seen.get(number, ()), readings), None
        yield Repair(
            number,
            out_on,
            whose,
            source == "case",
            came is not None,
            same,
            days,
            km,
            number in gone,
            tuple([origin for origin, _ in named]),
            bool(named) and all(corrected for _, corrected in named),
        )


def _whose(unit: int | None, vehicle: int | None) -> tuple[str, int] | None:
    """Return by what a unit is known again: its number, else its vehicle."""
    if unit is not None:
        return "unit", unit
    return None if vehicle is None else ("vehicle", vehicle)


Reading = tuple[str, float | None]
"""A day, and the distance that stood on the vehicle then, if known."""


def _last_known(
    out_on: str, out_km: float | None, seen: Sequence[Reading], visits: Sequence[Reading]
) -> tuple[float, float | None]:
    """Return the age of a repair, in days and km, when its unit was last known to run."""
    last, km = out_on, None
    for day, reading in (*seen, *visits):
        if day > last:
            last, km = day, reading
    if last == out_on:
        return 0.0, None
    days = float(_between(out_on, last))
    if km is not None and out_km is not None:
        return days, max(km - out_km, 0.0)
    rate = _rate([*seen, *visits, (out_on, out_km)])
    return days, None if rate is None else rate * days


def _rate(readings: Iterable[Reading]) -> float | None:
    """Return the km that a vehicle runs in a day, by the first and last distance known of it."""
    known = sorted({(day, km) for day, km in readings if km is not None})
    if len(known) < 2:
        return None
    (first, low), (last, high) = known[0], known[-1]
    days = _between(first, last)
    return (high - low) / days if days >= SHORTEST_RATE and high > low else None


def _between(first: str, last: str) -> int:
    return _day(last) - _day(first)


@lru_cache(maxsize=20_000)
def _day(text: str) -> int:
    """Return a day as a number; the same ones come again and again."""
    return date.fromisoformat(text).toordinal()


def _behind(connection: Connection) -> dict[int, list[tuple[str, bool]]]:
    """Return the named origins of each case, and whether each was put right."""
    found: dict[int, list[tuple[str, bool]]] = {}
    columns = (origins.c.case, origins.c.origin, origins.c.corrected)
    named = select(*columns).where(origins.c.naming != "open")
    for case, origin, corrected in connection.execute(named).all():
        found.setdefault(case, []).append((origin, corrected))
    for some in found.values():
        some.sort()
    return found


def _first_returns(
    connection: Connection,
) -> dict[int, tuple[float, float | None, bool | None]]:
    """Return of each repair that came back: days and km after, and whether with the same."""
    found: dict[int, tuple[float, float | None, bool | None]] = {}
    columns = (cases.c.earlier, cases.c.since_days, cases.c.since_km, cases.c.same)
    known = cases.c.earlier.is_not(None) & cases.c.since_days.is_not(None)
    for row in connection.execute(select(*columns).where(known).order_by(cases.c.since_days)):
        found.setdefault(row.earlier, (float(row.since_days), row.since_km, row.same))
    return found


def _seen(connection: Connection) -> dict[int, list[Reading]]:
    found: dict[int, list[Reading]] = {}
    for row in connection.execute(select(sightings).where(sightings.c.gone == "")):
        found.setdefault(row.case, []).append((row.on, row.km))
    return found


def _gone(connection: Connection) -> set[int]:
    return set(connection.scalars(select(sightings.c.case).where(sightings.c.gone != "")))


def _visits(connection: Connection) -> dict[tuple[str, int], list[Reading]]:
    """Return of each unit, or vehicle, when it came in and at which distance, whatever for."""
    found: dict[tuple[str, int], list[Reading]] = {}
    names = ("unit", "vehicle", "came_on", "opened", "distance_km", "source")
    columns = select(*(cases.c[name] for name in names))
    for unit, vehicle, came_on, opened, km, source in connection.execute(columns).all():
        whose = _whose(unit, vehicle)
        day = came_on or (opened[:10] if source == "case" else None)
        if whose and day:
            found.setdefault(whose, []).append((day, km))
    return found


# What follows from it ---------------------------------------------------------------------------


def _groups(
    repairs: Iterable[Repair], keys: Callable[[Repair], Iterable[str]]
) -> Iterator[ShareRow]:
    """Yield what came back, group by group, the largest first."""
    counts: dict[str, list[int]] = {}
    for one in repairs:
        for key in keys(one):
            row = counts.setdefault(key, [0, 0])
            row[0] += one.came_back
            row[1] += 1
    for key, (count, of) in sorted(counts.items(), key=lambda item: (-item[1][1], item[0])):
        yield share_row(key, count, of)


def _complaints(back: list[Repair]) -> Iterator[ShareRow]:
    told = [one for one in back if one.same is not None]
    if told:
        yield share_row("with the same complaint", sum(bool(o.same) for o in told), len(told))


def ages_of(repairs: Iterable[Repair], age: Callable[[Repair], float | None]) -> Ages:
    """Return the ages of repairs, by days or by km; those of which none is known are left out."""
    known = [(one, value) for one in repairs if (value := age(one))]
    return Ages(
        tuple(value for one, value in known if one.came_back),
        tuple(value for one, value in known if not one.came_back),
    )


def _table(
    repairs: list[Repair], unit: str, marks: tuple[int, ...], age: Callable[[Repair], float | None]
) -> LifeTable:
    ages = ages_of(repairs, age)
    steps = share_still_running(ages)
    last = max((*ages.returned, *ages.running), default=0.0)
    told = [(mark, share_at(steps, mark)) for mark in marks if mark <= last]
    rows = tuple(replace(step, age=float(mark)) for mark, step in told if step)
    counts = len(ages.returned), len(ages.running)
    return LifeTable(unit, ages.method, *counts, rows, life_curve(ages), tuple(_thinned(steps)))


def _thinned(steps: Sequence[LifeStep]) -> Iterator[LifeStep]:
    """Yield the steps of a curve that can be told apart when it is drawn."""
    shown = 1.0
    for step in steps:
        if shown - step.share >= SEEN or step is steps[-1]:
            yield step
            shown = step.share


def _counts(repairs: list[Repair]) -> Iterator[CountStep]:
    """Yield the mean number of returns of a unit, by days since its first repair."""
    events: dict[int, list[float]] = {}
    ends: dict[int, float] = {}
    for unit, ones in enumerate(_by_unit(repairs)):
        first = _day(min(one.out_on for one in ones))
        ages = [(_day(one.out_on) - first, one) for one in ones]
        events[unit] = [age + one.days for age, one in ages if one.came_back]
        ends[unit] = max(age + one.days for age, one in ages)
    steps = mean_count(events, ends)
    last = max(ends.values(), default=0.0)
    for mark in DAYS:
        held = [step for step in steps if step.age <= mark]
        if held and mark <= last:
            yield CountStep(float(mark), held[-1].mean, held[-1].error)


def _by_unit(repairs: list[Repair]) -> Iterable[list[Repair]]:
    """Return the repairs of each unit; one that is not known again is a unit by itself."""
    found: dict[tuple[str, int], list[Repair]] = {}
    for one in repairs:
        found.setdefault(one.whose or ("case", one.id), []).append(one)
    return found.values()


def _tests(repairs: list[Repair]) -> Iterator[StatisticRow]:
    """Yield how repairs whose origin was named and put right stand to all others that are known."""
    known = [one for one in repairs if one.known]
    good = [one for one in known if one.right]
    bad = [one for one in known if not (one.right)]
    what = "origin named and put right, against all others"
    pair = [(sum(one.came_back for one in side), len(side)) for side in (good, bad)]
    if (fisher := shares_compared(pair[0], pair[1])) is not None:
        yield StatisticRow(what, fisher.name, fisher.statistic, fisher.p)
    curves = curves_compared(ages_of(good, lambda o: o.days), ages_of(bad, lambda o: o.days))
    if curves is not None:
        yield StatisticRow(f"{what}, by days", curves.name, curves.statistic, curves.p)
