"""The figures against published ones, through the code that the commands use; sources beside."""

from __future__ import annotations

import math

import pytest

from headwater.ledger.fits import (
    Ages,
    curves_compared,
    drift,
    growth,
    life_curve,
    mean_count,
    rates_compared,
    share_at,
    share_of,
    share_still_running,
    shares_compared,
)
from headwater.ledger.records import Interval

# NIST/SEMATECH e-Handbook 8.4.1.3: ten failures, ten taken off at 500 h.
NIST = Ages((54, 187, 216, 240, 244, 335, 361, 373, 375, 386), (500,) * 10)
# Meeker and Escobar 1998, p. 630: shock absorbers, km.
SHOCKS = Ages(
    (6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490),
    (
        *(6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470),
        *(14040, 17540, 17890, 18450, 18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410),
        *(27890, 28100),
    ),
)
# Lieblein and Zelen 1956, J. Res. NBS 57: ball bearings, million revolutions.
BEARINGS = Ages(
    (
        *(17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80),
        *(68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40),
    )
)
# Krivtsov and Case, SAE 1999-01-3220: a part of a vehicle.
VEHICLES = Ages(
    (5248, 7454, 16890, 17200, 38700, 45000, 49390, 69040, 72280, 131900),
    (
        *(3961, 4007, 4734, 6054, 7298, 10190, 23060, 27160, 28690, 37100, 40060, 45670, 53000),
        *(67000, 69630, 77350, 78470, 91680, 105700, 106300, 150400),
    ),
)


@pytest.mark.parametrize(
    ("ages", "shape", "scale", "early", "likelihood"),
    [
        (NIST, 1.7208, 606.5280, 164.0224, -75.134618),
        (SHOCKS, 3.160470, 27718.718, 13600.035, -123.995361),
        (BEARINGS, 2.101847, 81.874559, 28.0651, -113.691959),
        (VEHICLES, 1.154427, 134651.04, 19170.05, -128.973832),
    ],
    ids=["handbook", "shock absorbers", "bearings", "vehicles"],
)
def test_weibull_curves_with_censoring(
    ages: Ages, shape: float, scale: float, early: float, likelihood: float
) -> None:
    """Figures of the sources, and of three other packages that agree to 1e-5."""
    fit = life_curve(ages)
    assert fit is not None
    assert fit.shape == pytest.approx(shape, rel=1e-4)
    assert fit.scale == pytest.approx(scale, rel=1e-4)
    assert fit.early == pytest.approx(early, rel=1e-4)
    assert fit.log_likelihood == pytest.approx(likelihood, abs=1e-4)
    assert fit.shape_within.low < fit.shape < fit.shape_within.high


# A chart of shipped and returned by month, 390 units: returns known to the month only.
CHART = {1: (9, 146), 2: (7, 134), 3: (5, 89)}


def test_the_same_returns_by_the_month_or_as_if_exact_tell_two_stories() -> None:
    """Published: 2.4928 and 6.6951 for exact ages; as intervals 1.3937 and 15.3511."""
    running = tuple(float(m) for m, (_, n) in CHART.items() for _ in range(n))
    exact = Ages(tuple(float(m) for m, (n, _) in CHART.items() for _ in range(n)), running)
    spans = tuple((m - 1.0, float(m)) for m, (n, _) in CHART.items() for _ in range(n))
    within = Ages((), running, spans)
    assert (exact.method, within.method) == ("as exact", "as intervals")
    fits = [life_curve(one) for one in (exact, within)]
    found = [(fit.shape, fit.scale) for fit in fits if fit]
    assert found[0] == pytest.approx((2.492775, 6.695053), rel=1e-4)
    assert found[1] == pytest.approx((1.393701, 15.351118), rel=1e-4)
    after_a_year = [1 - math.exp(-((12 / scale) ** shape)) for shape, scale in found]
    assert after_a_year == pytest.approx([0.986, 0.508], abs=2e-3)
    shares = [step.share for step in share_still_running(exact)]
    assert shares == pytest.approx([0.9769231, 0.9478232, 0.8974071], abs=1e-7)


