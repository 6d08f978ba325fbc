"""What is asked on the telephone before all else, and what may be taken back of it."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.case.read import CaseError, read_case
from headwater.cli.main import Terminal, run
from headwater.session.session import open_session
from headwater.shipped import open_packs, shipped_packs


@pytest.fixture(scope="module")
def signs() -> list[str]:
    return list(whole().emergencies)


def whole() -> Book:
    return open_packs(shipped_packs()).book


def ring(folder: Path, *typed: str) -> tuple[str, Case]:
    """Type lines at the telephone; return the screen, and the case as it was saved."""
    out, err = StringIO(), StringIO()
    lines = StringIO("".join(f"{line}\n" for line in typed))
    path = folder / "a.yaml"
    run(["call", str(path)], Terminal(out, err, lines, width=80))
    assert "Traceback" not in err.getvalue()
    return " ".join(out.getvalue().split()), read_case(path)


@pytest.mark.parametrize("told", ["danger 3", "danger the wheel is nearly off"])
def test_a_sign_is_told_by_number_or_in_words(told: str, signs: list[str], tmp_path: Path) -> None:
    screen, case = ring(tmp_path, "it hops in tight turns", told, "")
    meant = signs[2] if told == "danger 3" else "loose-wheel"
    assert "Ask first, is any of this so: 1 " in screen
    assert case.outside == (meant,)
    assert all(" ".join(now.split()) in screen for now in whole().emergencies[meant].now)
    assert "STOP, do not drive." in screen


def test_what_is_ticked_and_cannot_be_looked_at_here_is_kept_as_meant(tmp_path: Path) -> None:
    """It is understood, clears nothing, and the shop looks at it before all else."""
    screen, case = ring(tmp_path, "milky oil at the front output seal", "1", "", "done")
    assert case.meant == ("water-in-oil",)
    assert case.not_placed == ()
    assert "Not understood" not in screen
    assert "LEAVE IT PARKED" in screen.rsplit("Drive advice given:", 1)[1]
    session = open_session(open_packs(shipped_packs()), case, Seat.HOIST)
    first = session.next()[0]
    assert "water-in-oil" in session.book.checks[first.check].decides()
    out = StringIO()
    run(
        ["hoist", str(tmp_path / "a.yaml")], Terminal(out, StringIO(), StringIO("done\n"), width=80)
    )
    asked = out.getvalue().split("> ")[0]
    assert "told, to be looked at: water in the oil" in asked
    assert session.book.checks[first.check].ask.split()[0] in asked
    hint = next(
        (check.id, str(word))
        for check in session.book.checks.values()
        if "water-in-oil" in check.speaks_of() and "water-in-oil" not in check.decides()
        for word in check.answers
    )
    session.answer(*hint)
    assert len(session.to_see) == 1, "a hint decides nothing"
    session.answer(first.check, "clear")
    assert not session.to_see


@pytest.mark.parametrize("told", ["danger 12 4", "danger 4, 12", "danger 4 and 12"])
def test_several_signs_are_told_by_their_numbers(
    told: str, signs: list[str], tmp_path: Path
) -> None:
    screen, case = ring(tmp_path, "it hops in tight turns", told, "")
    assert case.outside == (signs[3], signs[11])
    for meant in case.outside:
        assert all(" ".join(now.split()) in screen for now in whole().emergencies[meant].now)


@pytest.mark.parametrize("told", ["danger 44", "danger 2 44"])
def test_a_number_that_names_no_sign_is_none(told: str, tmp_path: Path) -> None:
    screen, case = ring(tmp_path, "it hops in tight turns", told, "", "done")
    assert case.outside == ()
    assert "is none of these signs" in screen


def test_a_sign_is_told_in_mid_call(tmp_path: Path) -> None:
    screen, case = ring(tmp_path, "it hops in tight turns", "", "", "danger 6", "")
    assert case.outside == ("hanging-shaft",)
    assert "1 of 8" in screen
    assert "2 of 8" not in screen


def test_a_misheard_sign_is_taken_back(tmp_path: Path) -> None:
    screen, case = ring(tmp_path, "the driveshaft is hanging down", "0", "", "", "", "done")
    assert "If that is not so, 0 takes it back." in screen
    assert screen.count("Ask first") == 1, "then all nine are asked for"
    assert case.outside == ()
    assert "LEAVE IT PARKED" in screen


def test_small_talk_keeps_nobody_parked(tmp_path: Path) -> None:
    words = "the transfer case wants its oil changed, my lovely husband says"
    screen, case = ring(tmp_path, words, "", "")
    assert "Does any of it tell what is wrong?" in screen
    assert case.not_placed == ()
    assert all(entry.note for entry in case.findings if entry.struck), "who said so stays"
    assert "OK to drive in" in screen


def test_what_was_not_understood_may_be_said_in_other_words(tmp_path: Path) -> None:
    words = "the transfer case wants its oil changed, and it frumps"
    _, case = ring(tmp_path, words, "", "it hops in tight turns", "", "", "done")
    assert "hop-on-tight-turns" in [str(entry.check) for entry in case.findings]
    assert case.told == (words, "it hops in tight turns")


def test_what_is_told_of_another_unit_stays(tmp_path: Path) -> None:
    """A hot wheel is the axle's, the lever the case's: both are in the file, and none ends it."""
    hot = "also the right rear wheel is too hot to touch"
    screen, case = ring(tmp_path, "stuck in four-wheel drive", "", "", "it comes out", hot, "")
    assert "does not apply" not in screen
    answered = {str(entry.check) for entry in case.findings if entry.check}
    assert {"stuck-in-four-wheel-drive", "hub-hot-told"} <= answered


def test_a_sign_or_trouble_is_struck_by_its_title(tmp_path: Path) -> None:
    ring(tmp_path, "it hops in tight turns", "danger 7", "")
    session = open_session(
        open_packs(shipped_packs()), read_case(tmp_path / "a.yaml"), Seat.HOIST, None, str
    )
    assert session.case.outside == ("loose-wheel",)
    with pytest.raises(CaseError, match="say why"):
        session.strike("loose", "")
    session.strike("loose", "looked at: tight")
    assert not session.case.outside


@pytest.mark.parametrize(
    "words",
    [
        "danger a man is under the truck, on a jack",
        "it may fall off the jack on me",
        "a man is under the truck",
    ],
)
def test_somebody_under_it_comes_first(words: str, tmp_path: Path) -> None:
    screen, case = ring(tmp_path, words, "")
    assert case.outside == ("somebody-under-it",)
    assert "whoever is free comes out" in screen


HOPS = "it hops in tight turns"


@pytest.mark.parametrize(("typed", "kept"), [("marmalade", ("marmalade",)), ("99", ())])
def test_danger_that_fits_no_sign_is_taken_for_none_of_them(
    typed: str, kept: tuple[str, ...], tmp_path: Path
) -> None:
    screen, case = ring(tmp_path, HOPS, "", "", f"danger {typed}", "", "done")
    assert "Ask first, is any of this so" in screen
    assert f"'{typed}' is none of these signs" in screen
    assert (case.outside, case.told) == ((), (HOPS, *kept))


def test_back_forgets_what_was_just_said(tmp_path: Path) -> None:
    said = "also the driveshaft is hanging down"
    screen, case = ring(tmp_path, HOPS, "", "", said, "back", "", "done")
    assert "Taken back: nothing of it is kept." in screen
    assert (case.outside, case.told) == ((), (HOPS,))
