"""Units drawn ahead: they begin at once, are the same as drawn anew, and are nobody's fault."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from drill.test_cli import Drill, answer_words, solution

from headwater.cli import ahead
from headwater.drill import shelf as module
from headwater.drill.exercise import Wish, draw, draw_again
from headwater.drill.progress import read_progress
from headwater.drill.shelf import Shelf, drawing_alone, shelf_for
from headwater.session.openbook import OpenBook


@pytest.fixture
def shelf(practised: OpenBook, tmp_path: Path) -> Shelf:
    return shelf_for(tmp_path / "cache", practised.book)


@pytest.mark.parametrize("level", [1, 3, 5])
def test_a_unit_drawn_again_is_the_one_that_was_drawn(practised: OpenBook, level: int) -> None:
    near = ("bore-burns-pads",) if level < 5 else ()
    exercise, recipe = draw(practised, Wish(level, 3, near, "vent-blows-seal"))
    again = draw_again(practised, recipe)
    assert again is not None
    assert (again.unit, again.family) == (exercise.unit, exercise.family)
    told = [(order.check, order.purpose, order.answer) for order in exercise.planner.orders]
    assert [(order.check, order.purpose, order.answer) for order in again.planner.orders] == told
    assert again.planner.minutes == exercise.planner.minutes


def test_what_waits_is_taken_once_and_found_again(practised: OpenBook, shelf: Shelf) -> None:
    drawn = shelf.stock(practised, Wish(2, 5))
    assert shelf.ready(2) == 1
    taken = shelf.next(2, (), "")
    assert taken == Wish(2, 5)
    assert shelf.next(2, (), "") is None
    again = shelf.exercise(practised, taken)
    assert again.unit == drawn.unit
    assert not hasattr(again.done, "orders")  # the planner has not worked anew


def test_never_the_chain_of_before_and_the_weak_ones_first(
    practised: OpenBook, shelf: Shelf
) -> None:
    plain = shelf.stock(practised, Wish(2, 5))
    chain = str(plain.unit.chains[0].chain)
    assert shelf.next(2, (), chain) is None
    weak = Wish(2, 6, ("dirt-burns-pads",), chain)
    shelf.stock(practised, weak)
    assert shelf.next(2, ("dirt-burns-pads",), chain) == weak
    assert shelf.next(1, (), "") is None
    assert shelf.next(2, ("dirt-burns-pads",), "") == Wish(2, 5)  # rather than a wait


@pytest.mark.parametrize("damage", ["", "\n", "torn\nxyz\n", "{}", "\x00\xff", "cut", "other sum"])
def test_a_bad_shelf_is_no_fault(practised: OpenBook, shelf: Shelf, damage: str) -> None:
    assert shelf.path is not None
    shelf.stock(practised, Wish(1, 1))
    text = shelf.path.read_text(encoding="utf-8")
    bad = {"cut": text[:-20], "other sum": "0" + text[1:] if text[0] != "0" else "1" + text[1:]}
    shelf.path.write_text(bad.get(damage, damage), encoding="utf-8")
    assert shelf.next(1, (), "") is None
    assert shelf.exercise(practised, Wish(1, 1)).unit
    assert len(shelf.units()) == 1


def test_a_shelf_of_another_book_or_another_program_is_not_read(
    practised: OpenBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = shelf_for(tmp_path, practised.book)
    bare = type(practised.book)(packs=practised.book.packs, digest="other")
    assert shelf_for(tmp_path, bare).path != own.path
    monkeypatch.setattr(module, "_ROOMS", ("simulate",))
    assert shelf_for(tmp_path, practised.book).path != own.path
    assert shelf_for(None, practised.book) == Shelf(None)


def test_a_shelf_that_cannot_be_kept_is_no_fault(practised: OpenBook, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    shelf = shelf_for(tmp_path / "file", practised.book)
    assert shelf == Shelf(None)
    assert shelf.exercise(practised, Wish(1, 1)).unit
    assert shelf.next(1, (), "") is None
    with drawing_alone(shelf) as alone:
        assert not alone


def test_one_draws_at_a_time(shelf: Shelf) -> None:
    with drawing_alone(shelf) as first, drawing_alone(shelf) as second:
        assert (first, second) == (True, False)


class Started:
    """Stands for the process that draws ahead."""

    def __init__(self) -> None:
        self.commands: list[list[str]] = []

    def __call__(self, command: Sequence[str], **_settings: Any) -> None:
        self.commands.append([*command])


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Started:
    monkeypatch.setenv("HEADWATER_CACHE", str(tmp_path / "cache"))
    found = Started()
    monkeypatch.setattr(subprocess, "Popen", found)
    return found


def test_units_made_ready_begin_at_once_and_tell_nothing(
    practice: Path, practised: OpenBook, started: Started, tmp_path: Path
) -> None:
    drill = Drill(practice)
    assert drill("ready", "--level", "5", "--units", "1") == "level 5: 1 waiting\n"
    assert not started.commands
    shelf = shelf_for(tmp_path / "cache", practised.book)
    waiting = shelf.units()[0].recipe.wish
    path = tmp_path / "p.yaml"
    who = ("--who", "ana", "--progress", str(path))
    began = time.monotonic()
    shown = drill("solve", "--level", "5", *who, typed="list\nquit\n", status=2)
    assert time.monotonic() - began < 2.0
    left = read_progress(path)["ana"].open
    assert left is not None
    assert left.wish == waiting
    assert shelf.path is not None
    exercise = shelf.exercise(practised, waiting)
    for words in answer_words(exercise):
        assert words not in shown + drill.err + shelf.path.read_text(encoding="utf-8")
    told = drill("solve", *who, typed=solution(exercise))
    assert "Score: 100 of 100" in told
    typed = started.commands[-1]
    assert typed[1:9] == ["-m", "headwater", "drill", "ready", "--level", "5", "--units", "2"]
    assert typed[-4:] == [*who]
    assert ahead.AHEAD == 2


def test_without_a_cache_nothing_is_drawn_ahead(practice: Path) -> None:
    drill = Drill(practice)
    drill("ready", status=2)
    assert drill.err.strip().endswith("let HEADWATER_CACHE name a folder, or leave it out")
    drill("ready", "--units", "0", status=2)
    assert "a whole number from 1 to 50" in drill.err
