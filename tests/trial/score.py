"""The figures of a setting, from what came of its units, and their table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from trial.bound import Bound
from trial.sitting import Sitting, is_right, is_wrong, leaves_one

from headwater.simulate.units import Setting, SimulatedUnit


@dataclass(frozen=True, slots=True)
class Result:
    """What came of one unit.

    `ceiling` counts the complaints for which the likeliest origin, every check being answered, is a
    true one. `can_settle` is false where true answers to all checks do not settle the unit.
    """

    unit: SimulatedUnit
    sitting: Sitting
    cheapest: Sitting | None = None
    ceiling: int = 0
    can_settle: bool = True
    bound: Bound | None = None

    @property
    def settled(self) -> bool:
        """Whether the planner settled it."""
        return self.sitting.outcome.settled

    @property
    def right(self) -> bool:
        """Whether what the planner named is right."""
        return is_right(self.sitting.outcome, self.unit)

    @property
    def leading(self) -> int:
        """The complaints for which a true origin is named, or leads where none is."""
        leading = self.sitting.outcome.leading
        return sum(bool(leading.get(c, set()) & self.unit.causes(c)) for c in self.unit.found)

    @property
    def listed(self) -> int:
        """The complaints for which a true origin is named or listed."""
        outcome = self.sitting.outcome
        shown = {
            c: outcome.named.get(c, frozenset()) | outcome.listed.get(c, frozenset())
            for c in self.unit.found
        }
        return sum(bool(shown[c] & self.unit.causes(c)) for c in self.unit.found)

    @property
    def releases(self) -> int:
        """The parts released for work."""
        return len(self.sitting.outcome.releases)

    @property
    def wrong(self) -> int:
        """Those of them of whose damage no true origin is named."""
        return sum(is_wrong(release, self.unit) for release in self.sitting.outcome.releases)

    @property
    def fellows(self) -> int:
        """Those of them that leave a further true origin of their damage unnamed."""
        return sum(leaves_one(release, self.unit) for release in self.sitting.outcome.releases)


@dataclass(frozen=True, slots=True)
class Score:
    """The figures of some units in one setting. A share of nothing is None.

    `planner_minutes` and `cheapest_minutes` are means over all units, `lower` and `upper` medians
    over the rightly settled ones that have a bound, `above_upper` the median of the minutes of
    these over `upper`.
    """

    setting: str
    units: int
    settled: int
    right: int
    complaints: int
    listed: int
    leading: int
    ceiling: int
    releases: int
    wrong: int
    fellows: int
    planner_minutes: float
    cheapest_minutes: float | None
    cheapest_settled: int
    cheapest_right: int
    bounded: int
    bounded_minutes: float | None
    lower: float | None
    upper: float | None
    never: tuple[int, ...]

    @property
    def above_upper(self) -> float | None:
        """Median minutes over the median upper end of the bound."""
        if self.bounded_minutes is None or not self.upper:
            return None
        return self.bounded_minutes / self.upper


def score(setting: Setting, results: Sequence[Result]) -> Score:
    """Return the figures of some units."""
    bounded = [(r.sitting.minutes, r.bound) for r in results if r.bound]
    cheap = [(r.cheapest, r.unit) for r in results if r.cheapest]
    settled = [(c, unit) for c, unit in cheap if c.outcome.settled]
    return Score(
        setting=setting.name,
        units=len(results),
        settled=sum(r.settled for r in results),
        right=sum(r.settled and r.right for r in results),
        complaints=sum(len(r.unit.found) for r in results),
        listed=sum(r.listed for r in results),
        leading=sum(r.leading for r in results),
        ceiling=sum(r.ceiling for r in results),
        releases=sum(r.releases for r in results),
        wrong=sum(r.wrong for r in results),
        fellows=sum(r.fellows for r in results),
        planner_minutes=fmean(r.sitting.minutes for r in results),
        cheapest_minutes=fmean(c.minutes for c, _ in cheap) if cheap else None,
        cheapest_settled=len(settled),
        cheapest_right=sum(is_right(c.outcome, unit) for c, unit in settled),
        bounded=len(bounded),
        bounded_minutes=median(minutes for minutes, _ in bounded) if bounded else None,
        lower=median(b.lower for _, b in bounded) if bounded else None,
        upper=median(b.upper for _, b in bounded) if bounded else None,
        never=tuple(r.unit.seed for r in results if not r.can_settle),
    )


def share(part: float, whole: float) -> str:
    """Return a share as text.

    >>> share(1, 8), share(0, 0)
    ('12.5%', '-')
    """
    return f"{part / whole:.1%}" if whole else "-"


def number(value: float | None, decimals: int = 0) -> str:
    """Return a figure as text, or a dash where there is none."""
    return "-" if value is None else f"{value:.{decimals}f}"


HEADINGS = (
    "setting", "units", "settled", "of settleable", "right of", "listed",
    "leading", "ceiling", "ratio",
    "wrong/released", "fellow left", "minutes", "cheapest", "  right of settled",
    "bounded", "  minutes", "  lower", "  upper", "x upper", "never",
)  # fmt: skip


def row(s: Score) -> tuple[str, ...]:
    """Return the cells of a score, in the order of the headings."""
    return (
        s.setting,
        str(s.units),
        share(s.settled, s.units),
        share(s.settled, s.units - len(s.never)) if s.bounded else "-",
        share(s.right, s.settled),
        share(s.listed, s.complaints),
        share(s.leading, s.complaints),
        share(s.ceiling, s.complaints),
        number(s.leading / s.ceiling if s.ceiling else None, 3),
        f"{s.wrong}/{s.releases}",
        str(s.fellows),
        number(s.planner_minutes),
        number(s.cheapest_minutes),
        f"{s.cheapest_right}/{s.cheapest_settled}",
        str(s.bounded),
        number(s.bounded_minutes),
        number(s.lower),
        number(s.upper),
        number(s.above_upper, 2),
        str(len(s.never)),
    )


def table(scores: Iterable[Score]) -> list[str]:
    """Return the lines of a table: one heading a line, one setting a column."""
    columns = [HEADINGS, *(row(s) for s in scores)]
    widths = [max(map(len, column)) for column in columns]
    return [
        "  ".join(cell.ljust(w) if not at else cell.rjust(w) for at, (cell, w) in enumerate(line))
        for line in (
            [(column[index], width) for column, width in zip(columns, widths, strict=True)]
            for index in range(len(HEADINGS))
        )
    ]
