from __future__ import annotations

import io
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from headwater.cli.main import Terminal, run
from headwater.drill.exercise import Exercise, draw_exercise
from headwater.drill.progress import Apprentice, progress_text, read_progress
from headwater.drill.run import BACK
from headwater.drill.score import HINT, score_run, statement_of
from headwater.session.openbook import OpenBook

SEEDS = (1, 2, 3)


class Drill:
    """Runs `headwater drill` on the book to practise on."""

    def __init__(self, book: Path) -> None:
        self.book = book
        self.err = ""

    def __call__(self, *argv: str, typed: str = "", status: int = 0) -> str:
        out, err = io.StringIO(), io.StringIO()
        terminal = Terminal(out, err, io.StringIO(typed), width=80)
        got = run(["drill", *argv, "--book", str(self.book)], terminal)
        self.err = err.getvalue()
        assert got == status, out.getvalue() + self.err
        return out.getvalue()


@pytest.fixture
def drill(practice: Path) -> Drill:
    return Drill(practice)


def solution(exercise: Exercise) -> str:
    """Return what the planner would type."""
    said = statement_of(exercise.planner)
    looks = list(dict.fromkeys(order.check for order in exercise.planner.orders))
    proofs = " ".join(str(looks.index(check) + 1) for check in said.proofs)
    lines = [order.check for order in exercise.planner.orders]
    lines += ["done", *said.origins, "", *said.steps, "", proofs, *said.parts, ""]
    return "\n".join(lines) + "\n"


def answer_words(exercise: Exercise) -> Iterator[str]:
    """Yield the ids and titles that would give the answer away."""
    book = exercise.reasoner.book
    for chain in exercise.unit.chains:
        yield str(chain.chain)
        yield chain.title
        for cid in chain.path()[:-1]:
            yield cid
            yield book.conditions[cid].title


@pytest.mark.parametrize("level", [1, 2, 3, 4, 5])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_answer_is_nowhere_before_the_debrief(
    drill: Drill, practised: OpenBook, tmp_path: Path, level: int, seed: int
) -> None:
    exercise = draw_exercise(practised, level, seed)
    path = tmp_path / "p.yaml"
    argv = ("solve", "--level", str(level), "--seed", str(seed), "--who", "ana")
    shown = drill(*argv, "--progress", str(path), typed="help\nlist\nquit\n", status=2)
    kept = path.read_text(encoding="utf-8")
    for words in answer_words(exercise):
        assert words not in shown + drill.err + kept
    for check in exercise.unit.opening:
        assert check in shown
    assert str(seed) in kept


@pytest.mark.parametrize("level", [1, 5])
def test_typing_what_the_planner_orders_gets_full_marks(
    drill: Drill, practised: OpenBook, level: int
) -> None:
    exercise = draw_exercise(practised, level, 2)
    shown = drill("solve", "--level", str(level), "--seed", "2", "--json", typed=solution(exercise))
    data = json.loads(shown)
    assert data["score"]["total"] == 100
    assert data["run"] == data["planner"]
    assert tuple(data["origins"]) == exercise.unit.origins
    assert "Debrief" not in drill.err


def test_an_exercise_left_open_goes_on_where_it_was(
    drill: Drill, practised: OpenBook, tmp_path: Path
) -> None:
    exercise = draw_exercise(practised, 2, 3)
    first, *rest = solution(exercise).splitlines(keepends=True)
    path = str(tmp_path / "p.yaml")
    who = ("--who", "ana", "--progress", path)
    drill("solve", "--level", "2", "--seed", "3", *who, typed=first, status=2)
    assert "stays open" in drill.err
    left = read_progress(Path(path))["ana"].open
    assert left is not None
    assert left.orders == (first.strip(),)
    drill("solve", "--level", "4", *who, status=2)
    assert "is open (level 2, seed 3)" in drill.err
    shown = drill("solve", *who, typed="".join(rest))
    assert "Score: 100 of 100" in shown
    assert read_progress(Path(path))["ana"].done == 1


