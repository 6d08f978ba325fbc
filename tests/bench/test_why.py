"""Why, and why not: asked of a case and in the middle of a session."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest

from headwater.cli.main import Terminal, run

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
BOOK = ("--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch"))
CASE = str(FROZEN / "cases" / "before.yaml")


def told(*words: str, typed: str = "") -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    status = run(list(words), Terminal(out, err, StringIO(typed), width=80))
    return status, " ".join(out.getvalue().split()), err.getvalue()


@pytest.mark.parametrize(
    ("condition", "says"),
    [
        ("breather-blocked", "Why it is confirmed"),
        ("breather-blocked", "answer breather-look: blocked"),
        ("lip-cut", "ruled out, because the answer rules it out"),
        ("case-pressure", "the book knows no other cause still standing"),
        ("case-pressure", "it cannot be seen: it is there only while the case is hot"),
        ("mount-loose", "unknown, no finding bears on it"),
        ("mount-loose", "no decisive answer shows it"),
        ("mount-loose", "(mount-shake)"),
    ],
)
def test_a_case_answers_why_and_why_not(condition: str, says: str) -> None:
    status, screen, error = told("diagnose", CASE, "--why", condition, *BOOK)
    assert (status, error) == (0, "")
    assert says in screen


def test_what_is_confirmed_has_no_why_not() -> None:
    _, screen, _ = told("diagnose", CASE, "--why", "breather-blocked", *BOOK)
    assert "Why it is not confirmed" not in screen


def test_why_as_json() -> None:
    out, err = StringIO(), StringIO()
    words = ["diagnose", CASE, "--why", "case-pressure", "--json", *BOOK]
    assert run(words, Terminal(out, err, StringIO())) == 0
    data = json.loads(out.getvalue())
    assert data["status"] == "probable"
    assert data["why"][-1].strip() == "answer lip-look: soft"
    assert data["why_not_confirmed"] == ["no decisive answer shows it"]


def test_a_misspelt_condition_is_one_line() -> None:
    status, screen, error = told("diagnose", CASE, "--why", "shfat-bnet", *BOOK)
    assert (status, screen) == (2, "")
    assert error.count("\n") == 1
    assert "shaft-bent" in error


def test_why_in_the_middle_of_a_session(tmp_path: Path) -> None:
    case = tmp_path / "unit.yaml"
    typed = "burnt fork pads\n\n\nskip\nburnt\nwhy bore-worn\nwhy zzzz qqqq\nhelp\ndone\n"
    status, screen, _ = told("bench", str(case), "--family", "drive=chain", *BOOK, typed=typed)
    assert status == 1
    assert "Why it is suspected" in screen
    assert "there is no condition 'zzzz qqqq'" in screen


def test_the_help_of_a_session_fits_the_screen() -> None:
    from headwater.cli.bench import HELP

    assert max(map(len, HELP.splitlines())) <= 80
