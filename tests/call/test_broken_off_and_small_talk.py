"""What became of calls that were broken off, of small talk, and of words about a job."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from call.test_what_strangers_met import given_last, ring
from headwater import api
from headwater.book.tables import Drive
from headwater.case.read import read_case

EARLIER = "worked on, before?"
AGAIN = "and the speedometer needle jumps"


@pytest.mark.parametrize("words", ["the driveshaft is hanging down", "it rolled away in park"])
def test_a_sign_of_danger_is_never_nothing(tmp_path: Path, words: str) -> None:
    """Neither on its sheet, nor where somebody rings again and knows of nothing more."""
    first = ring(tmp_path, words, "", "")
    again = ring(tmp_path, "", "", *["no"] * 12)
    for out in (first, again):
        sheet = out.split("Call sheet")[1]
        assert not re.search(r"[Nn]othing (amiss|that the driveline|abnormal)", sheet)
    assert given_last(again) is Drive.STOP


def test_words_before_anything_is_confirmed_are_kept(tmp_path: Path) -> None:
    ring(tmp_path, "it hops in tight turns", AGAIN)
    case = read_case(tmp_path / "a.yaml")
    assert case.told == ("it hops in tight turns", AGAIN)
    assert case.not_placed == case.told
    out = ring(tmp_path, "", "", "done")
    case = read_case(tmp_path / "a.yaml")
    assert not case.not_placed, out
    assert {"hop-on-tight-turns", "speedometer"} <= {str(entry.check) for entry in case.findings}


def test_the_question_about_work_before_is_put_until_it_is_answered(tmp_path: Path) -> None:
    assert EARLIER in ring(tmp_path, "it hops in tight turns", "")
    assert EARLIER in ring(tmp_path)
    out = ring(tmp_path, "new chain fitted last month", "nothing for years", "done")
    assert EARLIER in out
    assert read_case(tmp_path / "a.yaml").before
    assert EARLIER not in ring(tmp_path, "done")


def test_what_only_another_seat_can_see_is_asked_about(tmp_path: Path) -> None:
    """The caller repeats what a garage said: nobody on the phone can look, but there is more."""
    out = ring(tmp_path, "a garage found the chain stretched", "1", "", *["no"] * 12)
    assert re.search(r"^1 of 8", out, re.M), out
    assert "Nothing amiss" not in out


@pytest.mark.parametrize(
    ("words", "earlier", "told"),
    [
        ("it hops again, it began two weeks ago, can you look at it", "", False),
        ("the noise changed again last week", "", False),
        ("it hops in tight turns again", "it started three weeks ago", False),
        ("it hops in tight turns again", "it began when we bought it a year ago", False),
        ("it hops in tight turns again", "you put a new chain in two weeks ago", True),
        ("you rebuilt it last month and it hops in tight turns", "", True),
    ],
)
def test_the_line_about_a_job_is_for_who_tells_of_one(
    tmp_path: Path, words: str, earlier: str, told: bool
) -> None:
    out = ring(tmp_path, words, "", earlier, "", "", "no", "done")
    assert ("Nobody has looked at it yet" in " ".join(out.split())) is told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("tuesday appointment", "an appointment on Tuesday please"),
        ("12,000 miles", "it has done 12,000 miles"),
        ("anna farm", "this is Anna from the farm"),
        ("sister law drives", "my sister in law drives it"),
        ("wedding saturday", "we have a wedding on Saturday"),
        ("henrik", "my name is Henrik"),
        ("normal", "in low there is a normal tone that was always there"),
    ],
)
def test_small_talk_tells_nothing(words: str, said: str) -> None:
    assert not api.open_book().which_may_tell([words], [said])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("frumps", "it whines and sort of Frumps"),
        ("zorks", "It Zorks On Tuesday"),
        ("noise tuesday", "a noise on Tuesday"),
        ("0836", "it says 0836"),
        ("p0836", "it says P0836"),
        ("bad trouble", "there is bad trouble"),
        ("normal", "the tone in low isn't normal"),
        ("stopped saturday", "it stopped on Saturday"),
    ],
)
def test_what_may_complain_holds(words: str, said: str) -> None:
    assert api.open_book().which_may_tell([words], [said])


@pytest.mark.parametrize(
    ("beside", "advice"),
    [
        ("we have a wedding on Saturday", Drive.OK),
        ("it also frumbles on Saturday", Drive.PARKED),
    ],
)
def test_struck_small_talk_holds_no_advice(tmp_path: Path, beside: str, advice: Drive) -> None:
    """A lamp that blinked, every danger behind it asked about; and something beside it."""
    words = f"the four-wheel-drive lamp blinked once, {beside}"
    out = ring(tmp_path, words, "", "", "", "nothing for years", *["no", "no"] * 12)
    assert given_last(out) is advice, out
