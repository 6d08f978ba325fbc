"""The pack of constant-velocity shafts: its size, its cases, its dangers, and no twin beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
from sessions import at_hoist

from headwater.author.cover import cover_of
from headwater.author.sample import SampleRunner
from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.records import Book, for_family
from headwater.book.tables import Drive, Seat
from headwater.measure.registry import input_names
from headwater.session.openbook import OpenBook
from headwater.verdict.account import Naming

PACK = Path(__file__).resolve().parents[2] / "knowledge" / "constant-velocity-shafts"
ALONE = {"unit": "cv-shaft", "half-shaft": "independent", "inner-end": "stub"}
WHOLE = {"unit": "both", "half-shaft": "independent"}
BESIDE = sorted(path.name.removesuffix(".cases.yaml") for path in PACK.rglob("*.cases.yaml"))


@pytest.fixture(scope="module")
def shafts() -> Book:
    return load_book([PACK], samples=True)


@pytest.fixture(scope="module")
def runner(shafts: Book) -> SampleRunner:
    return SampleRunner(OpenBook(shafts))


def test_size(shafts: Book) -> None:
    assert len(shafts.origins) >= 30
    for seat in Seat:
        assert sum(seat in check.seats for check in shafts.checks.values()) >= 30


def test_every_rule_of_the_book_is_kept() -> None:
    book, faults = read_packs([PACK])
    problems = [*faults, *check_book(book, input_names())]
    assert [str(problem) for problem in problems] == []


def test_every_fault_can_be_shown_at_call_hoist_and_bench(shafts: Book) -> None:
    seats: dict[str, set[Seat]] = {origin: set() for origin in shafts.origins}
    for check in shafts.checks.values():
        for answer in check.answers.values():
            for condition in seats.keys() & answer.shows.keys():
                seats[condition] |= set(check.seats)
    told = {cid for cid, c in shafts.conditions.items() if c.origin and c.origin.usage}
    assert {origin for origin, found in seats.items() if found < set(Seat)} == told


def test_every_fault_has_two_acts_that_speak_for_it(shafts: Book) -> None:
    """One look proves nothing costly: a fault can be seen, measured or told a second time."""
    acts: dict[str, set[str]] = {
        cid: set() for cid, c in shafts.conditions.items() if c.origin and not c.origin.usage
    }
    for check in shafts.checks.values():
        for answer in check.answers.values():
            for shown, sureness in answer.shows.items():
                if shown in acts and sureness.word in {"strong", "decisive"}:
                    acts[shown].add(check.act or check.id)
    assert {cid for cid, found in acts.items() if len(found) < 2} == set()


@pytest.mark.parametrize("beside", BESIDE)
def test_cases_beside_chains_and_checks(beside: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[beside]
    assert len(samples) >= 2
    assert [str(p) for sample in samples for p in runner.problems_of(beside, sample)] == []


def test_everything_is_exercised_and_no_two_origins_are_alike(shafts: Book) -> None:
    report = cover_of(OpenBook(shafts))
    assert (report.conditions, report.checks, report.origins) == ((), (), ())
    assert (report.alike, report.idle) == ((), ())


def test_what_the_other_packs_have_is_silent_in_a_whole_vehicle(shafts: Book) -> None:
    alone = {
        "suspension-raised",
        "carrier-seal-aged",
        "cv-stub-nut-slack",
        "half-shaft-shock-loaded",
    }
    by_itself = for_family(shafts, shafts.family | ALONE).origins.keys()
    in_the_vehicle = for_family(shafts, shafts.family | WHOLE).origins.keys()
    assert by_itself - in_the_vehicle == alone


def test_rigid_axles_with_plain_shafts_have_none_of_it(vehicle: Book) -> None:
    rigid = for_family(vehicle, vehicle.family | {"unit": "both", "half-shaft": "none"})
    assert "constant-velocity-shafts" not in {str(pack.pack) for pack in rigid.packs}
    assert not {"outer-joint-worn", "stub-nut-reused", "carrier-rocks"} & rigid.conditions.keys()
    assert "no-drive-at-axle" in rigid.conditions


@pytest.mark.parametrize(
    "answers",
    [
        {"outer_cage_look": "cracked"},
        {"outer_joint_pull": "slides"},
        {"inner_joint_inside": "'off'"},
        {"half_bar_whole": "broken"},
        {"stub_nut_wrench": "moves"},
    ],
)
def test_one_look_at_a_danger_stops_the_vehicle(shafts: Book, answers: dict[str, str]) -> None:
    assert at_hoist(shafts, ALONE, None, **answers).verdict.drive.advice is Drive.STOP


def test_a_boot_is_not_released_before_it_is_known_what_baked_it(shafts: Book) -> None:
    found = at_hoist(
        shafts, ALONE, boot_grease_told="flung", inner_boot_look="split", inner_boot_feel="one-side"
    ).verdict
    assert found.origins == {}
    assert "inner-cv-boot" in found.held


def test_a_leak_at_the_half_shaft_is_told_from_a_worn_seal(shafts: Book) -> None:
    found = at_hoist(
        shafts,
        ALONE,
        inner_oil_told="drips",
        side_seal_wet_place="lip",
        inner_stub_gap="wider",
        inner_circlip_look="none",
        inner_stub_pull="slides",
    ).verdict
    assert found.origins == {"inner-circlip-missing": Naming.PROVEN}
    assert found.drive.advice is Drive.LIMP


def test_a_stub_nut_used_twice_is_behind_the_open_hub_unit(vehicle: Book) -> None:
    found = at_hoist(
        vehicle,
        WHOLE | {"hub-build": "unit-bearing"},
        wheel_wobble_told="wobbles",
        stub_nut_look="more",
        stub_nut_run="runs",
        unit_hub_nut_torque="turns",
        unit_hub_play="0.40 mm",
        wheel_nut_torque="right",
    ).verdict
    assert found.origins == {"stub-nut-reused": Naming.PROVEN}
    assert found.drive.advice is Drive.STOP
