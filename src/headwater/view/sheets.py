"""The ledger's figures as pages: a chart and the table of what it shows, one beneath the other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from headwater.ledger.records import (
    CalibrationGroup,
    CalibrationReport,
    LifeFit,
    LifeTable,
    ReturnsReport,
    ShareRow,
    StatisticRow,
    TrendsReport,
)
from headwater.view.chart import Bar, Chart, Curve, Dot
from headwater.view.figures import (
    calibration_paper,
    p_words,
    percent,
    returns_paper,
    share_words,
    trends_paper,
)
from headwater.view.paper import Block, Grid, Paper, Section, cell, say

CAME_BACK, OF_CASES = "Share of the repairs that came back", "Share of the cases"
MOST_TICKS = 6
DRAWN = 40
"""Points of a curve that is reckoned."""
TENTHS = tuple((n / 4, f"{25 * n} %") for n in range(5))


def returns_sheet(told: ReturnsReport) -> Paper:
    """Return what came back with its charts: by groups, and how soon."""
    plain = returns_paper(told)
    sections = [
        *_rates("By whether the origin had been named", CAME_BACK, told.groups),
        *_rates("By the origin that was named", CAME_BACK, told.origins),
        *_rates("What they came back with", "Share of those that came back", told.complaints),
        *_life(told.by_days),
        *_life(told.by_km),
        *_tests(told.tests),
    ]
    return Paper(plain.heading, plain.blocks, tuple(sections), plain.foot)


def trends_sheet(told: TrendsReport) -> Paper:
    """Return what fails with its charts: origins and parts, group by group."""
    plain = trends_paper(told)
    sections: list[Section] = []
    for group in told.groups:
        of = f"{group.name}: " if group.name else ""
        sections += _rates(f"{of}origins named", OF_CASES, (*group.origins, group.unnamed))
        sections += _rates(f"{of}parts damaged", OF_CASES, group.parts)
    return Paper(plain.heading, plain.blocks, (*sections, *_tests(told.tests)), plain.foot)


def calibration_sheet(told: CalibrationReport) -> Paper:
    """Return how right the book was with a chart for each seat and pack."""
    plain = calibration_paper(told)
    sections = [_reliability(group) for group in told.groups]
    rest = plain.sections[len(told.groups) :]
    return Paper(plain.heading, plain.blocks, (*sections, *rest), plain.foot)


# --- rates --------------------------------------------------------------------------------------


def _rates(heading: str, what: str, rows: Sequence[ShareRow]) -> Iterator[Section]:
    if rows:
        bars = tuple(Bar(r.name, r.share, r.low, r.high, _bar_words(r)) for r in rows)
        chart = Chart(what, "share", "", bars=bars)
        yield Section(heading, (chart, _share_grid(rows)))


def _bar_words(row: ShareRow) -> str:
    return f"{percent(row.share)}, {row.count} of {row.of}{', few' if row.few else ''}"


def _share_grid(rows: Iterable[ShareRow]) -> Grid:
    head = ("", "cases", "in all", "share", "95 % from", "to")
    return Grid(
        head,
        tuple(
            tuple(map(cell, (r.name, str(r.count), str(r.of), *map(_tenths, _shares(r)))))
            for r in rows
        ),
    )


def _shares(row: ShareRow) -> tuple[float, float, float]:
    return row.share, row.low, row.high


def _tenths(share: float) -> str:
    return f"{100 * share:.1f} %"


def _tests(tests: Sequence[StatisticRow]) -> Iterator[Section]:
    if tests:
        rows = tuple(
            tuple(map(cell, (t.what, t.name, f"{t.statistic:.2f}", p_words(t.p)))) for t in tests
        )
        yield Section("Held against one another", (Grid(("what", "test", "value", "p"), rows),))


# --- how soon -----------------------------------------------------------------------------------


def _life(table: LifeTable) -> Iterator[Section]:
    if not table.curve:
        return
    last = table.curve[-1].age
    dots = tuple(Dot(step.age, step.share, step.low, step.high) for step in table.curve)
    curves = [Curve("not back yet (Kaplan and Meier)", (_AT_ONCE, *dots), True, True)]
    if table.fit:
        curves.append(_fitted(table.fit, last))
    heading = f"How soon, in {table.unit}"
    chart = Chart(
        f"Repairs that have not come back, by {table.unit}",
        table.unit,
        "not back yet",
        ticks_to(last),
        tuple(curves),
    )
    rows = tuple(
        tuple(
            map(
                cell,
                (f"{s.age:.0f}", *map(_tenths, (s.share, s.low, s.high)), str(s.at_risk)),
            )
        )
        for s in table.steps
    )
    grid = Grid((table.unit, "not back", "95 % from", "to", "followed so long"), rows)
    count = f"{table.returned} came back, {table.running} are followed to when they last ran."
    yield Section(heading, (say(count), chart, grid))


_AT_ONCE = Dot(0.0, 1.0, 1.0, 1.0)


def _fitted(fit: LifeFit, last: float) -> Curve:
    ages = [last * n / DRAWN for n in range(DRAWN + 1)]
    shares = [math.exp(-((age / fit.scale) ** fit.shape)) for age in ages]
    dots = tuple(Dot(age, s, s, s) for age, s in zip(ages, shares, strict=True))
    return Curve(f"Weibull, shape {fit.shape:.2f}, scale {fit.scale:.0f}", dots, found=False)


def ticks_to(last: float) -> tuple[tuple[float, str], ...]:
    """Return round places from nought to beyond a figure, with their words.

    >>> [words for _, words in ticks_to(730)]
    ['0', '200', '400', '600', '800']
    """
    if last <= 0:
        return ((0.0, "0"), (1.0, "1"))
    size = 10.0 ** math.floor(math.log10(last / MOST_TICKS))
    step = next(size * n for n in (1, 2, 5, 10) if last / (size * n) <= MOST_TICKS)
    return tuple((n * step, f"{n * step:g}") for n in range(math.ceil(last / step) + 1))


# --- said and come true -------------------------------------------------------------------------


def _reliability(group: CalibrationGroup) -> Section:
    marks = tuple(Dot(b.chance, *_shares(b.found)) for b in group.bands)
    even = tuple(Dot(share, share, share, share) for share in (0.0, 1.0))
    chart = Chart(
        f"{group.name}: said and come true",
        "chance that was said",
        "came true",
        TENTHS,
        (Curve("as it would be if every chance were right", even, found=False),),
        marks,
        "came true, with its 95 % interval",
    )
    rows = tuple(
        (cell(percent(band.chance)), cell(share_words(band.found))) for band in group.bands
    )
    scores = f"Brier {group.brier:.3f}, log loss {group.log_loss:.3f}: the smaller the better."
    blocks: tuple[Block, ...] = (say(scores), chart, Grid(("said", "came true"), rows))
    return Section(f"{group.name}: {group.forecasts} forecasts", blocks)
