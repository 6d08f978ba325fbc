"""What the data bases count is what one counts case by case, in both of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from sqlalchemy import literal, null, select, type_coerce
from sqlalchemy.types import Float

from headwater.ledger.counted import band_number, day_number
from headwater.ledger.door import Ledger
from headwater.ledger.fits import drift, drift_of, mean_count, mean_count_of_all
from headwater.ledger.repairs import (
    LEFT,
    NOT_KNOWN,
    NOT_NAMED,
    RIGHT,
    RepairsKnown,
    known_of_repairs,
)
from headwater.ledger.returns import returns_report
from headwater.ledger.tables import cases, damages, origins, sightings
from headwater.ledger.trends import BAND, SEASONS, TrendsAsked, trends_report
from ledger.drawn import fill, roughen

DAYS = ("2026-01-01", "2028-02-29", "2000-12-31", "1999-03-01", "2100-03-01")
KMS = (0.0, 0.4, 24_999.9, 25_000.0, 49_999.999, 50_000.0, 50_000.4, 175_000.0, -1.0, -50_000.0)


def test_days_and_bands_are_those_of_python(shop: Ledger) -> None:
    with shop.reading() as connection:
        for day in DAYS:
            found = connection.scalar(select(day_number(literal(day))))
            assert found == date.fromisoformat(day).toordinal()
        for km in KMS:
            number = band_number(type_coerce(literal(km), Float), BAND)
            assert connection.scalar(select(number)) == km // BAND, km
        assert connection.scalar(select(band_number(type_coerce(null(), Float), BAND))) is None


# Repairs, one by one ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Repair:
    """A repair, reckoned by itself in the plainest way."""

    id: int
    whose: tuple[str, int]
    left: int
    group: int
    back: bool
    same: bool | None
    days: int
    km: float | None
    gone: bool
    named: tuple[str, ...]


def one_by_one(ledger: Ledger, since: str, until: str) -> Iterator[Repair]:
    with ledger.reading() as connection:
        every = connection.execute(select(cases).order_by(cases.c.id)).all()
        seen = connection.execute(select(sightings).order_by(sightings.c.id)).all()
        behind = connection.execute(select(origins).where(origins.c.naming != "open")).all()
    for row in every:
        if not row.out_on or row.out_on < since or (until and row.out_on > until):
            continue
        named = [one for one in behind if one.case == row.id]
        right = bool(named) and all(one.corrected for one in named)
        group = (RIGHT if right else LEFT) if named else NOT_NAMED
        returns = [one for one in every if one.earlier == row.id and one.since_days is not None]
        back = min(returns, key=lambda one: one.since_days, default=None)
        mine = [one for one in seen if one.case == row.id and not one.gone]
        readings = [(one.on, one.km) for one in mine]
        readings += [v for one in every if whose(one) == whose(row) for v in visits(one)]
        days, km = (back.since_days, back.since_km) if back else last_known(row, readings)
        yield Repair(
            row.id, whose(row), date.fromisoformat(row.out_on).toordinal(),
            group if row.source == "case" else NOT_KNOWN, back is not None,
            back.same if back else None, days, km,
            any(one.case == row.id and one.gone for one in seen),
            tuple(one.origin for one in named),
        )  # fmt: skip


def whose(row: Any) -> tuple[str, int]:
    if row.unit is not None:
        return "unit", row.unit
    return ("alone", row.id) if row.vehicle is None else ("vehicle", row.vehicle)


def visits(row: Any) -> Iterator[tuple[str, float | None]]:
    day = row.came_on or (row.opened[:10] if row.source == "case" else "")
    if day and whose(row)[0] != "alone":
        yield day, row.distance_km


def last_known(row: Any, readings: list[tuple[str, float | None]]) -> tuple[int, float | None]:
    later = [one for one in readings if one[0] > row.out_on]
    if not later:
        return 0, None
    day, km = max(later, key=lambda one: one[0])  # of one day, the first that was read
    days = (date.fromisoformat(day) - date.fromisoformat(row.out_on)).days
    if km is not None and row.out_km is not None:
        return days, max(km - row.out_km, 0.0)
    known = sorted({one for one in (*readings, (row.out_on, row.out_km)) if one[1] is not None})
    if len(known) < 2:
        return days, None
    (first, low), (last, high) = known[0], known[-1]
    between = (date.fromisoformat(last) - date.fromisoformat(first)).days
    assert low is not None
    assert high is not None
    return days, (high - low) / between * days if between >= 30 and high > low else None


def known(ledger: Ledger, since: str = "", until: str = "") -> RepairsKnown:
    with ledger.counting() as connection:
        return known_of_repairs(connection, since, until)


@pytest.mark.parametrize(("since", "until"), [("", ""), ("2027-03-01", "2028-12-31")])
def test_repairs_counted_are_those_reckoned_one_by_one(
    shop: Ledger, since: str, until: str
) -> None:
    fill(shop, 400, 5)
    roughen(shop, 9)
    each, found = list(one_by_one(shop, since, until)), known(shop, since, until)
    assert len(each) > 100
    alike = Counter((one.group, one.back, one.same, one.days) for one in each)
    assert {one[:4]: one.number for one in found.alike} == alike
    assert len({one.group for one in each}) == 4
    assert found.gone == sum(one.gone for one in each) > 0
    for back, kms in ((True, found.back_km), (False, found.running_km)):
        assert kms == Counter(one.km for one in each if one.back == back and one.km)
        assert len(kms) > 5
    named = Counter((origin, one.back) for one in each for origin in one.named)
    assert {key: of for key, (_, of) in found.origins.items()} == {
        key: named[key, True] + named[key, False] for key, _ in named
    }
    assert all(back == named[key, True] for key, (back, _) in found.origins.items())
    units: dict[tuple[str, int], list[Repair]] = {}
    for one in each:
        units.setdefault(one.whose, []).append(one)
    told = [history(ones) for ones in units.values()]
    assert list(found.histories.sample.values()) == [one for one in told if one[1] or one[0]]
    assert found.histories.events == Counter(age for came, _ in told for age in came)
    ends = Counter(end for came, end in told if end or came)
    assert found.histories.ends == ends
    assert found.histories.of == ends.total()


def history(ones: list[Repair]) -> tuple[list[float], float]:
    first = min(one.left for one in ones)
    ages = [(one.left - first + one.days, one.back) for one in ones]
    return [float(age) for age, back in ages if back], float(max(age for age, _ in ages))


def test_nothing_is_left_of_what_was_brought_together(
    shop: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(shop, 40, 5)
    assert known(shop) == known(shop)
    with monkeypatch.context() as patch:
        patch.setattr("headwater.ledger.repairs._histories", None)  # goes wrong half way
        with pytest.raises(TypeError):
            known(shop)
    assert known(shop).gone == 0


def test_trends_counted_are_those_of_each_case(shop: Ledger) -> None:
    fill(shop, 400, 5)
    roughen(shop, 9)
    with shop.reading() as connection:
        rows = [
            row for row in connection.execute(select(cases)).all()
            if row.out_on and row.source == "case"
        ]  # fmt: skip
        named = connection.execute(select(origins).where(origins.c.naming != "open")).all()
        hurt = {(one.case, one.part) for one in connection.execute(select(damages))}
    bands = {None: "not said"} | {n: f"{n * BAND}-{(n + 1) * BAND} km" for n in range(9)}
    keys: dict[str, Callable[[Any], str]] = {
        "": lambda _: "",
        "season": lambda row: SEASONS[(row.came_on or row.opened)[5:7]],
        "distance": lambda row: bands[None if (km := row.distance_km) is None else int(km // BAND)],
        "family": lambda row: row.family or "not said",
        "drive": lambda row: row.family or "not said",
    }
    for by, key in keys.items():
        found = trends_report(shop, TrendsAsked(by)).groups
        group = {row.id: key(row) for row in rows}
        counts = Counter(group.values())
        assert {one.name: one.cases for one in found} == counts
        assert len(counts) > (1 if by else 0)
        by_origin = Counter((group.get(one.case), one.origin) for one in named)
        by_part = Counter((group.get(case), part) for case, part in hurt)
        for one in found:
            assert all(row.count == by_origin[one.name, row.name] for row in one.origins)
            assert all(row.count == by_part[one.name, row.name] for row in one.parts)
            assert len(one.origins) == sum(name == one.name for name, _ in by_origin)
            with_one = {o.case for o in named if group.get(o.case) == one.name}
            assert one.unnamed.count == one.cases - len(with_one)


# Many units ---------------------------------------------------------------------------------------


def test_of_many_units_the_mean_is_of_all_and_the_spread_of_some(
    shop: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(shop, 3_000, 5)
    whole = returns_report(shop)
    assert whole.spread_of == whole.units > 500
    monkeypatch.setattr("headwater.ledger.repairs.UNITS_LOOKED_AT", 250)
    part = returns_report(shop)
    assert 150 < part.spread_of <= 250 < part.units == whole.units
    assert [step.mean for step in part.counts] == [step.mean for step in whole.counts]
    assert [step.error for step in part.counts[2:]] == pytest.approx(
        [step.error for step in whole.counts[2:]], rel=0.25
    )


def test_counted_events_have_the_mean_of_those_told_one_by_one() -> None:
    ends = {1: 9.0, 2: 4.0, 3: 12.0, 4: 0.0, 5: 0.0, 6: 7.0}
    events = {1: [3.0, 9.0], 2: [3.0], 3: [5.0], 4: [0.0], 5: [], 6: []}
    each = mean_count(events, ends)
    counted = Counter(age for ages in events.values() for age in ages)
    followed = Counter(end for unit, end in ends.items() if end or events[unit])
    assert mean_count_of_all(counted, followed, each, 1.0) == each
    quarter = mean_count_of_all(counted, followed, each, 0.25)
    assert [step.error for step in quarter] == [step.error / 2 for step in each]


def test_drift_hangs_on_number_and_sum_alone() -> None:
    places = (1, 2, 5, 6, 9, 14, 15, 17)
    each = drift([place - 0.5 for place in places], 20)
    assert each is not None
    assert drift_of(len(places), sum(places) - len(places) / 2, 20) == each
    assert drift_of(1, 4.5, 20) is None
    assert drift_of(0, 0.0, 20) is None


def test_what_a_person_reads_says_so(shop: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    from headwater import outputs

    fill(shop, 300, 5)
    heading = "Returns of a unit since its first repair, on average (standard error"

    def told() -> str:
        lines = outputs.lines("ledger-returns", returns_report(shop))
        return next(line.text for line in lines if line.text.startswith(heading))

    assert told() == f"{heading})"
    monkeypatch.setattr("headwater.ledger.repairs.UNITS_LOOKED_AT", 30)
    found = returns_report(shop)
    assert told() == f"{heading} by {found.spread_of} of {found.units} units)"
