"""Readings as people give them: what cannot be is refused, what is rough is told so.

The figures are worked out by hand: 1 in is 25.4 mm, u of a value evenly likely within a is a / √3.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from small_book import write_book

from headwater.book.load import load_book
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.estimates import plain_of
from headwater.measure.answer import AnswerError, Judged, RawAnswer, understand
from headwater.units import UnitError, parse_uncertain

GAUGE_U = 0.01
"""Standard uncertainty of the small book's dial indicator, in mm."""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return load_book([write_book(tmp_path_factory.mktemp("book") / "small")])


def judged(book: Book, given: RawAnswer, **reading: object) -> Judged:
    """Return a float judged, its reading changed as told."""
    check = book.checks["bore-float"]
    assert check.reading is not None
    changed: Check = replace(check, reading=replace(check.reading, **reading))  # type: ignore[arg-type]
    return understand(book, changed, given)


# What cannot be ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("45 in", "1143 mm"),
        ("38 mm", "38 mm"),
        ("150 mm", "150 mm"),
        ("-0.15 mm", "-0.15 mm"),
        ("about 1 m", "1000 mm"),
        (("4 mm", "8 mm"), "6 mm"),
        ("5.000001 mm", "5 mm"),
    ],
)
def test_an_absurd_reading_is_refused_in_one_line(small: Book, given: RawAnswer, told: str) -> None:
    with pytest.raises(AnswerError) as caught:
        judged(small, given)
    assert str(caught.value) == (
        f"bore-float: that is {told}, but it can only be 0 mm to 5 mm; is the unit right?"
    )


@pytest.mark.parametrize("given", ["0 mm", "5 mm", "0.19 in", "5000 µm"])
def test_the_ends_of_what_is_possible_are_possible(small: Book, given: str) -> None:
    assert judged(small, given).quantity is not None


def test_where_nothing_is_declared_nothing_is_refused(small: Book) -> None:
    assert judged(small, "45 in", possible=()).settled == "past-limit"


def test_a_bound_that_cannot_be_read_names_the_book_s_own_place(small: Book) -> None:
    """The reading is sound: the line sends to the pack, not to the case."""
    check = small.checks["bore-float"]
    with pytest.raises(AnswerError, match="its 'possible': '5 mmm'") as caught:
        judged(small, "1 mm", possible=("0 mm", "5 mmm"))
    assert check.reading is not None
    assert caught.value.place == check.reading.place
    assert str(caught.value.place).endswith("checks.yaml:21:14")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"pushed": "0 mm", "pulled": "45 in"}, "1143 mm"),
        ({"pushed": "2 mm", "pulled": "12 mm"}, "10 mm"),
        ("45 in", "1143 mm"),
    ],
)
def test_a_result_that_cannot_be_is_refused_like_a_reading(
    small: Book, given: RawAnswer, told: str
) -> None:
    with pytest.raises(AnswerError, match=f"that is {told}, but it can only be 0 mm to 5 mm"):
        judged(small, given, work="axial-float")


@pytest.mark.parametrize("given", ["41 mil", "about 41 mil", "0.041 in, 41 mil"])
def test_a_unit_that_means_two_things_is_asked_back(small: Book, given: str) -> None:
    with pytest.raises(AnswerError, match="'mil' is a thousandth of an inch to one"):
        judged(small, given)


# How surely -------------------------------------------------------------------------------------


def test_the_gauge_counts_for_a_reading_and_for_a_result(small: Book) -> None:
    """A float of two dial readings has both; one worked out elsewhere at least the gauge's."""
    both = {"pushed": "0.1 mm", "pulled": "1.0 mm"}
    assert judged(small, "0.9 mm").uncertainty == pytest.approx(GAUGE_U)
    worked = judged(small, both, work="axial-float")
    assert worked.uncertainty == pytest.approx(GAUGE_U * math.sqrt(2))
    assert judged(small, "0.9 mm", work="axial-float").uncertainty == pytest.approx(GAUGE_U)


def test_a_gauge_of_the_result_counts_where_no_input_has_its_dimension(small: Book) -> None:
    """A ratio read off a scan tool: its uncertainty is one of the ratio, not of the speeds."""
    limit = replace(
        small.limits["float"],
        dimension="ratio",
        unit="",
        bands=tuple(replace(b, upto=b.upto and "2") for b in small.limits["float"].bands),
    )
    gauge = replace(small.gauges["indicator"], u="0.05")
    book = replace(
        small,
        limits={**small.limits, Ref("float"): limit},
        gauges={**small.gauges, Ref("indicator"): gauge},
    )
    speeds = {"input-speed": "2720 rpm", "output-speed": "1000 rpm", "expected": "2.72"}
    found = judged(book, speeds, work="range-ratio", possible=())
    assert found.uncertainty >= 0.05


