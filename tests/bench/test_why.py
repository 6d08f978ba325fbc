"""Why, and why not: asked of a case and in the middle of a session."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest

from headwater.cli.main import Terminal, run

ROOT = Path(__file__).resolve().parents[2]
CASE = str(ROOT / "examples" / "ridge-07.yaml")


def told(*words: str, typed: str = "") -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    status = run(list(words), Terminal(out, err, StringIO(typed), width=80))
    return status, " ".join(out.getvalue().split()), err.getvalue()


@pytest.mark.parametrize(
    ("condition", "says"),
    [
        ("front-bore-worn", "Why it is confirmed"),
        ("front-bore-worn", "answer input-bearing-float: 0.045 in: past-limit"),
        ("range-hub-rides-fork", "the book knows no other cause still standing"),
        ("range-hub-rides-fork", "it cannot be seen: it happens only while the shaft turns"),
        ("tone-ring-nicked", "unknown, no finding bears on it"),
        ("tone-ring-nicked", "no decisive answer shows it"),
        ("tone-ring-nicked", "(tone-ring-look)"),
    ],
)
def test_a_case_answers_why_and_why_not(condition: str, says: str) -> None:
    status, screen, error = told("diagnose", CASE, "--why", condition)
    assert (status, error) == (0, "")
    assert says in screen


def test_what_is_confirmed_has_no_why_not() -> None:
    _, screen, _ = told("diagnose", CASE, "--why", "front-bore-worn")
    assert "Why it is not confirmed" not in screen


def test_why_as_json() -> None:
    out, err = StringIO(), StringIO()
    words = ["diagnose", CASE, "--why", "range-hub-rides-fork", "--json"]
    assert run(words, Terminal(out, err, StringIO())) == 0
    data = json.loads(out.getvalue())
    assert data["status"] == "probable"
    assert data["why"][-1].strip() == "answer range-fork-pads: burnt"
    assert data["why_not_confirmed"] == ["no decisive answer shows it"]


def test_a_misspelt_condition_is_one_line() -> None:
    status, screen, error = told("diagnose", CASE, "--why", "frnt-bore-wornn")
    assert (status, screen) == (2, "")
    assert error.count("\n") == 1
    assert "front-bore-worn" in error


def test_why_in_the_middle_of_a_session(tmp_path: Path) -> None:
    case = tmp_path / "unit.yaml"
    typed = "burnt fork pads\n1\nburnt\nwhy front-bore-worn\nwhy zzzz qqqq\nhelp\ndone\n"
    status, screen, _ = told("bench", str(case), "--family", "drive=chain", typed=typed)
    assert status == 1
    assert "Why it is suspected" in screen
    assert "there is no condition 'zzzz qqqq'" in screen


def test_the_help_of_a_session_fits_the_screen() -> None:
    from headwater.cli.bench import HELP

    assert max(map(len, HELP.splitlines())) <= 80
