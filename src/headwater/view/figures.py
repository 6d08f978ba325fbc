"""The ledger's figures in words: what came back, and what fails. A small number says that it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headwater.ledger.records import (
    FEW,
    FEW_OF,
    CalibrationGroup,
    CalibrationReport,
    CountRow,
    FleetReport,
    IdleQuestions,
    LifeTable,
    ReturnsReport,
    ShareRow,
    StatisticRow,
    TrendGroup,
    TrendsReport,
)
from headwater.view.paper import Block, Paper, Section, Tone, Words, listed, say
from headwater.view.tables import Rows
from headwater.view.words import counted

BAR = 20
"""Signs of a bar that stands for all."""
FEW_WORDS = f"few: fewer than {FEW_OF} cases, or counted fewer than {FEW} times; it says little."


def returns_view(told: ReturnsReport) -> ReturnsReport:
    """Return what came back as a record."""
    return told


def returns_paper(told: ReturnsReport) -> Paper:
    """Return what came back: how many, of which repairs, how soon."""
    whole = told.whole
    head = (
        f"{whole.count} of {counted(whole.of, 'repair')} came back{_period(told.since, told.until)}"
    )
    blocks = [say(share_words(whole))] if whole.of else []
    if told.never_seen:
        text = f"{counted(told.never_seen, 'repair')} never heard of again: counted in no curve"
        blocks.append(say(f"{text}, so note it when one is seen ('ledger seen')."))
    if told.gone:
        blocks.append(say(f"{told.gone} units were sold, scrapped or went elsewhere."))
    sections = [
        *_shares("By whether the origin had been named", told.groups),
        *_shares("By the origin that was named", told.origins),
        *_shares("What they came back with", told.complaints),
        *_life(told.by_days),
        *_life(told.by_km),
    ]
    if told.counts:
        rows = [f"by {s.days:.0f} days {s.mean:.2f}, ± {s.error:.2f}" for s in told.counts]
        head_counts = "Returns of a unit since its first repair, on average (standard error"
        some = "" if told.spread_of == told.units else f" by {told.spread_of} of {told.units} units"
        sections.append(Section(f"{head_counts}{some})", (listed(rows),)))
    sections += _tests(told.tests)
    return Paper(head, tuple(blocks), tuple(sections), _foot([whole, *told.groups]))


def _period(since: str, until: str) -> str:
    return "".join([f" since {since}" if since else "", f" until {until}" if until else ""])


def percent(share: float) -> str:
    """Return a share in whole hundredths."""
    return f"{100 * share:.0f} %"


def share_words(row: ShareRow) -> str:
    """Return a share with its counts and interval, and that it is of few."""
    within = f"{100 * row.low:.0f}-{percent(row.high)}"
    few = "; few" if row.few else ""
    return f"{percent(row.share)} ({row.count} of {row.of}; 95 %: {within}{few})"


def bar_of(share: float) -> str:
    """Return a bar for a share.

    >>> bar_of(0.25)
    '■■■■■'
    """
    return "■" * round(BAR * share)


def _shares(heading: str, rows: Iterable[ShareRow]) -> Iterator[Section]:
    blocks: list[Block] = []
    for row in rows:
        blocks.append(say(f"{row.name}: {share_words(row)}"))
        if bar := bar_of(row.share):
            blocks.append(say(bar, depth=1))
    if blocks:
        yield Section(heading, tuple(blocks))


def _life(table: LifeTable) -> Iterator[Section]:
    if not table.returned:
        return
    count = f"{table.returned} came back, {table.running} are followed to when they last ran"
    method = f"ages at return taken {table.method}; Kaplan and Meier"
    blocks: list[Block] = [say(f"{count}; {method}.")]
    rows = [
        f"by {s.age:.0f} {table.unit}: {percent(s.share)} not back (95 %: {100 * s.low:.0f}-"
        f"{percent(s.high)}), {s.at_risk} followed so long"
        for s in table.steps
    ]
    if rows:
        blocks.append(listed(rows))
    if table.fit is None:
        blocks.append(say(Words("Too few of different ages for a curve.", Tone.QUIET)))
    else:
        fit, low, high = table.fit, table.fit.shape_within.low, table.fit.shape_within.high
        kind = "early faults, as of the work" if high < 1 else "wear" if low > 1 else "either kind"
        text = f"Weibull: shape {fit.shape:.2f} (95 %: {low:.2f}-{high:.2f}: {kind})"
        text += f", scale {fit.scale:.0f} {table.unit}"
        text += f"; a tenth are back by {fit.early:.0f} {table.unit}."
        blocks.append(say(text))
    yield Section(f"How soon, in {table.unit}", tuple(blocks))


def _tests(tests: Iterable[StatisticRow]) -> list[Section]:
    rows = [f"{t.what}: {t.name} {t.statistic:.2f}, p {p_words(t.p)}" for t in tests]
    return [Section("Held against one another", (listed(rows),))] if rows else []


def p_words(p: float) -> str:
    """Return how often chance alone does as much."""
    return "below 0.001" if p < 0.001 else f"{p:.3f}"


def _foot(rows: Iterable[ShareRow]) -> str:
    return FEW_WORDS if any(row.few for row in rows) else ""


def trends_view(told: TrendsReport) -> TrendsReport:
    """Return what fails as a record."""
    return told


def trends_paper(told: TrendsReport) -> Paper:
    """Return what fails: origins and parts by their shares, by groups where asked for."""
    head = f"{counted(told.cases, 'case')} done{_period(told.since, told.until)}"
    sections = [section for group in told.groups for section in _group(group)]
    sections += _tests(told.tests)
    rows = [row for group in told.groups for row in (*group.origins, *group.parts)]
    return Paper(head, (), tuple(sections), _foot(rows))


def _group(group: TrendGroup) -> Iterator[Section]:
    of = f"{group.name}, {counted(group.cases, 'case')}: " if group.name else ""
    head = "origins named" if of else "Origins named"
    yield from _shares(f"{of}{head}", (*group.origins, group.unnamed))
    yield from _shares(f"{of}{'parts damaged' if of else 'Parts damaged'}", group.parts)


def trends_table(told: TrendsReport) -> Rows:
    """Return a row for each origin and each part of each group."""
    head = ("group", "kind", "name", "cases", "of", "share", "low", "high")
    rows = [
        (group.name, kind, r.name, r.count, r.of, *(round(s, 4) for s in (r.share, r.low, r.high)))
        for group in told.groups
        for kind, found in (("origin", group.origins), ("part", group.parts))
        for r in found
    ]
    return Rows(head, tuple(rows))


def fleet_view(told: FleetReport) -> FleetReport:
    """Return how a fleet's repairs come as a record."""
    return told