def test_a_missed_chain_is_written_down_and_solved_off_again(
    drill: Drill, practised: OpenBook, tmp_path: Path
) -> None:
    path = tmp_path / "p.yaml"
    who = ("--who", "ana", "--progress", str(path))
    drill("solve", "--seed", "1", *who, typed="done\n\n\n")
    chain = str(draw_exercise(practised, 1, 1).unit.chains[0].chain)
    record = read_progress(path)["ana"]
    assert (record.missed, record.last) == ({chain: 1}, chain)
    assert {line.split()[-1] for lines in record.reviews.values() for line in lines} == {"again"}

    def again(seed: int) -> Exercise:
        record = read_progress(path)["ana"]
        near = record.next_from(practised.book, datetime.now(UTC))
        return draw_exercise(practised, 1, seed, near, record.last)

    other = again(1)
    assert str(other.unit.chains[0].chain) != chain  # never the same unit in a row
    drill("solve", "--seed", "1", *who, typed=solution(other))
    seed = next(n for n in range(50) if str(again(n).unit.chains[0].chain) == chain)
    drill("solve", "--seed", str(seed), *who, typed=solution(again(seed)))
    record = read_progress(path)["ana"]
    assert record.missed == {}
    assert {lines[-1].split()[-1] for lines in record.reviews.values()} == {"good"}


def test_answers_may_come_from_a_file(drill: Drill, practised: OpenBook, tmp_path: Path) -> None:
    path = tmp_path / "answers.txt"
    path.write_text("# the planner's way\n" + solution(draw_exercise(practised, 1, 1)))
    shown = drill("solve", "--seed", "1", "--answers", str(path))
    assert "Score: 100 of 100" in shown


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        (["solve", "--who", "ana"], "go together"),
        (["solve", "--level", "9"], "9"),
        (["solve", "--seed", "-1"], "seed"),
        (["walk", "zebra"], "no chain fits"),
        (["order", "zebra"], "no chain fits"),
        (["walk", "--case", "no-such.yaml"], "no such file"),
        (["walk"], "required"),
    ],
)
def test_faults_are_one_line(drill: Drill, argv: list[str], told: str) -> None:
    drill(*argv, status=2)
    assert told in drill.err
    assert len(drill.err.splitlines()) == 1


def test_a_walk_goes_through_a_pipe_without_waiting(drill: Drill) -> None:
    waiting = drill("walk", "vent-blows-seal", typed="\n" * 12)
    piped = drill("walk", "vent-blows-seal")
    assert piped.replace("[Enter] \n", "") == waiting.replace("[Enter] \n", "")


