"""The wheel-ends pack: its size, its cases, and that no fault stands twice in a whole vehicle."""

from __future__ import annotations

from pathlib import Path

import pytest
from sessions import replay

from headwater.author.cover import cover_of
from headwater.author.sample import SampleRunner
from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.records import Book, for_family
from headwater.book.tables import Drive, Seat
from headwater.case.read import parse_case
from headwater.measure.registry import input_names
from headwater.session.openbook import OpenBook
from headwater.session.session import Session
from headwater.verdict.account import Naming

KNOWLEDGE = Path(__file__).resolve().parents[2] / "knowledge"
PACK = KNOWLEDGE / "wheel-ends"
BUILD = (
    "drive: chain, engagement: synchronised, shift: electric, vacuum: none, centre: none, "
    "rear-output: slip-yoke, wheel-ends: semi-floating, slip-limiting: plates, hub-drive: manual"
)
BESIDE = sorted(path.name.removesuffix(".cases.yaml") for path in PACK.rglob("*.cases.yaml"))


@pytest.fixture(scope="module")
def ends() -> Book:
    return load_book([PACK], samples=True)


@pytest.fixture(scope="module")
def runner(ends: Book) -> SampleRunner:
    return SampleRunner(OpenBook(ends))


def judged(book: Book, family: str, **answers: str) -> Session:
    lines = "".join(
        f"  - {{check: {check.replace('_', '-')}, answer: {answer}}}\n"
        for check, answer in answers.items()
    )
    text = f"case: ford-3\nseat: hoist\nunit: {{family: {{{family}}}}}\nfindings:\n{lines}"
    return replay(book, parse_case(text, "ford-3.yaml"))


def test_size(ends: Book) -> None:
    assert len(ends.origins) >= 50
    for seat in Seat:
        assert sum(seat in check.seats for check in ends.checks.values()) >= 30


def test_every_rule_of_the_book_is_kept() -> None:
    book, faults = read_packs([PACK])
    problems = [*faults, *check_book(book, input_names())]
    assert [str(problem) for problem in problems] == []


def test_every_fault_can_be_shown_at_call_hoist_and_bench(ends: Book) -> None:
    seats: dict[str, set[Seat]] = {origin: set() for origin in ends.origins}
    for check in ends.checks.values():
        for answer in check.answers.values():
            for condition in seats.keys() & answer.shows.keys():
                seats[condition] |= set(check.seats)
    told = {cid for cid, c in ends.conditions.items() if c.origin and c.origin.usage}
    rolled = {"auto-hub-not-rolled-back"}
    short = {origin for origin, found in seats.items() if found < set(Seat)}
    assert short == told | rolled


@pytest.mark.parametrize("beside", BESIDE)
def test_cases_beside_chains_and_checks(beside: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[beside]
    assert len(samples) >= 2
    assert [str(p) for sample in samples for p in runner.problems_of(beside, sample)] == []


def test_everything_is_exercised_and_no_two_origins_are_alike(ends: Book) -> None:
    report = cover_of(OpenBook(ends))
    assert (report.conditions, report.checks, report.origins) == ((), (), ())
    assert (report.alike, report.idle) == ((), ())


def test_what_the_axle_pack_has_is_silent_in_a_whole_vehicle(ends: Book) -> None:
    alone = {
        "front-hub-set-tight",
        "front-hub-set-slack",
        "front-hub-nut-unlocked",
        "front-taper-aged",
        "front-hub-seal-cut",
        "front-wheel-nuts-slack",
        "front-brake-drags",
        "front-axle-vent-blocked",
        "front-wheel-struck",
        "front-bearing-hammered",
        "welded-past-front-hub",
        "hubs-waded",
        "wheels-shaken-in-transport",
    }
    by_itself = for_family(ends, ends.family).origins.keys()
    in_the_vehicle = for_family(ends, ends.family | {"unit": "both"}).origins.keys()
    assert alone <= by_itself
    assert by_itself - in_the_vehicle == alone


@pytest.mark.parametrize(
    "answers",
    [
        {"front_studs_look": "broken"},
        {"nuts_again_told": "again"},
        {"shimmy_told": "lashes"},
        {"front_play_told": "rocks"},
        {"front_tread_palm": "lump"},
        {"front_brake_lets_go": "drags"},
        {"front_hub_heat": "140 °C"},
    ],
)
def test_one_look_at_a_danger_stops_the_vehicle(ends: Book, answers: dict[str, str]) -> None:
    assert judged(ends, "unit: wheel-end", **answers).verdict.drive.advice is Drive.STOP


def test_grease_on_the_wheel_is_not_waved_on_when_its_origin_is_known(ends: Book) -> None:
    found = judged(
        ends,
        "unit: wheel-end",
        grease_flung_told="flung",
        hub_leak_since_asked="slowly",
        stub_seal_track="grooved",
        front_hub_seal_look="scored",
    ).verdict
    assert found.origins == {"stub-seal-track-grooved": Naming.PROVEN}
    assert found.drive.advice is Drive.LIMP


def test_a_hub_lock_keeps_the_case_shut(vehicle: Book) -> None:
    found = judged(
        vehicle,
        f"unit: both, {BUILD}",
        front_wheels_do_not_pull="no-pull",
        hub_dials_told="unlike",
        hub_dials_seen="unlike",
    ).verdict
    assert found.origins == {"hub-dials-unlike": Naming.PROVEN}
    assert not {"chain", "mode-fork", "mode-sleeve"} & set(found.decisions)
