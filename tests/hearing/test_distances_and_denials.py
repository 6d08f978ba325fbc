"""A distance is a long way or a short one, and a plain no is the answer that says no."""

from __future__ import annotations

import pytest

from headwater import api
from headwater.hearing.answers import Heard, hear
from headwater.hearing.distances import km_told

OPENED = api.open_book()


def heard(check: str, said: str) -> Heard:
    return hear(OPENED.index, OPENED.book, OPENED.book.checks[check], said)


@pytest.mark.parametrize(
    ("said", "km"),
    [
        ("287,000 km, never opened", 287_000.0),
        ("41.000 km since new", 41_000.0),
        ("120 000 kilometres", 120_000.0),
        ("20k km", 20_000.0),
        ("60 miles", 96.56064),  # 1 mile = 1.609344 km exactly (international mile, 1959)
        ("about 90 thousand miles", 144_840.96),
        ("since 2019", None),
        ("3 kms", 3.0),
        ("9" * 5000 + " km", None),
        ("99999999999 thousand miles", None),
        ("4 of them", None),
        ("30,000 km since the last change at 80,000 km", None),
    ],
)
def test_the_one_distance_of_an_answer(said: str, km: float | None) -> None:
    assert km_told(said) == pytest.approx(km)


@pytest.mark.parametrize(
    ("check", "said", "answer"),
    [
        ("axle-bearing-life-asked", "287,000 km, never opened", "long"),
        ("axle-bearing-life-asked", "70 thousand miles", "middling"),
        ("input-bearing-age", "100,000 km", "middle"),
        ("centre-bearing-run-asked", "it has 25,000 km on it", "short"),
        ("joint-run-asked", "100,000 km", None),  # long or short: neither is meant
    ],
)
def test_a_distance_is_read_back_as_a_long_way_or_a_short_one(
    check: str, said: str, answer: str | None
) -> None:
    """Common practice, no source: the person agrees to it or not."""
    told = heard(check, said)
    assert told.read_back == answer or (answer is None and told.answer is None)
    assert told.unsure or answer is None


@pytest.mark.parametrize(
    "said", ["no, nothing like that", "nothing", "none of that", "no sign of it"]
)
@pytest.mark.parametrize(("check", "answer"), [("froth-lace", "none"), ("pit-spread", "none")])
def test_a_plain_no_is_read_back_as_the_answer_that_says_no(
    check: str, answer: str, said: str
) -> None:
    """Met by a stranger: 'no, nothing like that' was read back as 'lace of dried froth'."""
    told = heard(check, said)
    assert (told.answer or told.read_back) == answer


@pytest.mark.parametrize(
    ("check", "said"),
    [
        ("pinion-nut-undoing", "with little force"),
        ("axle-drained-amount", "some less than it takes"),
        ("oil-beside-stated", "runs just like it"),
    ],
)
def test_a_word_of_how_much_is_never_put_down_unread(check: str, said: str) -> None:
    """Met by a stranger: each was put down as its contrary, without a word."""
    told = heard(check, said)
    assert told.answer is None or told.unsure


def test_a_word_of_how_much_that_the_answer_has_is_taken() -> None:
    assert heard("oil-level-at-plug", "a little low").taken == "little-low"