@pytest.mark.parametrize(
    ("ages", "shares"),
    [
        # NIST/SEMATECH e-Handbook 8.2.1.5
        (
            Ages((10, 32, 56, 98, 122, 181), (50, 100, 125, 150, *[200] * 10)),
            (0.95, 0.90, 0.8470588, 0.7941176, 0.7373950, 0.6703591),
        ),
        # fan belts, thousand miles, of SciPy's documentation
        (Ages((77, 47, 81, 56, 80), (62, 60, 43, 71, 37)), (0.875, 0.75, 0.5, 0.25, 0.0)),
        # twenty units of a published table (which prints one of them twice)
        (
            Ages((9, 9, 9, 11, 13, 17, 21, 28, 30), (9, 12, 13, 15, 22, 24, 26, 32, 35, 39, 41)),
            (0.85, 0.7968750, 0.7399554, 0.6726867, 0.6054180, 0.5045150, 0.4036120),
        ),
    ],
    ids=["handbook", "belts", "twenty"],
)
def test_shares_that_still_run(ages: Ages, shares: tuple[float, ...]) -> None:
    assert [step.share for step in share_still_running(ages)] == pytest.approx(shares, abs=1e-7)


TREATED = Ages((6, 6, 6, 7, 10, 13, 16, 22, 23), (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35))
CONTROLS = Ages((1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23))


def test_two_curves_compared() -> None:
    """The remission data of Freireich and others 1963: chi-square 16.79."""
    test = curves_compared(TREATED, CONTROLS)
    assert test is not None
    assert (test.statistic, test.p) == pytest.approx((16.792941, 4.16881e-5), rel=1e-6)
    shares = [step.share for step in share_still_running(TREATED)]
    assert shares[0] == pytest.approx(0.8571429, abs=1e-7)
    assert shares[-1] == pytest.approx(0.4481793, abs=1e-7)


FIVE = {
    "a": ((5, 10, 15), 17), "b": ((6, 13, 17), 19), "c": ((12, 20, 25), 26),
    "d": ((13, 15), 24), "e": ((16, 22, 25), 28),
}  # fmt: skip


def test_mean_number_of_events() -> None:
    """Five systems of a published example. Its printed variance (0.718) sums increments as if they
    were independent; the robust one is 0.1452."""
    steps = mean_count(
        {unit: ages for unit, (ages, _) in FIVE.items()},
        {unit: float(end) for unit, (_, end) in FIVE.items()},
    )
    means = [0.2, 0.4, 0.6, 0.8, 1.2, 1.6, 1.8, 2.0, 2.33333, 2.66667, 3.66667]
    assert [step.mean for step in steps] == pytest.approx(means, abs=1e-5)
    assert steps[-1].error ** 2 == pytest.approx(0.145185, abs=1e-6)


SEATS = """761 | 759 | 98 667 | 326 653 653 667 | 665 | 84 667 | 87 663 | 646 653 | 92 653 | 651
| 258 328 377 621 650 | 61 539 648 | 254 276 298 640 644 | 76 538 642 | 635 641 | 349 404 561 649
| 631 | 596 | 120 479 614 | 323 449 582 | 139 139 589 | 593 | 573 589 | 165 408 604 606 | 249 594
| 344 497 613 | 265 586 595 | 166 206 348 389 | 601 | 410 581 601 | 611 | 608 | 587 | 367 603
| 202 563 570 585 | 587 | 578 | 578 | 586 | 585 | 582"""


