"""The trainer's side on the terminal: the class list, tasks, and exercises on paper."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from drill.test_cli import Drill, answer_words, solution

from headwater.cli.main import Terminal, run
from headwater.drill.exercise import Wish, draw, draw_exercise
from headwater.drill.mistakes import Mistake
from headwater.drill.progress import (
    HISTORY,
    Apprentice,
    Lesson,
    Task,
    open_progress,
    read_progress,
)
from headwater.session.openbook import OpenBook

CHAIN = "bore-burns-pads"


class Room(Drill):
    """Runs `headwater class`."""

    def __call__(self, *argv: str, typed: str = "", status: int = 0) -> str:
        out, err = io.StringIO(), io.StringIO()
        terminal = Terminal(out, err, io.StringIO(typed), width=80)
        got = run(["class", *argv, "--book", str(self.book)], terminal)
        self.err = err.getvalue()
        assert got == status, out.getvalue() + self.err
        return out.getvalue()


@pytest.fixture
def room(practice: Path) -> Room:
    return Room(practice)


def test_the_class_list_tells_of_chains_and_kinds_of_mistake(room: Room, tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    made = [
        Lesson(at="2031-04-09 08:30", level=1, points=80, chains=(CHAIN,)),
        Lesson(
            at="2031-04-10 08:30",
            level=2,
            points=40,
            chains=(CHAIN, "gone-from-the-book"),
            mistakes=("missed-origin", "unread-limit"),
        ),
    ]
    ana = Apprentice()
    for lesson in made:
        ana = ana.after_lesson(lesson, missed=lesson.points < 60)
    open_progress(path, "ana").keep(ana)
    open_progress(path, "ben").keep(Apprentice(assigned=(Task(level=3),)))
    shown = room("list", "--progress", str(path))
    assert "ana: 2 exercises, 60 points on the average" in shown
    assert "bore burns pads: 2 times, best 80, last 40" in shown
    assert "missed origin 1, unread limit 1" in shown
    assert "gone-from-the-book: 1 time" in shown
    assert "ben: 0 exercises" in shown
    data = json.loads(room("list", "--progress", str(path), "--who", "ana", "--json"))
    (row,) = data["people"]
    assert (row["done"], row["passed"]) == (2, 1)
    assert row["mistakes"].keys() == set(Mistake)
    assert row["chains"][0] == {"chain": CHAIN, "times": 2, "best": 80, "last": 40}
    room("list", "--progress", str(path), "--who", "zed", status=2)
    assert "there is no 'zed' in it; there is: ana, ben" in room.err


def test_only_the_latest_exercises_are_kept() -> None:
    lesson = Lesson(at="", level=1, points=1)
    record = Apprentice(history=(lesson,) * HISTORY)
    assert len(record.after_lesson(lesson, missed=False).history) == HISTORY


def test_a_chosen_chain_is_drawn_and_is_not_said(practised: OpenBook) -> None:
    for seed in range(4):
        exercise, _ = draw(practised, Wish(2, seed, (CHAIN,), chosen=True))
        assert [str(chain.chain) for chain in exercise.unit.chains] == [CHAIN]


def test_what_is_assigned_is_the_next_exercise(
    room: Room, practised: OpenBook, tmp_path: Path
) -> None:
    path, drill = tmp_path / "p.yaml", Drill(room.book)
    args = ("--progress", str(path))
    room("list", *args, status=2)
    assert "there is no class here yet; 'headwater class assign --who NAME'" in room.err
    room("assign", *args, status=2)
    assert "nobody is in it yet; name somebody with --who" in room.err
    told = room("assign", *args, "--chain", CHAIN, "--level", "2", "--who", "ana", "--who", "ben")
    assert told.splitlines() == [
        "Assigned: level 2, a chosen chain, to ana, ben.",
        "Whoever has it begins with: headwater drill solve --who NAME --progress FILE",
    ]
    room("assign", *args, "--level", "1")
    assert read_progress(path)["ben"].assigned == (Task(level=2, chain=CHAIN), Task(level=1))
    shown = drill("solve", "--who", "ana", *args, typed="quit\n", status=2)
    record = read_progress(path)["ana"]
    assert record.open is not None
    assert record.open.chosen
    assert record.assigned == (Task(level=1),)
    exercise, _ = draw(practised, record.open.wish)
    assert str(exercise.unit.chains[0].chain) == CHAIN
    for words in answer_words(exercise):
        assert words not in shown + drill.err
    drill("solve", "--who", "ana", *args, typed=solution(exercise))
    (lesson,) = read_progress(path)["ana"].history
    assert (lesson.level, lesson.points, lesson.chains) == (2, 100, (CHAIN,))
    drill("solve", "--who", "ana", *args, typed="quit\n", status=2)
    assert read_progress(path)["ana"].assigned == ()


def test_what_somebody_asks_for_goes_before_what_is_assigned(room: Room, tmp_path: Path) -> None:
    path, drill = tmp_path / "p.yaml", Drill(room.book)
    args = ("--progress", str(path), "--who", "ana")
    room("assign", *args, "--level", "2")
    drill("solve", *args, "--level", "1", typed="quit\n", status=2)
    record = read_progress(path)["ana"]
    assert record.open is not None
    assert (record.open.level, record.assigned) == (1, (Task(level=2),))


def test_a_case_is_assigned_by_the_chain_it_came_to(
    room: Room, practised: OpenBook, tmp_path: Path
) -> None:
    case, path = tmp_path / "case.yaml", tmp_path / "p.yaml"
    text = "case: x\ncomplaint: said by the lame forester\nfindings:\n"
    text += "  - {check: pads-look, answer: burnt}\n"
    case.write_text(text)
    args = ("--progress", str(path), "--who", "ana")
    room("assign", *args, "--case", str(case), status=2)
    assert "names no chain of the book" in room.err
    drawn = (draw_exercise(practised, 2, seed) for seed in range(200))
    exercise = next(one for one in drawn if one.unit.origins == ("bore-worn",))
    lines = [f"  - {{check: {o.check}, answer: {o.answer}}}" for o in exercise.planner.orders]
    lines += [f"  - {{check: {c}, answer: {w}}}" for c, w in exercise.unit.opening.items()]
    case.write_text("case: x\nfindings:\n" + "\n".join(lines) + "\n")
    room("assign", *args, "--case", str(case))
    assert read_progress(path)["ana"].assigned == (Task(level=1, chain=CHAIN),)


@pytest.mark.parametrize("form", ["html", "md", ""])
def test_an_exercise_goes_on_paper_without_its_answers(
    room: Room, practised: OpenBook, tmp_path: Path, form: str
) -> None:
    exercise = draw_exercise(practised, 3, 4)
    argv = ("sheet", "--level", "3", "--seed", "4")
    out = tmp_path / f"sheet.{form}"
    written = ("-o", str(out)) if form else ()
    shown = room(*argv, *written)
    text = out.read_text(encoding="utf-8") if form else shown
    assert "Exercise sheet, level 3, number 4" in text
    for check in exercise.unit.opening:
        assert check in text
    for words in answer_words(exercise):
        assert words not in text
    answers = room(*argv, "--answers", *written, *(("--force",) if form else ()))
    text = " ".join((out.read_text(encoding="utf-8") if form else answers).split())
    assert "Answer sheet, level 3, number 4" in text
    _, looks = text.split("What each look tells")
    for order in exercise.planner.orders:
        assert practised.book.checks[order.check].ask in looks


def test_answers_are_to_a_sheet_that_is_named(room: Room, tmp_path: Path) -> None:
    room("sheet", "--answers", status=2)
    assert "name the number on its sheet, with --seed N" in room.err
    room("sheet", "-o", str(tmp_path / "x.txt"), status=2)
    assert "its ending does not say the form" in room.err
    room("sheet", "--chain", "zebra", status=2)
    assert "no chain fits" in room.err
