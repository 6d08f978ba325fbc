"""The drive-axle pack: its size, its cases, and that no code knows transfer cases."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest
from sessions import at_hoist, contract, replay, screen

from headwater.author.cover import cover_of
from headwater.author.sample import SampleRunner
from headwater.book.check import check_book
from headwater.book.load import read_packs
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.case.read import parse_case
from headwater.cli.main import Terminal, run
from headwater.measure.registry import input_names
from headwater.session.openbook import OpenBook
from headwater.session.unit import attributes_that_matter
from headwater.verdict.account import Naming
from headwater.verdict.ending import Ending

ROOT = Path(__file__).resolve().parents[2]
KNOWLEDGE = ROOT / "knowledge"
CHAINS = sorted(
    path.name.removesuffix(".cases.yaml")
    for path in (KNOWLEDGE / "drive-axle").rglob("*.cases.yaml")
)


@pytest.fixture(scope="module")
def runner(axle: Book) -> SampleRunner:
    return SampleRunner(OpenBook(axle))


def test_size(axle: Book) -> None:
    assert len(axle.origins) >= 25
    assert len(axle.conditions) >= 60
    assert len(axle.checks) >= 70
    for seat in Seat:
        assert sum(seat in check.seats for check in axle.checks.values()) >= 20


def test_every_limit_and_gauge_says_where_its_figure_is_from(axle: Book) -> None:
    assert axle.limits
    assert {str(item.source) for item in axle.limits.values()} <= set(axle.sources)
    assert {str(item.source) for item in axle.gauges.values()} == {"common-practice"}


def test_book_check_is_clean() -> None:
    """No error in the packs of one vehicle, and in this pack not even a warning."""
    folders = [KNOWLEDGE / name for name in ("damage-modes", "drive-axle", "transfer-case")]
    book, faults = read_packs([*folders, KNOWLEDGE / "driveline"])
    problems = [*faults, *check_book(book, input_names())]
    own = str(KNOWLEDGE / "drive-axle")
    told = [p for p in problems if p.severity == "error" or p.place.file.startswith(own)]
    assert [str(problem) for problem in told] == []


@pytest.mark.parametrize("chain", CHAINS)
def test_cases_beside_the_chain(chain: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[chain]
    assert len(samples) >= 2
    assert [str(p) for sample in samples for p in runner.problems_of(chain, sample)] == []


@pytest.mark.trial
def test_everything_is_exercised_and_no_two_origins_are_alike(axle: Book) -> None:
    report = cover_of(OpenBook(axle))
    assert report.checks == ()
    assert report.conditions == ()
    assert report.origins == ()
    assert report.alike == ()
    assert report.idle == ()


def test_what_works_the_lock_is_asked_not_assumed(axle: Book) -> None:
    lock = {"unit": "drive-axle", "slip-limiting": "lock"}
    unknown = at_hoist(axle, lock, axle_lock_told="dead")
    assert {"lock-coil-meter", "lock-line-soap", "lock-hose-pumped"} <= unknown.book.checks.keys()
    assert "lock-feed" in attributes_that_matter(unknown)
    vacuum = at_hoist(axle, lock | {"lock-feed": "vacuum"}, axle_lock_told="dead")
    assert "lock-hose-pumped" in vacuum.book.checks
    assert not {"lock-coil-meter", "lock-line-soap"} & vacuum.book.checks.keys()


def test_no_word_of_the_transfer_case_comes_out_for_an_axle(axle: Book) -> None:
    text = (
        "case: ridge-31\nunit: {family: {unit: drive-axle, wheel-ends: semi-floating}}\n"
        "findings:\n"
        "  - {check: pinion-bearing-tracks, answer: bearing-debris-dents}\n"
        "  - {check: axle-growl-told, answer: growls}\n"
    )
    found = replay(axle, parse_case(text, "ridge-31.yaml"))
    assert found.verdict.ending is Ending.OPEN
    assert "pinion-bearings" in found.verdict.held
    shown = screen("verdict", found).lower()
    assert not re.search(r"transfer|chain case|range fork|sprocket", shown)
    parts = {row["part"]: row for row in contract(found)["parts"]}
    assert parts["pinion-bearings"]["action"] is None


def test_no_module_names_a_part_of_either_unit() -> None:
    named = re.compile(
        r"[\"'](range-fork|mode-fork|pinion-seal|drive-axle|planetary|slip-yoke)[\"']"
    )
    hits = [
        f"{path.name}: {found.group()}"
        for path in (ROOT / "src" / "headwater").rglob("*.py")
        for found in named.finditer(path.read_text(encoding="utf-8"))
    ]
    assert hits == []


def test_diagnose_an_axle_with_the_shipped_packs(tmp_path: Path) -> None:
    case = tmp_path / "ridge-32.yaml"
    case.write_text(
        "case: ridge-32\nunit: {family: {unit: drive-axle, slip-limiting: plates}}\n"
        "findings:\n"
        "  - {check: pinion-oil-told, answer: wet}\n"
        "  - {check: pinion-seal-place, answer: lip}\n"
        "  - {check: axle-plug-hiss, answer: hiss}\n"
        "  - {check: axle-vent-blow, answer: blocked}\n",
        encoding="utf-8",
    )
    out = StringIO()
    status = run(["diagnose", str(case)], Terminal(out, StringIO(), StringIO(), width=80))
    assert status == 0
    assert "vent of the axle clogged" in out.getvalue()


@pytest.mark.parametrize("told", [{}, {"axle_waded_asked": "deep"}])
def test_with_water_in_the_oil_the_vent_is_looked_at_first(
    axle: Book, told: dict[str, str]
) -> None:
    """An axle that cannot breathe drinks past its lips; a ford that is told acquits no vent."""
    wet = at_hoist(
        axle,
        {"unit": "drive-axle"},
        None,
        axle_growl_told="growls",
        axle_oil_look="milky",
        **told,
    )
    assert "axle-vent-clogged" not in wet.verdict.origins
    first = [item.check for item in wet.next()[:2]]
    assert first[0] in {"axle-vent-blow", "axle-vent-end"}
    assert "axle-vent-blow" in first


def test_beach_lines_send_to_the_straight_edge_whatever_blow_is_told(axle: Book) -> None:
    """Lines that grew for months are older than the jerk that is remembered."""
    told = {
        "axle_drive_told": "turns-wheels-stand",
        "axle_shock_asked": "shocked",
        "axle_shaft_break": "broken-beach-lines",
    }
    broken = at_hoist(axle, {"unit": "drive-axle"}, None, **told)
    assert broken.verdict.origins == {}
    assert broken.verdict.ending is Ending.OPEN
    assert "axle-tube-straight" in {item.check for item in broken.next()}
    young = {"axle_shafts_age_asked": "short", "axle_tyre_edge_wear": "one-edge"}
    hinted = at_hoist(axle, {"unit": "drive-axle"}, None, **told, **young)
    assert "axle-tube-straight" in [item.check for item in hinted.next()[:2]]


def test_a_told_shock_is_a_hint_and_the_face_of_the_break_decides(axle: Book) -> None:
    told = {"axle_drive_told": "turns-wheels-stand", "axle_shock_asked": "shocked"}
    heard = at_hoist(axle, {"unit": "drive-axle"}, None, **told)
    assert heard.verdict.origins == {}
    seen = at_hoist(axle, {"unit": "drive-axle"}, None, **told, axle_shaft_break="broken-twisted")
    assert seen.verdict.origins == {"axle-shock-loaded": Naming.PROVEN}
