"""A small part of the trial, to notice when asking or naming gets worse; `run.py` is the whole.

The floors lie well under the aims that `run.py` states: so few units say no more.
"""

from __future__ import annotations

import pytest
from trial.met import meet
from trial.score import Result, Score, score

from headwater.book.records import Book
from headwater.session.openbook import OpenBook
from headwater.simulate.units import SETTINGS

pytestmark = pytest.mark.trial


@pytest.fixture(scope="module")
def opened(book: Book) -> OpenBook:
    """The shipped book, compiled once."""
    return OpenBook(book)


def met(opened: OpenBook, name: str, units: int, beside: bool = False) -> tuple[Score, str]:
    """Return the figures of some units of a setting, and what to look at if they are bad."""
    family = opened.book.family
    found = [meet(opened, family, SETTINGS[name], seed, beside) for seed in range(units)]
    return score(SETTINGS[name], found), "; ".join(map(told, found))


def told(result: Result) -> str:
    """Return what came of a unit, in a line."""
    named = sorted(result.sitting.outcome.origins)
    true = sorted(result.unit.origins)
    wrong = f", {result.wrong} of {result.releases} releases wrong" if result.wrong else ""
    return f"seed {result.unit.seed}: {result.sitting.outcome.ending}, {true} as {named}{wrong}"


@pytest.mark.parametrize(
    ("setting", "units", "settled", "right", "listed"),
    [
        ("plain", 8, 0.60, 0.80, 0.85),
        ("slips", 8, 0.25, 0.60, 0.75),
        ("unsure", 4, 0.25, 0.60, 0.75),
        ("two", 3, 0.00, 0.60, 0.80),
        ("three", 2, 0.00, 0.60, 0.80),
    ],
)
def test_nothing_wrong_is_released_and_most_is_named(
    opened: OpenBook, setting: str, units: int, settled: float, right: float, listed: float
) -> None:
    found, what = met(opened, setting, units)
    assert found.releases > 0, what
    assert found.wrong == 0, what
    assert found.settled >= settled * units, what
    assert found.right >= right * found.settled, what
    assert found.listed >= listed * found.complaints, what


def test_the_planner_is_far_below_cheapest_first_and_not_far_above_the_least(
    opened: OpenBook,
) -> None:
    found, what = met(opened, "plain", 3, beside=True)
    assert found.cheapest_minutes is not None
    assert found.planner_minutes < found.cheapest_minutes / 2.0, what
    assert found.bounded >= 2, what
    assert found.above_upper is not None
    assert found.above_upper < 4.0, what
