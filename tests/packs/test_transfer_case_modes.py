"""Checks of the transfer-case pack that are answered with a damage mode."""

from __future__ import annotations

from io import StringIO

import pytest
from sessions import contract, open_at, replay

from headwater import outputs
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.case.read import parse_case
from headwater.cli.console import Screen
from headwater.measure.answer import understand
from headwater.rules.status import Status
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner
from headwater.verdict.reach import Stand, torn_down
from headwater.view.asking import Asking

LISTS = {
    "rear-bearing-tracks": "rolling-bearing",
    "input-bearing-track": "rolling-bearing",
    "front-output-track": "rolling-bearing",
    "front-output-bearings": "rolling-bearing",
    "planetary-teeth": "gear",
    "rear-seal-lip": "lip-seal",
    "sprocket-teeth": "chain-and-sprocket",
}
OLD_WORDS = [
    ("rear-bearing-tracks", "one-spall", "subsurface-fatigue"),
    ("rear-bearing-tracks", "dents-at-ball-pitch", "bearing-overload-dents"),
    ("rear-bearing-tracks", "flutes", "current-flutes"),
    ("rear-bearing-tracks", "fine-dents", "bearing-debris-dents"),
    ("rear-bearing-tracks", "blue", "bearing-adhesive-wear"),
    ("rear-bearing-tracks", "rusty", "moisture-corrosion"),
    ("input-bearing-track", "fatigue-flakes", "subsurface-fatigue"),
    ("input-bearing-track", "blue-smeared", "bearing-adhesive-wear"),
    ("input-bearing-track", "dents-at-pitch", "bearing-overload-dents"),
    ("input-bearing-track", "dents-everywhere", "bearing-debris-dents"),
    ("input-bearing-track", "rust-pits", "moisture-corrosion"),
    ("front-output-track", "narrow-flaked", "subsurface-fatigue"),
    ("front-output-bearings", "rusted", "moisture-corrosion"),
    ("front-output-bearings", "dented", "bearing-debris-dents"),
    ("front-output-bearings", "blue", "bearing-adhesive-wear"),
    ("planetary-teeth", "pitted", "gear-progressive-pitting"),
    ("planetary-teeth", "blue-scored", "gear-scuffing"),
    ("planetary-teeth", "broken-fresh", "gear-brittle-fracture"),
    ("rear-seal-lip", "cut", "seal-cut-lip"),
    ("rear-seal-lip", "hard", "seal-hard-lip"),
    ("rear-seal-lip", "wide", "seal-wide-band"),
    ("rear-seal-lip", "wide-one-side", "seal-wide-on-one-side"),
    ("sprocket-teeth", "hooked", "sprocket-hooked"),
]


@pytest.mark.parametrize(("check", "name"), LISTS.items())
def test_answers_are_modes_of_the_right_list(check: str, name: str, book: Book) -> None:
    found = [book.modes[w].of for w in map(str, book.checks[check].answers) if w in book.modes]
    assert len(found) >= 2
    assert set(found) == {name}


@pytest.mark.parametrize(("check", "old", "mode"), OLD_WORDS)
def test_the_old_word_still_answers(check: str, old: str, mode: str, book: Book) -> None:
    assert understand(book, book.checks[check], old).settled == mode


@pytest.mark.parametrize("check", LISTS)
def test_the_question_fits_one_screen(check: str, reasoner: Reasoner) -> None:
    stand = Stand(Seat.BENCH, removed=torn_down(reasoner.book))
    session = open_at(Case(case="ridge-50"), reasoner, stand)
    out = StringIO()
    Screen(out, width=80).show(outputs.lines("question", Asking(session, check)))
    lines = out.getvalue().splitlines()
    assert len(lines) <= 23
    assert max(map(len, lines)) <= 80


def test_a_mode_alone_does_not_release_what_its_seat_must_tell(
    book: Book, reasoner: Reasoner
) -> None:
    text = (
        "case: ridge-51\nunit: {family: {}}\nfindings:\n"
        "  - {check: input-bearing-track, answer: fretting-corrosion}\n"
    )
    found = replay(book, parse_case(text, "ridge-51.yaml"), reasoner)
    assert "input-bearing" in found.verdict.held
    assert "front-bore-loose-hot" not in found.verdict.origins
    parts = {row["part"]: row for row in contract(found)["parts"]}
    assert parts["input-bearing"]["action"] is None


def test_the_family_of_causes_leads_on_to_the_seat(book: Book, reasoner: Reasoner) -> None:
    def chance(answer: str) -> float:
        text = f"case: ridge-52\nfindings:\n  - {{check: input-bearing-track, answer: {answer}}}\n"
        replayed = replay(book, parse_case(text, "ridge-52.yaml"), reasoner)
        return replayed.verdict.present["front-bore-loose-hot"]

    assert chance("fretting-corrosion") > 2 * chance("bearing-abrasive-wear")


def test_a_melted_crater_points_to_current(book: Book, reasoner: Reasoner) -> None:
    """It leads, but one look at one ring is one act: it is not proven, and nothing is released."""
    text = (
        "case: ridge-53\nfindings:\n"
        "  - {check: rear-bearing-feel, answer: rough}\n"
        "  - {check: rear-bearing-tracks, answer: current-craters}\n"
    )
    found = replay(book, parse_case(text, "ridge-53.yaml"), reasoner).verdict
    assert found.statuses["rear-bearing-current-marked"] is Status.CONFIRMED
    assert found.accounts["rear-bearing-failed"].candidates[0].origin == "current-through-case"
    assert Naming.PROVEN not in found.origins.values()
    assert "rear-bearing" in found.held
