"""What was told is not lost where nobody can say more of it, and no more is put into it."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.book.tables import Drive, Seat
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.session.again import keep_told
from headwater.session.session import open_session
from headwater.shipped import open_packs, shipped_packs

NOT_KNOWN = "dont-know"


def ring(folder: Path, *typed: str) -> str:
    """Type lines at the telephone; return the screen in one line."""
    out = StringIO()
    lines = StringIO("".join(f"{line}\n" for line in typed))
    run(["call", str(folder / "a.yaml")], Terminal(out, StringIO(), lines, width=80))
    return " ".join(out.getvalue().split())


def answers(folder: Path) -> dict[str, str]:
    """Return what was taken down, the last answer to each check."""
    case = read_case(folder / "a.yaml")
    return {
        str(one.check): str(one.answer.data) for one in case.findings if one.check and one.answer
    }


@pytest.mark.parametrize(
    ("words", "check"),
    [
        ("there is a brown oil stain under my truck", "oil-spots-under-vehicle"),
        ("I found oil spots under it", "oil-spots-under-vehicle"),
        ("it jumps out of high", "jumps-out-of-high"),
        ("it vibrates at 50 on the road", "vibration-by-road-speed"),
    ],
)
def test_how_much_or_which_way_is_asked_and_not_made_up(
    tmp_path: Path, book: Book, words: str, check: str
) -> None:
    screen = ring(tmp_path, words, "", "")
    asked = book.checks[check].say or book.checks[check].ask
    assert " ".join(asked.split()) in screen
    assert check not in answers(tmp_path)


@pytest.mark.parametrize("check", ["oil-spots-under-vehicle", "jumps-out-of-high"])
def test_who_cannot_say_more_has_told_of_the_trouble_all_the_same(
    tmp_path: Path, book: Book, check: str
) -> None:
    alone = book.checks[check].told_alone
    condition = book.conditions[check]
    ring(tmp_path, condition.title, "", "", "?", "", "done")
    assert answers(tmp_path)[check] == alone
    assert read_case(tmp_path / "a.yaml").not_placed == ()


def test_a_leak_of_no_known_size_is_no_few_spots() -> None:
    session = open_session(open_packs(shipped_packs()), Case(case="a"), Seat.CALL)
    keep_told(session, {"oil-spots-under-vehicle": "oil stain"})
    assert session.verdict.drive.advice is Drive.PARKED
    (entry,) = [one for one in session.case.findings if one.check]
    assert entry.note == "oil stain"
