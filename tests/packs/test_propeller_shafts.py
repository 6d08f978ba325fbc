"""The propeller-shaft pack: its size, its cases, and what it says beside the other packs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sessions import contract, replay, screen

from headwater.author.cover import cover_of
from headwater.author.sample import SampleRunner
from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.records import Book, for_family
from headwater.book.tables import Seat
from headwater.case.read import parse_case
from headwater.measure.registry import input_names
from headwater.session.openbook import OpenBook
from headwater.verdict.ending import Ending

KNOWLEDGE = Path(__file__).resolve().parents[2] / "knowledge"
PACK = KNOWLEDGE / "propeller-shafts"
FILES = sorted(path.name.removesuffix(".cases.yaml") for path in PACK.rglob("*.cases.yaml"))
ALONE = {
    "shaft-clunks",
    "shaft-shakes",
    "shaft-joint-loose",
    "shaft-unbalanced",
    "shaft-angles-wrong",
    "shaft-out-of-phase",
    "shaft-slide-binds",
    "shaft-mount-torn",
    "shaft-shock-loaded",
    "shaft-stood-long",
    "shaft-struck",
}
"""What transfer case and axle have a word for already: told only without them."""


@pytest.fixture(scope="module")
def shafts() -> Book:
    return load_book([PACK], samples=True)


@pytest.fixture(scope="module")
def runner(shafts: Book) -> SampleRunner:
    return SampleRunner(OpenBook(shafts))


def test_size(shafts: Book) -> None:
    assert len(shafts.origins) >= 25
    assert len(shafts.conditions) >= 60
    assert len(shafts.checks) >= 70
    for seat in Seat:
        assert sum(seat in check.seats for check in shafts.checks.values()) >= 15


def test_every_limit_and_gauge_says_where_its_figure_is_from(shafts: Book) -> None:
    sources = {str(item.source) for item in shafts.limits.values()}
    assert sources <= {*shafts.sources, "common-practice"}
    assert "iso-21940-11-2016" in sources
    assert {str(item.source) for item in shafts.gauges.values()} == {"common-practice"}


def test_book_check_is_clean() -> None:
    book, faults = read_packs([PACK])
    problems = [*faults, *check_book(book, input_names())]
    assert [str(problem) for problem in problems] == []


@pytest.mark.parametrize("file", FILES)
def test_cases_beside_the_chain(file: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[file]
    assert len(samples) >= 2
    assert [str(p) for sample in samples for p in runner.problems_of(file, sample)] == []


def test_everything_is_exercised_and_no_two_origins_are_alike(shafts: Book) -> None:
    report = cover_of(OpenBook(shafts))
    assert report.checks == ()
    assert report.conditions == ()
    assert report.origins == ()
    assert report.alike == ()
    assert report.idle == ()


def test_every_fault_has_two_acts_that_speak_for_it(shafts: Book) -> None:
    """One look proves nothing costly: a fault that is not proven `alone` can be seen twice."""
    lonely = {
        origin.id
        for origin in shafts.origins.values()
        if origin.origin and not origin.origin.usage and not origin.origin.alone
        if len(acts_for(shafts, origin.id)) < 2
    }
    assert lonely == set()


def acts_for(book: Book, condition: str) -> set[str]:
    return {
        check.act or check.id
        for check in book.checks.values()
        for answer in check.answers.values()
        for shown, sureness in answer.shows.items()
        if shown == condition and sureness.word in {"strong", "decisive"}
    }


def test_every_origin_is_spoken_of_at_every_seat(shafts: Book) -> None:
    seats: dict[str, set[Seat]] = {origin: set() for origin in shafts.origins}
    for check in shafts.checks.values():
        for answer in check.answers.values():
            for condition in seats.keys() & answer.shows.keys():
                seats[condition] |= set(check.seats)
    assert {origin for origin, found in seats.items() if found < set(Seat)} == set()


def test_no_twin_of_the_other_packs_in_one_vehicle(vehicle: Book, shafts: Book) -> None:
    """Where a transfer case is loaded as well, its word for the worn joint is the only one."""
    one = for_family(vehicle, vehicle.family | {"unit": "both"})
    assert set(shafts.conditions) >= ALONE
    assert ALONE & set(one.conditions) == set()
    assert {"universal-joint-worn", "joint-greasing-missed"} <= set(one.conditions)


def test_no_word_of_the_other_units_comes_out_for_a_shaft(shafts: Book) -> None:
    text = (
        "case: ridge-51\nunit: {family: {unit: propeller-shaft}}\nfindings:\n"
        "  - {check: shaft-clunk-told, answer: clunk}\n"
        "  - {check: joint-play-by-hand, answer: play}\n"
    )
    found = replay(shafts, parse_case(text, "ridge-51.yaml"))
    assert found.verdict.ending is Ending.OPEN
    assert "shaft-joints" in found.verdict.held
    assert not re.search(r"transfer|pinion|range fork|sprocket", screen("verdict", found).lower())
    parts = {row["part"]: row for row in contract(found)["parts"]}
    assert parts["shaft-joints"]["action"] is None