def fleet_paper(told: FleetReport) -> Paper:
    """Return whether repairs of a fleet's units come ever more often as they run."""
    whose = f" of {told.customer}" if told.customer else ""
    head = f"{told.repairs} repairs of {told.units} units{whose}, by distance"
    if told.beta is None or told.km_between is None:
        return Paper(head, (say("Too few for a law of growth."),), ())
    side = "ever more" if told.beta > 1 else "ever fewer"
    law = f"Power law (likelihood, not corrected for bias): beta {told.beta:.2f}, {side}"
    return Paper(head, (say(f"{law}; now one in {told.km_between:.0f} km for each unit."),), ())


def calibration_view(told: CalibrationReport) -> CalibrationReport:
    """Return how right the book was as a record."""
    return told


def calibration_paper(told: CalibrationReport) -> Paper:
    """Return how right the book was: what it said, and what turned out, band by band."""
    one = told.cases == 1
    head = f"{told.cases} {'case was' if one else 'cases were'} proven and can be judged"
    sections = [_reliability(group) for group in told.groups]
    most = {
        "Looks that nobody could answer most often": told.not_known,
        "Words that were placed nowhere most often": told.unplaced,
    }
    sections += [
        Section(heading, (listed(map(_count_words, rows)),))
        for heading, rows in most.items()
        if rows
    ]
    sections += _idle(told.idle) if told.idle else ()
    rows = [band.found for group in told.groups for band in group.bands]
    return Paper(head, (say(JUDGED),), tuple(sections), _foot(rows))


JUDGED = (
    "Held against what was proven in the end: the chance of each origin when a seat was left, and "
    "at the last seat after its first answer. Cases that were not proven tell nothing here."
)


def _count_words(row: CountRow) -> str:
    where = ", ".join(filter(None, (row.seat and f"seat {row.seat}", row.pack)))
    return f"{row.name}{f' ({where})' if where else ''}: {row.count}"


def _idle(idle: IdleQuestions) -> Iterator[Section]:
    """Yield the questions that never changed a verdict."""
    text = f"{counted(idle.answers, 'answer')} of {counted(idle.cases, 'case')}, each taken out"
    text += " by itself: ending and named origins stayed the same each time these were."
    blocks: list[Block] = [say(text)]
    if idle.never:
        blocks.append(listed(map(_count_words, idle.never)))
    else:
        blocks.append(say("There is none that was asked twice or more."))
    yield Section(
        "Questions that never changed a verdict, and how often they were asked", tuple(blocks)
    )


def _reliability(group: CalibrationGroup) -> Section:
    scores = f"Brier {group.brier:.3f}, log loss {group.log_loss:.3f}: the smaller the better."
    rows = [
        f"said {percent(band.chance)}: came true {share_words(band.found)}" for band in group.bands
    ]
    heading = f"{group.name}: {group.forecasts} forecasts"
    return Section(heading, (say(scores), listed(rows)))
