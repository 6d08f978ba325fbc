"""What fits an answer only in part is read back, and words told again keep nobody parked."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest

from headwater.api import new_case
from headwater.book.records import Book
from headwater.book.tables import DONT_KNOW, Drive, Seat
from headwater.case.model import Case, LogEntry
from headwater.case.plain import entry_data
from headwater.case.read import read_case
from headwater.cli.call import Desk
from headwater.cli.main import Terminal, run
from headwater.cli.prompt import Prompt
from headwater.hearing.answers import hear
from headwater.hearing.index import Index, build_index
from headwater.session.call import Call
from headwater.session.session import open_session
from headwater.shipped import open_packs, shipped_packs

TURNED = [
    (
        "transmission-fluid-falls",
        "I've never had to add any to it, and it changes as it should",
    ),
    (
        "work-before-trouble",
        "nothing opened, none of the plugs, hub oil last changed in 2019",
    ),
    ("drops-out-of-four-wheel-drive", "No bang, it just pulls with the back wheels, always"),
]
"""What strangers said that was put down as its contrary, or as something else."""
PLAIN = [
    ("jumps-out-of-low", "No, I used the low in the steep rows and it stays in, never jumped out"),
    ("whine-when", "no whine"),
    ("hop-on-tight-turns", "it turns freely"),
    ("jumps-out-of-low", "2"),
]


@pytest.fixture(scope="module")
def index(caller_book: Book) -> Index:
    return build_index(caller_book)


@pytest.mark.parametrize(("check", "said"), TURNED)
def test_what_may_be_turned_round_is_unsure(
    caller_book: Book, index: Index, check: str, said: str
) -> None:
    heard = hear(index, caller_book, caller_book.checks[check], said)
    assert heard.answer is None or heard.unsure


@pytest.mark.parametrize(("check", "said"), PLAIN)
def test_a_plain_answer_is_not_read_back(
    caller_book: Book, index: Index, check: str, said: str
) -> None:
    heard = hear(index, caller_book, caller_book.checks[check], said)
    assert heard.answer is not None
    assert not heard.unsure


def ring(tmp_path: Path, *typed: str) -> tuple[str, Case]:
    """Type lines at the telephone; return the screen and the case."""
    out, path = StringIO(), tmp_path / "a.yaml"
    lines = StringIO("".join(f"{line}\n" for line in typed))
    run(["call", str(path)], Terminal(out, StringIO(), lines, width=80))
    return out.getvalue(), read_case(path)


MEANT = "outer-boot-split"
LONG = "in the yard on full lock it hops and skips with its tyres, and at the gate as well"


def put(typed: tuple[str, ...]) -> tuple[str, Case]:
    """Put one question at the telephone; return the screen and the case."""
    book = open_packs(shipped_packs())
    session = open_session(book, new_case("a", seat=Seat.CALL))
    out, lines = StringIO(), StringIO("".join(f"{line}\n" for line in typed))
    terminal = Terminal(out, StringIO(), lines, width=80)
    desk = Desk(Call(session, lambda: 0.0), Prompt(terminal.screen, lines, None))
    desk.ask(session.check("hop-on-tight-turns"))
    return " ".join(out.getvalue().split()), session.case


@pytest.mark.parametrize(
    ("then", "answer"),
    [
        (("",), "yes"),
        (("2",), "no"),
        (("yes", "2"), "no"),
        (("hm", "2"), "no"),
        (("hm", "hm"), DONT_KNOW),
    ],
)
def test_read_back_is_taken_with_enter_or_put_right(then: tuple[str, ...], answer: str) -> None:
    """The caller's words stay with whatever the answer comes to."""
    screen, case = put((LONG, *then))
    assert "Put down as: 1" in screen
    (given,) = [one for one in case.findings if one.check]
    assert entry_data(given)["answer"] == answer
    assert given.note.startswith(LONG)


TALK = "it hops in tight turns, and the radio is from my cousin's blue boat"


