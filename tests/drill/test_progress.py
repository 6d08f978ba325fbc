from __future__ import annotations

import os
from pathlib import Path

import pytest

from headwater.drill.progress import Apprentice, OpenExercise, open_progress, read_progress
from headwater.errors import HeadwaterError


def test_what_is_kept_reads_back_the_same(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    left = OpenExercise(
        level=2,
        seed=7,
        book="0123",
        orders=("a-b", "c"),
        judged={"2": "past-limit"},
        near=("x-y",),
        not_again="z",
    )
    reviews: dict[str, tuple[str, ...]] = {
        "a -> b": ("2031-04-09 08:30 again", "2031-04-10 09:00 good")
    }
    record = Apprentice(done=2, points=150, missed={"x-y": 2}, reviews=reviews, last="z", open=left)
    open_progress(path, "Ana: 'no'").keep(record)
    assert read_progress(path) == {"Ana: 'no'": record}
    assert list(tmp_path.iterdir()) == [path]


def test_one_apprentice_leaves_the_others_alone(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    open_progress(path, "ana").keep(Apprentice(done=1))
    open_progress(path, "ben").keep(Apprentice(done=5))
    assert {n: r.done for n, r in read_progress(path).items()} == {"ana": 1, "ben": 5}


def test_missed_chains_count_up_and_solved_ones_down() -> None:
    once = Apprentice().after(10, ("a", "b"), missed=True)
    twice = once.after(20, ("a",), missed=True)
    assert (twice.done, twice.points, twice.missed) == (2, 30, {"a": 2, "b": 1})
    solved = twice.after(100, ("a", "b"), missed=False)
    assert solved.missed == {"a": 1}
    assert solved.after_order("a", missed=False).missed == {}


def test_a_finished_exercise_is_no_longer_open() -> None:
    record = Apprentice(open=OpenExercise(level=1, seed=1, book="x"))
    assert record.after(5, (), missed=False).open is None


def test_without_a_file_nothing_is_written(tmp_path: Path) -> None:
    kept = open_progress(None, "").keep(Apprentice(done=1))
    assert kept.record.done == 1
    assert list(tmp_path.iterdir()) == []


def test_a_crash_while_writing_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "p.yaml"
    progress = open_progress(path, "ana").keep(Apprentice(done=1))
    before = path.read_text(encoding="utf-8")

    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(HeadwaterError, match="no space left"):
        progress.keep(Apprentice(done=2))
    assert path.read_text(encoding="utf-8") == before
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no progress file"),
        ("apprentices: {ana: {done: 1.5}}", "whole number"),
        ("apprentices: {ana: {done: -1}}", "from 0 up"),
        ("apprentices: {ana: {reviews: {a: [yesterday good]}}}", "a review is"),
        ("apprentices: {ana: {reviews: {a: ['2031-04-09 08:30 fine']}}}", "a review is"),
        ("apprentices: {ana: {dnoe: 1}}", "dnoe"),
        ("apprentices: {ana: {missed: {a: -2}}}", "from 0 up"),
        ("apprentices: {ana: {open: {level: 1, seed: 1}}}", "'book' is missing"),
        ("apprentices: {ana: {open: {level: 9, seed: 1, book: x}}}", "a level is one of 1, 2"),
    ],
)
def test_a_bad_file_is_one_line_with_its_place(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(HeadwaterError, match=told) as caught:
        read_progress(path)
    assert str(path) in str(caught.value)
