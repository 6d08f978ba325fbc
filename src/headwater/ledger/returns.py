"""What came back: how often, how soon, and whether the origin had been named and put right.

A repair that has not come back is followed to the last day on which its unit was known to run: it
was seen, or came in for something else. One that nobody heard of again is followed for no time at
all, and a unit that was sold or scrapped to the day before: a state, never a proof that it lasts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from headwater.ledger.door import Ledger
from headwater.ledger.fits import (
    Ages,
    curves_compared,
    life_curve,
    mean_count,
    mean_count_of_all,
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
from headwater.ledger.repairs import (
    LEFT,
    NOT_KNOWN,
    NOT_NAMED,
    RIGHT,
    Alike,
    Histories,
    known_of_repairs,
)

DAYS = (30, 90, 180, 365, 730, 1095)
KM = (1_000, 5_000, 10_000, 20_000, 50_000, 100_000)
"""The ages at which a curve is told."""
SEEN = 1 / 200
"""The least that a share must fall for its curve to show it."""
MOST_ORIGINS = 10
GROUPS = {
    NOT_KNOWN: "of the past: not known",
    NOT_NAMED: "origin not named",
    LEFT: "origin named, left in place",
    RIGHT: "origin named and put right",
}


def returns_report(ledger: Ledger, since: str = "", until: str = "") -> ReturnsReport:
    """Return what came back of the repairs that left within a period."""
    with ledger.counting() as connection:
        known = known_of_repairs(connection, since, until)
    alike = known.alike
    groups = {
        name: _back_of(one for one in alike if one.group == group) for group, name in GROUPS.items()
    }
    told = [(one.same, one.number) for one in alike if one.back and one.same is not None]
    same = sum(number for again, number in told if again), sum(number for _, number in told)
    return ReturnsReport(
        whole=share_row("all repairs", *_back_of(alike)),
        since=since,
        until=until,
        never_seen=sum(one.number for one in alike if not one.back and not one.days),
        gone=known.gone,
        groups=tuple(_ranked(groups)),
        origins=tuple(_ranked(known.origins))[:MOST_ORIGINS],
        complaints=(share_row("with the same complaint", *same),) if told else (),
        by_days=_table(_days(alike), "days", DAYS),
        by_km=_table(Ages(known.back_km, known.running_km), "km", KM),
        counts=tuple(_counts(known.histories)),
        units=known.histories.of,
        spread_of=len(known.histories.sample),
        tests=tuple(_tests(alike)),
    )


def share_row(name: str, count: int, of: int) -> ShareRow:
    """Return a share with its interval."""
    within = share_of(count, of)
    return ShareRow(name, count, of, count / of if of else 0.0, within.low, within.high)


def _back_of(some: Iterable[Alike]) -> tuple[int, int]:
    """Return how many repairs came back, and of how many."""
    rows = [(one.number * one.back, one.number) for one in some]
    return sum(back for back, _ in rows), sum(of for _, of in rows)


def _ranked(counts: Mapping[str, tuple[int, int]]) -> Iterator[ShareRow]:
    """Yield what came back, group by group, the largest first."""
    for name, (count, of) in sorted(counts.items(), key=lambda item: (-item[1][1], item[0])):
        if of:
            yield share_row(name, count, of)


def _days(some: Iterable[Alike]) -> Ages:
    """Return the ages of repairs by days; those of which none is known are left out."""
    ages: tuple[Counter[float], Counter[float]] = (Counter(), Counter())
    for one in some:
        if one.days:
            ages[one.back][float(one.days)] += one.number
    return Ages(ages[True], ages[False])


def _table(ages: Ages, unit: str, marks: tuple[int, ...]) -> LifeTable:
    steps = share_still_running(ages)
    last = max((*ages.returned, *ages.running), default=0.0)
    told = [(mark, share_at(steps, mark)) for mark in marks if mark <= last]
    rows = tuple(replace(step, age=float(mark)) for mark, step in told if step)
    counts = Counter(ages.returned).total(), Counter(ages.running).total()
    return LifeTable(unit, ages.method, *counts, rows, life_curve(ages), tuple(_thinned(steps)))


def _thinned(steps: Sequence[LifeStep]) -> Iterator[LifeStep]:
    """Yield the steps of a curve that can be told apart when it is drawn."""
    shown = 1.0
    for step in steps:
        if shown - step.share >= SEEN or step is steps[-1]:
            yield step
            shown = step.share


def _counts(units: Histories) -> Iterator[CountStep]:
    """Yield the mean number of returns of a unit, by days since its first repair."""
    some = dict(enumerate(units.sample.values()))
    steps = mean_count(
        {n: came for n, (came, _) in some.items()}, {n: end for n, (_, end) in some.items()}
    )
    if len(some) < units.of:
        steps = mean_count_of_all(units.events, units.ends, steps, len(some) / units.of)
    last = max(units.ends, default=0.0)
    for mark in DAYS:
        held = [step for step in steps if step.age <= mark]
        if held and mark <= last:
            yield CountStep(float(mark), held[-1].mean, held[-1].error)


def _tests(alike: Iterable[Alike]) -> Iterator[StatisticRow]:
    """Yield how repairs whose origin was named and put right stand to all others that are known."""
    known = [one for one in alike if one.group != NOT_KNOWN]
    good = [one for one in known if one.group == RIGHT]
    bad = [one for one in known if one.group != RIGHT]
    what = "origin named and put right, against all others"
    if (fisher := shares_compared(_back_of(good), _back_of(bad))) is not None:
        yield StatisticRow(what, fisher.name, fisher.statistic, fisher.p)
    curves = curves_compared(_days(good), _days(bad))
    if curves is not None:
        yield StatisticRow(f"{what}, by days", curves.name, curves.statistic, curves.p)