def test_a_held_case_is_walked_and_leaves_status_1(drill: Drill, tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("case: x\nfindings:\n  - {check: pads-look, answer: burnt}\n")
    assert "HELD" in drill("walk", "--case", str(path), status=1)
    data = json.loads(drill("walk", "--case", str(path), "--json", status=1))
    assert "HELD" in json.dumps(data)


def test_order_as_data(drill: Drill, tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    who = ("--who", "ana", "--progress", str(path))
    data = json.loads(drill("order", "vent-blows-seal", "--json", *who, typed="1 2\n1\n1\n"))
    assert data["path"] == ["vent-blocked", "seal-leaks"]
    right = data["links"] == [1, 1] and data["evidence"] == [2, 2]
    assert read_progress(path)["ana"].missed == ({} if right else {"vent-blows-seal": 1})


def test_quit_quits_wherever_it_is_typed(drill: Drill) -> None:
    whole = drill("walk", "vent-blows-seal")
    left = drill("walk", "vent-blows-seal", typed="quit\n")
    assert "Stop 2" in whole
    assert "Stop 2" not in left
    after_told = drill("walk", "vent-blows-seal", typed="\nquit\n")
    assert "tempting repair" in after_told
    assert "Stop 2" not in after_told
    drill("order", "vent-blows-seal", typed="1 2\nquit\n", status=2)
    assert "stopped" in drill.err
    for typed in ("quit\n", "done\nquit\n", "done\nbore-worn\n\nquit\n"):
        drill("solve", "--seed", "1", typed=typed, status=2)
        assert "stopped; nothing was kept" in drill.err


def test_words_that_fit_several_chains_are_asked_about_by_title(drill: Drill) -> None:
    shown = drill("walk", "pads", typed="1\n" + "\n" * 20)
    assert "'pads' fits several; which one?" in shown
    assert "1  bore burns pads" in shown
    assert "Found: pads burnt" in shown
    assert "bore-burns-pads" not in shown
    drill("walk", "pads", status=2)
    assert "may mean 'bore burns pads'" in drill.err


def test_a_reading_is_judged_by_the_apprentice(tmp_path: Path) -> None:
    winch = Path(__file__).resolve().parent.parent / "frozen" / "winch"
    drill, path = Drill(winch), tmp_path / "p.yaml"
    argv = ("solve", "--level", "1", "--seed", "3")
    who = ("--who", "ana", "--progress", str(path))
    look = "bearing-float\nzebra\npast limit\n"
    shown = drill(*argv, *who, typed=look, status=2)
    assert "read with: dial indicator" in shown
    assert "limit: in limits up to 0.3 mm" in shown
    assert "0.15 mm: in limits" not in shown
    left = read_progress(path)["ana"].open
    assert left is not None
    assert left.judged == {"1": "past-limit"}
    told = drill("solve", *who, typed="done\n\n\n\n")
    assert "judged: past limit" in told
    assert "you took it for past limit; with this gauge it is in limits" in told


def test_hints_cost_looks_are_taken_back_and_one_may_give_up(
    drill: Drill, practised: OpenBook, tmp_path: Path
) -> None:
    exercise = draw_exercise(practised, 2, 3)
    first = exercise.planner.orders[0].check
    path = tmp_path / "p.yaml"
    who = ("--who", "ana", "--progress", str(path))
    typed = f"hint\nvent-look\nback\nback\n{first}\nquit\n"
    shown = drill("solve", "--level", "2", "--seed", "3", *who, typed=typed, status=2)
    assert f"[{first}]" in shown.split("Hint: ")[1].split("> ")[0]
    assert "taken back: vent-look" in shown
    assert "There is nothing to take back." in shown
    left = read_progress(path)["ana"].open
    assert left is not None
    assert (left.orders, left.hints) == (("vent-look", BACK, first), 1)
    told = drill("solve", *who, typed="".join(solution(exercise).splitlines(keepends=True)[1:]))
    assert "1 hint (5 points)" in told
    assert "Score: 100" not in told
    told = drill("solve", "--level", "2", "--seed", "3", typed="give up\n")
    assert "Score: 0 of 100" in told
    assert "Origin:" in told


def test_minutes_of_a_look_taken_back_are_spent(practised: OpenBook) -> None:
    exercise = draw_exercise(practised, 2, 3)
    run = exercise.begin()
    before = run.chances()
    assert run.take_back() is None
    made = run.order(exercise.book.checks["vent-look"])
    assert run.take_back() == made
    assert (run.minutes, run.orders, run.chances()) == (made.minutes, [], before)
    for order in exercise.planner.orders:
        run.order(exercise.book.checks[order.check])
    said = statement_of(run)
    score = score_run(exercise, run, said)
    assert score.minutes < 20
    assert len(score.useless) == len(score_run(exercise, exercise.planner, said).useless)
    run.hints = 2
    assert score_run(exercise, run, said).total == score.total - 2 * HINT


def test_a_unit_counts_once_however_often_it_is_solved(
    drill: Drill, practised: OpenBook, tmp_path: Path
) -> None:
    path = tmp_path / "p.yaml"
    who = ("--who", "ana", "--progress", str(path))
    told = []
    for _ in range(2):
        record = read_progress(path)["ana"] if path.exists() else Apprentice()
        path.write_text(progress_text({"ana": replace(record, last="", missed={}, reviews={})}))
        typed = solution(draw_exercise(practised, 1, 1))
        told.append(drill("solve", "--seed", "1", *who, typed=typed))
    assert "not counted again" not in told[0]
    assert "You had this unit before; it is not counted again." in told[1]
    record = read_progress(path)["ana"]
    assert (record.done, record.points, len(record.history)) == (1, 100, 1)
    assert record.open is None
