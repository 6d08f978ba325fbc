"""Figures of survival and of rates, each function named after its question.

The estimating is that of `surpyval` and SciPy; this module asks them, and leaves out what too few
cases cannot tell. The only user of both. Ages are days or km; a bare figure is 95 %, two-sided.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import surpyval
from scipy.stats import beta as beta_of
from scipy.stats import binomtest, fisher_exact, poisson_means_test
from surpyval.recurrent import laplace

from headwater.ledger.records import Interval, LifeFit, LifeStep

Unit = TypeVar("Unit", str, int)
FEWEST_FITTED = 3
"""Returns of different ages below which no curve is fitted."""


@dataclass(frozen=True, slots=True)
class Ages:
    """How long repairs lasted: ages at return, and ages at which others were last known to run.

    Each age as often as it came, or once, with how often. `within` are returns known only to lie
    between two ages, as in a table by months.
    """

    returned: Sequence[float] | Mapping[float, int]
    running: Sequence[float] | Mapping[float, int] = ()
    within: Sequence[tuple[float, float]] = ()

    @property
    def method(self) -> str:
        """How the ages at return are taken."""
        return "as intervals" if self.within else "as exact"


@dataclass(frozen=True, slots=True)
class MeanStep:
    """The mean number of events for each unit by an age, with its robust standard error."""

    age: float
    mean: float
    error: float
    at_risk: int


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """Events that come as a power of age: growing ever fewer with beta below 1, more above it."""

    beta: float
    scale: float
    mean_between: float


@dataclass(frozen=True, slots=True)
class Statistic:
    """A statistic by its name, and how often chance alone does as much."""

    name: str
    statistic: float
    p: float


# How soon do they come back? --------------------------------------------------------------------


def share_still_running(ages: Ages) -> list[LifeStep]:
    """Return Kaplan and Meier's share of repairs that have not come back, at each return.

    Of equal age, a return counts before one that was last known to run. The interval is that of
    the logarithm of the hazard. Source: Kaplan and Meier, JASA 53 (1958).
    """
    if not ages.returned:
        return []
    times, counts = _grouped(ages)
    fit = surpyval.KaplanMeier.fit(
        x=[age for age, _ in times], c=[running for _, running in times], n=counts
    )
    rows = [
        (float(age), float(share), int(at_risk))
        for age, share, at_risk, fell in zip(fit.x, fit.R, fit.r, fit.d, strict=True)
        if fell
    ]
    bounds = fit.cb([age for age, *_ in rows])
    return [
        LifeStep(age, share, *((float(low), float(high)) if share > 0 else (0.0, 0.0)), at_risk)
        for (age, share, at_risk), (low, high) in zip(rows, bounds, strict=True)
    ]


def _grouped(ages: Ages) -> tuple[list[tuple[float, int]], list[int]]:
    every = {(age, 0): n for age, n in Counter(ages.returned).items()}
    every |= {(age, 1): n for age, n in Counter(ages.running).items()}
    times = sorted(every)
    return times, [every[one] for one in times]


def share_at(steps: Sequence[LifeStep], age: float) -> LifeStep | None:
    """Return the step that holds at an age; None before the first return."""
    held = [step for step in steps if step.age <= age]
    return held[-1] if held else None


def life_curve(ages: Ages) -> LifeFit | None:
    """Return the Weibull curve of largest likelihood, with those that still run as censored.

    None where too few have come back to tell one from another.
    """
    if len({*ages.returned, *ages.within}) < FEWEST_FITTED:
        return None
    pairs = Counter({(age, age): n for age, n in Counter(ages.returned).items()})
    pairs.update({(age, math.inf): n for age, n in Counter(ages.running).items()})
    pairs.update(ages.within)
    try:
        fit = surpyval.Weibull.fit(
            xl=[one for one, _ in pairs], xr=[one for _, one in pairs], n=list(pairs.values())
        )
        shape = [float(one) for one in fit.param_cb("beta")]
        scale = [float(one) for one in fit.param_cb("alpha")]
    except (ValueError, ArithmeticError):
        return None
    alpha, beta = (float(one) for one in fit.params)
    ends = (*shape, *scale, alpha, beta)
    if not all(math.isfinite(one) for one in ends):
        return None
    early = float(fit.qf(0.1))
    return LifeFit(
        beta,
        Interval(shape[0], shape[1]),
        alpha,
        Interval(scale[0], scale[1]),
        early,
        float(fit.log_likelihood),
    )


def curves_compared(first: Ages, second: Ages) -> Statistic | None:
    """Return the log-rank test of two groups; None where nothing came back in either."""
    if not first.returned and not second.returned:
        return None
    rows = [
        (age, flag, number, group)
        for group, one in (("first", first), ("second", second))
        for (age, flag), number in zip(*_grouped(one), strict=True)
    ]
    if len({group for *_, group in rows}) < 2:
        return None
    ages, flags, numbers, groups = zip(*rows, strict=True)
    try:
        test = surpyval.logrank(ages, groups, c=flags, n=numbers)
    except ValueError:
        return None
    return Statistic("log-rank", float(test.statistic), float(test.p_value))


# How often, and does it grow? -------------------------------------------------------------------


def mean_count(
    events: Mapping[Unit, Sequence[float]], ends: Mapping[Unit, float]
) -> list[MeanStep]:
    """Return the mean number of events for each unit, at each event's age.

    `ends` are the ages up to which each unit was followed. The standard error is the robust one of
    Lawless and Nadeau (Technometrics 37, 1995), which lets units differ. A unit that was followed
    for no time at all is at risk at no age, and left out.
    """
    rows = [(unit, float(age), 0) for unit, ages in events.items() for age in ages]
    if not rows:
        return []
    rows += [(unit, float(age), 1) for unit, age in ends.items() if age or events.get(unit)]
    rows.sort(key=lambda row: (row[1], row[2]))
    fit = surpyval.NonParametricCounting.fit(
        x=[age for _, age, _ in rows], i=[unit for unit, _, _ in rows], c=[end for *_, end in rows]
    )
    fell = {age for _, age, end in rows if not end}
    steps = zip(fit.x, fit.mcf_hat, fit.var, fit.r, strict=True)
    return [
        MeanStep(float(age), float(mean), math.sqrt(max(float(spread), 0.0)), int(at_risk))
        for age, mean, spread, at_risk in steps
        if float(age) in fell
    ]


def mean_count_of_all(
    events: Mapping[float, int],
    ends: Mapping[float, int],
    some: Sequence[MeanStep],
    share: float,
) -> list[MeanStep]:
    """Return the mean number of events of all units by their counts: age -> how many.

    The errors are those of `some`, a share of the units by themselves, which had the same spread:
    the error of a mean shrinks with the root of the number that it is taken of.
    """
    ages = sorted(events)
    at_risk, left = [], sorted(ends, reverse=True)
    risk = sum(ends.values())
    for age in ages:
        while left and left[-1] < age:
            risk -= ends[left.pop()]
        at_risk.append(risk)
    fit = surpyval.NonParametricCounting.from_xrd(ages, at_risk, [events[age] for age in ages])
    errors = [0.0, *(step.error * math.sqrt(share) for step in some)]
    known = [step.age for step in some]
    place = [bisect_right(known, age) for age in ages]
    return [
        MeanStep(age, float(mean), errors[n], risk)
        for age, mean, n, risk in zip(ages, fit.mcf_hat, place, at_risk, strict=True)
    ]


def drift(ages: Sequence[float], end: float) -> Statistic | None:
    """Return Laplace's test for events that grow more (above 0) or fewer over a time that ends.

    The events lie within it; None where there are none, or one. Source: Ascher and Feingold 1984.
    """
    if len(ages) < 2 or max(ages) > end:
        return None
    test = laplace(list(ages), T=end)
    return Statistic("Laplace", float(test.statistic), float(test.p_value))


def drift_of(count: int, total: float, end: float) -> Statistic | None:
    """Return the same test by the number of events and the sum of their ages: it asks no more.

    `total` is a sum of halves, and is made up again of ages that lie as near as can be.
    """
    if not count:
        return None
    low, more = divmod(round(2 * total), count)
    return drift([low / 2] * (count - more) + [(low + 1) / 2] * more, end)


def growth(events: Mapping[str, Sequence[float]], ends: Mapping[str, float]) -> PowerLaw | None:
    """Return the power law of events of several units, by largest likelihood, each up to its end.

    None where there are too few. Not corrected for bias: Crow's own figure is (n-2)/n of beta, or
    (n-1)/n where the time of the last event ends it. Source: Crow, AMSAA TR-138 (1974).
    """
    rows = [(unit, float(age), 0) for unit, ages in events.items() for age in ages if age > 0]
    if len(rows) < FEWEST_FITTED:
        return None
    rows += [(unit, float(age), 1) for unit, age in ends.items()]
    rows.sort(key=lambda row: (row[1], row[2]))
    try:
        fit = surpyval.CrowAMSAA.fit(
            x=[age for _, age, _ in rows],
            i=[unit for unit, _, _ in rows],
            c=[end for *_, end in rows],
        )
    except (ValueError, ArithmeticError):
        return None
    scale, beta = (float(one) for one in fit.params)
    last = max(ends.values())
    return PowerLaw(beta, scale, 1.0 / (beta / scale * (last / scale) ** (beta - 1)))


# How large is a share, and are two alike? -------------------------------------------------------


def share_of(count: int, of: int) -> Interval:
    """Return Wilson's interval of a share (JASA 22, 1927)."""
    if not of:
        return Interval(0.0, 1.0)
    bounds = binomtest(count, of).proportion_ci(0.95, "wilson")
    return Interval(float(bounds.low), float(bounds.high))


def share_believed(p: float, worth: float, level: float) -> Interval:
    """Return the middle share `level` of a beta distribution with mean p, worth so many cases."""
    low, high = beta_of.interval(level, p * worth, (1.0 - p) * worth)
    return Interval(float(low), float(high))


def shares_compared(first: tuple[int, int], second: tuple[int, int]) -> Statistic | None:
    """Return Fisher's exact test of two shares, each (count, of); None where one is of nothing."""
    if not first[1] or not second[1]:
        return None
    table = [[count, of - count] for count, of in (first, second)]
    odds, p = fisher_exact(table)
    return Statistic("Fisher", float(odds), float(p))


def rates_compared(first: tuple[int, float], second: tuple[int, float]) -> Statistic:
    """Return the E-test of two rates, each (events, exposure): Krishnamoorthy and Thomson 2004."""
    test = poisson_means_test(first[0], first[1], second[0], second[1])
    return Statistic("E-test", float(test.statistic), float(test.pvalue))