def test_mean_number_of_valve_seats() -> None:
    """Nelson, Technometrics 37 (1995) 147-157: 41 engines, 48 replacements; ages in days."""
    engines = [list(map(int, row.split())) for row in SEATS.replace("\n", " ").split("|")]
    assert (len(engines), sum(len(ages) - 1 for ages in engines)) == (41, 48)
    steps = mean_count(
        {str(n): ages[:-1] for n, ages in enumerate(engines)},
        {str(n): float(ages[-1]) for n, ages in enumerate(engines)},
    )
    found = {step.age: (step.mean, step.error) for step in steps}
    for age, mean, error in (
        (61, 0.0243902, 0.0240910),
        (98, 0.1463415, 0.0551993),
        (254, 0.3658537, 0.0896559),
        (404, 0.6835366, 0.1359390),
        (604, 1.0597187, 0.1850610),
        (653, 1.5426875, 0.3116561),
    ):
        assert found[age] == pytest.approx((mean, error), abs=1e-6), age


# NIST/SEMATECH e-Handbook 8.4.5.2
REPAIRS = (5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478)
# MIL-HDBK-189 (1981), appendix C (its successor prints the same 27 and calls them 45)
TANK = (
    *(2.6, 16.5, 16.5, 17.0, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73.0, 77.7, 93.9, 95.5, 98.1),
    *(101.1, 132.0, 142.2, 147.7, 149.0, 167.2, 190.7, 193.0, 198.7, 251.9, 282.5, 286.1),
)


def test_events_that_drift() -> None:
    for ages, end, statistic, p in (
        (REPAIRS, 1500, -1.3269492, 0.1845255),
        (TANK, 300, -2.318, 0.02045),
    ):
        test = drift(ages, end)
        assert test is not None
        assert test.statistic == pytest.approx(statistic, abs=1e-3)
        assert test.p == pytest.approx(p, abs=1e-4)
    assert drift((5,), 10) is None


def test_power_law() -> None:
    """The handbook prints the corrected 0.4835; by likelihood it is 0.5372, and 279.2 h between."""
    fit = growth({"a": REPAIRS}, {"a": 1500.0})
    assert fit is not None
    assert (fit.beta, fit.mean_between) == pytest.approx((0.5372289, 279.2106), rel=1e-4)
    assert fit.beta * (10 - 1) / 10 == pytest.approx(0.483506, rel=1e-4)
    tank = growth({"a": TANK}, {"a": 300.0})
    assert tank is not None
    assert (tank.beta, tank.mean_between) == pytest.approx((0.7163392624, 15.510962), rel=1e-4)


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17, table I
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        (2, 12, 0.046965, 0.448031),
        (3, 30, 0.034600, 0.256211),
    ],
)
def test_shares_with_their_intervals(count: int, of: int, low: float, high: float) -> None:
    found = share_of(count, of)
    assert (found.low, found.high) == pytest.approx((low, high), abs=6e-5)


def test_shares_and_rates_compared() -> None:
    tests = [
        (shares_compared((8, 10), (1, 6)), 0.0349650350),  # SciPy's documentation: [[8,2],[1,5]]
        (shares_compared((6, 40), (1, 50)), 0.0415515),
        (rates_compared((0, 100), (3, 100)), 0.08837901),  # SciPy's documentation
    ]
    for test, p in tests:
        assert test is not None
        assert test.p == pytest.approx(p, abs=1e-7)
    assert shares_compared((0, 0), (1, 5)) is None


# What too few cannot tell ------------------------------------------------------------------------


def test_too_few_are_not_fitted() -> None:
    assert life_curve(Ages((), (5.0, 9.0))) is None
    assert life_curve(Ages((5.0, 5.0, 5.0), (9.0,))) is None
    assert life_curve(Ages((5.0, 7.0), (9.0,))) is None
    assert share_still_running(Ages((), (5.0,))) == []
    assert share_at([], 3.0) is None
    assert curves_compared(Ages((), (5.0,)), Ages((), (7.0,))) is None
    assert curves_compared(Ages((5.0,), ()), Ages(())) is None
    assert mean_count({}, {}) == []
    assert growth({"a": (5.0,)}, {"a": 9.0}) is None
    assert share_of(0, 0) == Interval(0.0, 1.0)