def test_a_stated_uncertainty_stands_in_place_of_the_gauge(small: Book) -> None:
    """As a certificate states it: k = 2."""
    assert judged(small, "0.9 ± 0.04 mm").uncertainty == pytest.approx(0.02)
    assert judged(small, "about 0.9 ± 0.04 mm").uncertainty == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("text", "value", "off_by"),
    [
        ("~1 mm", 1.0, 0.5),
        ("≈ 1 mm", 1.0, 0.5),
        ("about 1 mm", 1.0, 0.5),
        ("1 mm or so", 1.0, 0.5),
        ("1 mm, or so", 1.0, 0.5),
        ("roughly 1.0 mm", 1.0, 0.1),
        ("About 60 mm", 60.0, 6.0),
        ("ca. 0,045 in", 1.143, 0.1143),
        ("approx. 3/64 in", 1.190625, 25.4 / 128),
        ("around 1 1/2 in", 38.1, 6.35),
        ("circa 1e-3 in", 0.0254, 0.0127),
        ("about 1.1, about 1.3 mm", 1.2, None),
    ],
)
def test_a_rough_figure_widens_the_uncertainty(
    text: str, value: float, off_by: float | None
) -> None:
    quantity, u = parse_uncertain(text, "length")
    assert quantity.value == pytest.approx(value)
    own = 0.13 / math.sqrt(3) if off_by is None else 0.0
    scatter = math.sqrt(0.02) / math.sqrt(2) if off_by is None else 0.0
    wanted = math.hypot(own, scatter) if off_by is None else off_by / math.sqrt(3)
    assert u == pytest.approx(wanted)


def test_a_temperature_may_be_rough() -> None:
    quantity, u = parse_uncertain("about 140 °F", "temperature")
    assert quantity.value == pytest.approx(60)
    assert u == pytest.approx(14 * 5 / 9 / math.sqrt(3))


@pytest.mark.parametrize("text", ["about", "~", "about mm", "or so", ""])
def test_a_rough_nothing_is_no_reading(text: str) -> None:
    with pytest.raises(UnitError):
        parse_uncertain(text, "length")


@pytest.mark.parametrize("text", ["1.14 mm", "0,045 in", "3/64 in", "x" * 500, " " * 5000])
def test_what_is_not_said_to_be_rough_is_left_alone(text: str) -> None:
    assert plain_of(text) == (text, 0.0)


@pytest.mark.parametrize("given", ["about 0.5 mm", "~0,02 in", "0.48 mm or so"])
def test_a_rough_reading_near_a_limit_settles_nothing_and_says_why(small: Book, given: str) -> None:
    found = judged(small, given)
    assert found.too_close
    assert [line[:15] for line in found.working] == ["taken as rough,"]


def test_a_rough_reading_far_from_a_limit_still_settles(small: Book) -> None:
    assert judged(small, "about 2 mm").settled == "past-limit"
    assert judged(small, "2 mm").working == ()


def test_a_rough_temperature_is_judged_and_told_in_degrees_of_difference(small: Book) -> None:
    """A tenth of 60 °C, as it was said: 6 K to either side."""
    own = small.limits["float"]
    bands = tuple(replace(band, upto=band.upto and "80 °C") for band in own.bands)
    limit = replace(own, dimension="temperature", unit="°C", bands=bands)
    book = replace(small, limits={**small.limits, Ref("float"): limit})
    found = judged(book, "about 60 °C", gauge=None, possible=("-40 °C", "200 °C"))
    assert found.settled == "in-limits"
    assert found.uncertainty == pytest.approx(6 / math.sqrt(3))
    assert found.working[0].endswith("standard uncertainty 3.5 K")


def test_the_one_input_of_a_work_may_be_given_bare_and_rough(small: Book) -> None:
    fixed = {"pushed": "0 mm"}
    found = judged(small, ("about 2 mm",), work="axial-float", inputs=fixed)
    assert found.quantity is not None
    assert found.quantity.value == 2.0
    assert found.uncertainty == pytest.approx(math.hypot(0.5 / math.sqrt(3), GAUGE_U))


# Words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("given", ["burnt", "Burnt.", " BURNT ", "burnt!", "\tburnt.\n"])
def test_case_blanks_and_a_full_stop_do_not_change_a_word(small: Book, given: str) -> None:
    assert understand(small, small.checks["pads"], given).settled == "burnt"


@pytest.mark.parametrize("given", ["Past-limit.", " IN-LIMITS "])
def test_nor_where_a_measured_check_is_answered_by_a_word(small: Book, given: str) -> None:
    assert judged(small, given).settled == given.strip(" .").lower()


@pytest.mark.parametrize("given", ["Gone.", " DONT-KNOW "])
def test_nor_a_special_answer(small: Book, given: str) -> None:
    assert understand(small, small.checks["pads"], given).special == given.strip(" .").lower()


def test_an_absurd_reading_in_a_file_is_one_line_with_its_place(tmp_path: Path) -> None:
    from headwater.case.read import parse_case
    from headwater.session.openbook import OpenBook
    from headwater.session.session import open_session

    book = load_book([write_book(tmp_path / "small")])
    text = "case: a\nfindings:\n  - {check: bore-float, answer: 45 in}\n"
    with pytest.raises(AnswerError) as caught:
        open_session(OpenBook(book), parse_case(text, "a.yaml"))
    assert caught.value.lines == (
        "a.yaml:3:13: bore-float: that is 1143 mm, but it can only be 0 mm to 5 mm; "
        "is the unit right?",
    )
