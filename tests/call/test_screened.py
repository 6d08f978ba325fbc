"""What is said in mid-call is listened to as the first words are; what is wished is no trouble."""

from __future__ import annotations

from pathlib import Path

import pytest

from .test_signs_asked_first import ring

WHINES = "it whines in every range"


@pytest.mark.parametrize(
    ("answer", "outside"),
    [
        ("nothing, but the temperature needle was at the red on the last hill", "engine-overheats"),
        ("never opened, and the brake pedal is soft since yesterday", "brakes-trouble"),
        ("since the wheels were changed it clonks at the left front", "wheel-working-loose"),
        ("there is an egg on the tyre", "tyre-coming-apart"),
    ],
)
def test_an_answer_is_screened_as_the_first_words(
    tmp_path: Path, answer: str, outside: str
) -> None:
    screen, case = ring(tmp_path, WHINES, "", "", answer, "", "", "done", "done", "done")
    assert outside in case.outside
    assert "STOP, do not drive." in screen.rsplit("Drive advice given:", 1)[1]


def test_what_is_told_of_earlier_work_is_screened(tmp_path: Path) -> None:
    told = "new mounts were fitted on Saturday, and the brake pedal is soft since"
    _, case = ring(tmp_path, WHINES, "", told, "", "done", "done", "done")
    assert "brakes-trouble" in case.outside


def test_a_wish_is_no_trouble(tmp_path: Path) -> None:
    """A price asked for beside a complaint is listed nowhere to be ticked, and ends no call."""
    words = "can you give me a price, the axle howls on the pull"
    screen, _ = ring(tmp_path, words, "", "", "done", "done")
    assert "no trouble of the driveline: Only a price" not in screen
    assert "1 of 8" in screen


def test_first_words_taken_back_are_kept_nowhere(tmp_path: Path) -> None:
    screen, case = ring(tmp_path, "it hops in tight turns", "back", WHINES, "", "", "done")
    assert "Taken back" in screen
    assert case.complaint == ""
    assert case.told == (WHINES,)
    assert "hops" not in (tmp_path / "a.yaml").read_text(encoding="utf-8")


def test_asking_alone_clears_nothing(tmp_path: Path) -> None:
    """Words that nobody understood, and 'no' to a few questions: parked, and nothing else said."""
    screen, _ = ring(tmp_path, "it feels kind of odd somehow", "", "", "", *["no"] * 9)
    assert "4 of 8" not in screen
    assert "Nothing abnormal" not in screen
    assert "LEAVE IT PARKED" in screen.rsplit("Drive advice given:", 1)[1]


def test_words_named_outright_say_how_it_is_shifted(tmp_path: Path) -> None:
    _, case = ring(tmp_path, "stuck in four-wheel drive when I turn the knob", "", "", "done")
    assert case.family.get("shift") == "electric"