@pytest.mark.parametrize(("said", "placed"), [("same", True), ("", False)])
def test_words_that_tell_no_more_keep_nobody_parked(
    tmp_path: Path, said: str, *, placed: bool
) -> None:
    """Struck words hold milder advice back; those of which somebody says what they tell do not."""
    screen, case = ring(tmp_path, TALK, "", "", said, "done")
    assert "Not understood" in screen
    assert case.not_placed == ()
    assert bool(case.told_again) == placed
    assert bool(case.left_aside) != placed
    last = " ".join(screen.rsplit("Drive advice given:", 1)[1].split())
    assert ("PARKED" in last) != placed


def test_what_is_not_understood_is_asked_though_an_answer_was_asked_first(tmp_path: Path) -> None:
    """What was ticked may have to be asked; what was done before and the rest come all the same."""
    screen, _ = ring(tmp_path, f"P0735, {TALK}", "", "none of these", "", "same", "done")
    assert "1 of 8" in screen.split("worked on, before?")[0]
    assert "Not understood" in screen


def test_who_has_nothing_to_choose_is_not_asked_about_choosing(tmp_path: Path) -> None:
    """It is always in, or sees to it by itself: no question presumes a lever or a knob."""
    words = "it hops and binds in tight turns, it always drives all four wheels, nothing to choose"
    _, case = ring(tmp_path, words, "", "", *["no idea"] * 12)
    assert case.family["shift"] == "none"
    asked = {str(one.check) for one in case.findings if one.check}
    assert asked
    assert not asked & {"road-surface", "hard-to-leave-four-wheel-drive", "engaged-on-the-move"}


def test_an_answer_tells_how_it_is_built(tmp_path: Path) -> None:
    words = ("it hops in tight turns", "", "", "?", "there is nothing to choose, it decides itself")
    _, case = ring(tmp_path, *words, "done")
    assert case.family["shift"] == "none"


def test_what_was_spoken_of_and_then_answered_so_is_no_more_to_be_looked_at() -> None:
    """Met by a stranger: the boot was told to be split, answered as split, and still to be seen."""
    told = LogEntry(told="the rubber there has a slit", means=(MEANT,), seat=Seat.CALL)
    case = replace(new_case("a", {"unit": "both"}, Seat.CALL), findings=(told,))
    session = open_session(open_packs(shipped_packs()), case, Seat.CALL)
    assert session.to_see == (MEANT,)
    (asked,) = (
        check.id
        for check in session.book.checks.values()
        if Seat.CALL in check.seats and (torn := check.answer("split")) and MEANT in torn.shows
    )
    session.answer(asked, "whole")
    assert session.to_see == (MEANT,), "that it is whole has to be seen"
    session.answer(asked, "split", corrects=1)
    assert not session.to_see


@pytest.mark.parametrize(
    ("meant", "advice"),
    [
        # A rubber that is torn through makes the floor hum; nothing comes apart by it.
        ("centre-rubber-torn", Drive.LIMP),
        # Short of oil it can seize any minute; somebody has to look before it turns a wheel.
        ("oil-low", Drive.PARKED),
        ("joint-cap-moves", Drive.PARKED),
    ],
)
def test_what_has_to_be_looked_at_holds_no_harder_than_it_could_be(
    meant: str, advice: Drive
) -> None:
    """Common practice, no source: to the shop where it is looked at, unless that may be too far."""
    told = LogEntry(told="and the thing there", means=(meant,), seat=Seat.CALL)
    case = replace(new_case("a", {"unit": "both"}, Seat.CALL), findings=(told,))
    session = open_session(open_packs(shipped_packs()), case, Seat.CALL)
    assert session.verdict.drive.advice is Drive.PARKED, "of what nobody placed nothing is known"
    session.answer("shaft-shudder-told", "shudders")
    assert session.to_see == (meant,)
    assert session.verdict.drive.advice is advice
