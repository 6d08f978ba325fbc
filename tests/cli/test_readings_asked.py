"""A reading that cannot be, or that means two things, is asked back at every seat, never taken."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from sessions import raw_findings
from small_book import change, write_book

from headwater.book.load import load_book
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.cli.call import Desk
from headwater.cli.main import Terminal, run
from headwater.cli.prompt import Prompt
from headwater.session.call import Call
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session

ABSURD = ["45 in", "38 mm", "150 mm", "-0.15 mm", "41 mil", "about 1 m"]
ASKED_BACK = {
    "45 in": "that is 1143 mm, but it can only be 0 mm to 5 mm; is the unit right?",
    "41 mil": "'mil' is a thousandth of an inch to one and a millimetre to another",
}


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """The small book, its float measured at every seat, with a dial or from two readings."""
    folder = write_book(tmp_path / "small")
    old = "    seats: [bench]\n    minutes: 5\n    after: [half]\n"
    change(folder, "checks.yaml", old, "    seats: [call, hoist, bench]\n    minutes: 5\n")
    return folder


def play(*words: str | Path, typed: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run([str(w) for w in words], Terminal(out, err, io.StringIO(typed), width=80))
    return status, " ".join(out.getvalue().split()), err.getvalue()


@pytest.mark.parametrize("seat", ["bench", "hoist"])
@pytest.mark.parametrize("typed", ABSURD)
def test_at_bench_and_hoist(small: Path, tmp_path: Path, seat: str, typed: str) -> None:
    path = tmp_path / "a.yaml"
    lines = f"\n\nbore-float: {typed}\nbore-float: 0,02 in\ndone\n"
    status, out, err = play(seat, path, "--book", small, "--family", "drive=chain", typed=lines)
    assert (status in (0, 1), err) == (True, "")
    assert ASKED_BACK.get(typed, "it can only be 0 mm to 5 mm; is the unit right?") in out
    assert [given for _, given, _ in raw_findings(read_case(path))] == ["0,02 in"]


def test_at_bench_where_the_result_is_worked_out(small: Path, tmp_path: Path) -> None:
    """Input by input; the result cannot be, so all is asked again."""
    change(small, "checks.yaml", "gauge: indicator,", "gauge: indicator, work: axial-float,")
    path = tmp_path / "a.yaml"
    lines = "\n\nbore-float: measure\n0 mm\n45 in\nbore-float: measure\n0 mm\n0,9 mm\ndone\n"
    _, out, err = play("bench", path, "--book", small, "--family", "drive=chain", typed=lines)
    assert err == ""
    assert "that is 1143 mm, but it can only be 0 mm to 5 mm; is the unit right?" in out
    ((_, given, _),) = raw_findings(read_case(path))
    assert given == {"pushed": "0 mm", "pulled": "0,9 mm"}


@pytest.mark.parametrize("typed", [*ABSURD, "45 in, I think", "1,140 mm"])
def test_on_the_phone(small: Path, typed: str) -> None:
    """Asked once more with the reason; the second time it is taken down as not known."""
    session = open_session(OpenBook(load_book([small])), Case(case="a"), Seat.CALL)
    out = io.StringIO()
    screen = Terminal(out, io.StringIO(), io.StringIO(), width=80).screen
    desk = Desk(Call(session, lambda: 0.0), Prompt(screen, io.StringIO(f"{typed}\n0,02 in\n")))
    assert desk.ask(session.check("bore-float")) == "answered"
    assert session.answers["bore-float"].given == "0,02 in"
    if typed == "45 in":
        assert ASKED_BACK[typed] in " ".join(out.getvalue().split())


@pytest.mark.parametrize("typed", ["~0.5 mm", "about 0.5 mm", "0.5 mm or so"])
def test_a_rough_reading_is_taken_and_said_to_be_rough(
    small: Path, tmp_path: Path, typed: str
) -> None:
    path = tmp_path / "a.yaml"
    lines = f"\n\nbore-float: {typed}\ndone\n"
    _, out, _ = play("bench", path, "--book", small, "--family", "drive=chain", typed=lines)
    assert "taken as rough, good to half a step of its last figure or a tenth, whichever" in out
    assert "Too close to call" in out
    assert [given for _, given, _ in raw_findings(read_case(path))] == [typed]


@pytest.mark.parametrize("typed", ["Burnt.", "  burnt  ", "BURNT!", "1"])
def test_a_word_however_it_is_written(small: Path, tmp_path: Path, typed: str) -> None:
    path = tmp_path / "a.yaml"
    lines = f"\n\npads: {typed}\ndone\n"
    _, out, _ = play("bench", path, "--book", small, "--family", "drive=chain", typed=lines)
    assert "HELD: range fork" in out


@pytest.mark.parametrize("seat", ["diagnose", "plan", "bench"])
def test_in_a_file_it_is_one_line_with_its_place(small: Path, tmp_path: Path, seat: str) -> None:
    path = tmp_path / "a.yaml"
    text = "case: a\nfindings:\n  - {check: bore-float, answer: 45 in}\n"
    path.write_text(text)
    status, out, err = play(seat, path, "--book", small, typed="")
    assert (status, out) == (2, "")
    assert err == (
        f"headwater: {path}:3:13: bore-float: that is 1143 mm, but it can only be 0 mm to 5 mm; "
        "is the unit right?\n"
    )
    assert path.read_text() == text
