"""What somebody on the telephone took back stays back, and what was said once is said once."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from sessions import open_at

from headwater.book.tables import Drive, Seat
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.cli.aside import NOTHING_LEFT
from headwater.cli.intake import NO_NUMBER
from headwater.cli.main import Terminal, run
from headwater.session.call import Call
from headwater.session.intake import Intake
from headwater.session.listed import Aside, Denial
from headwater.session.session import Session, open_session
from headwater.shipped import open_packs, shipped_packs
from headwater.verdict.assess import Reasoner
from headwater.verdict.reach import Stand
from headwater.view.intake import ANY_DANGER, ASK_FIRST, TOLD_BEFORE


def ring(folder: Path, *typed: str) -> str:
    """Type lines at the telephone; return the screen in one line."""
    out = StringIO()
    lines = StringIO("".join(f"{line}\n" for line in typed))
    run(["call", str(folder / "a.yaml")], Terminal(out, StringIO(), lines, width=80))
    return " ".join(out.getvalue().split())


@pytest.fixture
def session() -> Session:
    """A call that nobody has said anything in."""
    return open_session(open_packs(shipped_packs()), Case(case="a"), Seat.CALL)


def test_a_danger_told_in_an_earlier_round_is_taken_back_as_in_the_first(tmp_path: Path) -> None:
    first = ring(tmp_path, "the wheels are jammed in the yard, it hops", "")
    assert "STOP, do not drive." in first
    again = ring(tmp_path, "it rolls fine now", "0", "", "", "done")
    assert TOLD_BEFORE.split("{")[0] in again
    case = read_case(tmp_path / "a.yaml")
    assert case.outside == ()
    assert "the wheels are jammed in the yard, it hops" in case.told, "the words stay"
    assert "STOP" not in again.rsplit("Drive advice given:", 1)[1]


def test_what_is_picked_beside_a_danger_is_kept(tmp_path: Path) -> None:
    """Nothing is asked in a danger, but what was picked is no less said."""
    said = "the wheels are locked, and it is stuck in four wheel drive"
    screen = ring(tmp_path, said, "", "")
    assert "STOP, do not drive." in screen
    case = read_case(tmp_path / "a.yaml")
    told = {str(finding.check) for finding in case.findings}
    assert "stuck-in-four-wheel-drive" in told or "stuck four wheel drive" in case.not_placed


def test_the_signs_of_danger_are_read_out_once_and_when_asked_for(tmp_path: Path) -> None:
    words = ("it hops in tight turns", "and a noise as well", "and the lamp blinks")
    screen = ring(tmp_path, *words, "", "", "done")
    assert screen.count(ASK_FIRST) == 1
    assert screen.count(ANY_DANGER) >= 2
    (tmp_path / "other").mkdir()
    screen = ring(tmp_path / "other", words[0], "and a noise as well", "danger", "", "done")
    assert screen.count(ASK_FIRST) == 2


def test_a_trouble_elsewhere_that_was_dropped_does_not_come_back_ticked(session: Session) -> None:
    said = "my coolant leaks at the radiator, and it hops in tight turns"
    first = Intake(session)
    first.hear(said)
    (aside,) = (row for row in first.rows if isinstance(row, Aside))
    assert aside.ticked
    first.choose([first.rows.index(aside) + 1])
    first.take()
    second = Intake(session)
    second.hear(said)
    assert [row.ticked for row in second.rows if isinstance(row, Aside)] == [False]


def test_a_number_where_nothing_is_listed_is_no_word_of_the_caller(tmp_path: Path) -> None:
    screen = ring(tmp_path, "it frumbles on Saturday", "2", "", "", "1", "", "done")
    assert screen.count(NO_NUMBER) == 2
    assert read_case(tmp_path / "a.yaml").told == ("it frumbles on Saturday",)


def test_listening_takes_nothing_of_the_time_for_questions(caller_reasoner: Reasoner) -> None:
    ticks = [0.0]
    call = Call(open_at(Case(case="t"), caller_reasoner, Stand(Seat.CALL)), lambda: ticks[0])
    ticks[0] = 600.0  # ten minutes of a long story
    assert call.next() is not None
    ticks[0] += 239.0
    assert call.over() == ""
    ticks[0] += 2.0
    assert call.next() is None


def test_grease_that_comes_out_green_is_no_coolant(session: Session) -> None:
    """Two callers were told to top their coolant up who spoke of grease."""
    grease, water = Intake(session), Intake(session)
    grease.hear("green stuff like butter comes out at the slip joint since it was greased")
    water.hear("green water comes out under the front")
    assert "coolant-leak" not in grease.outside
    assert "coolant-leak" in water.outside
    assert session.open_book.book.elsewhere["coolant-leak"].advice is Drive.STOP


def test_what_was_heard_as_not_so_is_taken_back_by_its_number(session: Session) -> None:
    """'No hop in two-wheel drive' does not deny the hop; a wrong denial leaves its words open."""
    intake = Intake(session)
    intake.hear("it whines in all ranges, and it does not hop in tight turns")
    rows = [row for row in intake.rows if isinstance(row, Denial)]
    assert rows, intake.rows
    assert all(row.ticked for row in rows)
    before = intake.not_placed
    intake.choose([intake.rows.index(rows[0]) + 1])
    assert set(intake.not_placed) > set(before)


WORDS = "it hops in tight turns on tar, and my aunt had it frump at the market"


@pytest.mark.parametrize(
    ("typed", "left"),
    [(("same",), False), (("strike frump: a joke", "same"), False), (("strike frump: x",), True)],
)
def test_same_at_a_question_takes_words_to_add_nothing(
    tmp_path: Path, typed: tuple[str, ...], left: bool
) -> None:
    """Also after they were struck by mistake: striking alone stays on the safe side."""
    ring(tmp_path, WORDS, "", "nothing for years", "hmm", "", *typed, "done")
    case = read_case(tmp_path / "a.yaml")
    assert bool(case.left_aside or case.not_placed) is left, case


def test_same_with_nothing_left_is_no_answer(tmp_path: Path) -> None:
    """It is not kept as the words of the next answer, and neither is it a complaint of its own."""
    screen = ring(tmp_path, "it whines in all ranges", "", "nothing for years", "same", "1", "done")
    assert NOTHING_LEFT in screen
    assert "which is nearest" not in screen
    told = read_case(tmp_path / "a.yaml")
    assert all("same" not in entry.note for entry in told.findings)


def test_a_no_to_what_is_only_offered_takes_nothing_beside_a_denial(session: Session) -> None:
    """What is heard as not so is ticked, and takes nothing: 'no' and a number still go on."""
    intake = Intake(session)
    intake.hear("it does not hop in tight turns")
    assert any(isinstance(row, Denial) and row.ticked for row in intake.rows)
    assert not intake.takes_any
