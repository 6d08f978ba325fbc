"""Two signs of danger in one breath: what to do is said of both, and none hides the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from headwater.case.read import read_case

from .conftest import play_in


def test_a_second_sign_does_not_wipe_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    typed = ["it is rolling away", "danger somebody is under it", "", "", "", "done"]
    _, out, _ = play_in("call", "c.yaml", typed=typed)
    last = " ".join(out.split("Drive advice given")[1].split())
    assert "chock the wheels" in last
    assert "Call the rescue service first" in last
    assert set(read_case(Path("c.yaml")).outside) == {"rolling-away", "somebody-under-it"}


def test_a_sign_taken_back_leaves_room_for_the_right_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    typed = ["it is rolling away", "0", "danger 2", "", "", "done"]
    _, out, _ = play_in("call", "c.yaml", typed=typed)
    assert read_case(Path("c.yaml")).outside == ("fire",)
    assert "Call the fire brigade now" in out


def test_one_of_several_signs_is_taken_back_by_its_number(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two alarms one was false: the other stays, and nobody guesses which one 0 means."""
    monkeypatch.chdir(tmp_path)
    typed = ["it is rolling away and there is fire under it", "0 1", "", "", "done"]
    _, out, _ = play_in("call", "c.yaml", typed=typed)
    assert "1. Fire, or flames" in out
    assert read_case(Path("c.yaml")).outside == ("rolling-away",)
    _, out, _ = play_in("call", "d.yaml", typed=[typed[0], "0 3", "0", "", "", "done"])
    assert "'3' is not among 1 to 2." in out
    assert read_case(Path("d.yaml")).outside == ()


def test_a_false_alarm_taken_back_leaves_the_true_one_of_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Met by a stranger: 0 for a false alarm took back the hot wheel that was told before it."""
    monkeypatch.chdir(tmp_path)
    play_in("call", "c.yaml", typed=["a wheel is hot and smokes and drags", "", "", "", "done"])
    before = read_case(Path("c.yaml")).outside
    assert before
    typed = ["it is rolling away", "0", "", "", "done"]
    _, out, _ = play_in("call", "c.yaml", typed=typed)
    assert "It rolls away" in out
    assert set(read_case(Path("c.yaml")).outside) == set(before)
