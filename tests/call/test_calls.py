"""Six calls from the first word to the sheet."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.book.seal import unseal
from headwater.book.tables import Seat

from .conftest import CALLERS, Calls, Play, Ring

ADVICE = {
    "dangerous-leak": ("STOP", "short of oil"),
    "wind-up-dry-road": ("ONLY SO FAR", "wound-up driveline"),
    "plastic-in-the-drain": ("ONLY SO FAR", "Crumbs can block the oil screen"),
    "speed-code": ("OK", "was asked about"),
    "just-a-sensor": ("OK", "was asked about"),
    "makes-a-noise": ("ONLY SO FAR", "bearing on its way to seizing"),
}
SPOKEN_WORDS_A_MINUTE = 150
SECONDS_TO_ANSWER = 8


def _flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", CALLERS)
def test_the_last_drive_advice_is_the_right_one(name: str, calls: Calls) -> None:
    _, out, err = calls[name]
    assert err == ""
    word, reason = ADVICE[name]
    given = _flat(out.split("Drive advice given")[1].split("What was said")[0])
    assert given[3:].startswith(word), "after its mark"
    assert reason in given


@pytest.mark.parametrize("name", CALLERS)
def test_within_eight_questions_and_four_minutes(name: str, calls: Calls) -> None:
    """No call asks more than eight questions, and read aloud they take less than four minutes."""
    _, out, _ = calls[name]
    asked = re.findall(r"^(\d) of 8   (.*(?:\n {9}\D.*)*)", out, re.M)
    assert 1 <= len({number for number, _ in asked}) <= 8
    words = sum(len(text.split()) for _, text in asked)
    minutes = words / SPOKEN_WORDS_A_MINUTE + len(asked) * SECONDS_TO_ANSWER / 60
    assert minutes < 4.0


@pytest.mark.parametrize("name", CALLERS)
def test_nothing_is_asked_twice_and_always_visible(name: str, calls: Calls) -> None:
    """Every question comes once, and above each stand advice, live chains and what to bring."""
    _, out, _ = calls[name]
    screens = out.split("-" * 78)[1:]
    questions = [re.search(r"^\d of 8   (.*)", screen, re.M) for screen in screens]
    texts = [found.group(1) for found in questions if found]
    assert len(texts) == len(screens)
    assert len(set(texts)) == len(texts)
    for screen in screens:
        for label in ("Drive    ", "Live     ", "Bring    "):
            assert f"\n{label}" in screen
        block = screen.split("\n> ")[0]
        assert block.count("\n") <= 24, "the screen of one question fits a small terminal"


@pytest.mark.parametrize("name", CALLERS)
def test_no_remedy_is_named(name: str, calls: Calls, caller_book: Book) -> None:
    """Nothing but a released plan says what to do with a part."""
    _, out, _ = calls[name]
    told, *plan = out.split("Plan, origin first")
    before_plan = _flat(told)
    for record in caller_book.conditions.values():
        actions = [
            *unseal(record.dispositions),
            *(unseal(record.origin.corrections) if record.origin else ()),
        ]
        for action in actions:
            assert _flat(action.text) not in before_plan
    assert not re.search(r"\b(replace it|fit (a )?new|order (a )?new|renew)\b", before_plan)
    steps = re.findall(r"^  -? ?[^:]+: (\w+)\. ", plan[0], re.M) if plan else []
    assert set(steps) <= {"advise", "inspect"}, "no part is acted on before the shop has seen it"


def test_wanting_just_a_sensor_is_answered(calls: Calls) -> None:
    """The caller is told not to buy it, what else it may be, and what the shop looks at first."""
    _, out, _ = calls["just-a-sensor"]
    told = _flat(out.split("wants just a sensor")[1].split("> ")[0])
    assert told.startswith('Say: "Please do not buy anything for the output speed sensor')
    assert "wiring of the speed sensor chafed" in told
    assert "The shop first checks:" in told


def test_wanting_the_pads_is_answered(calls: Calls) -> None:
    """'The pads' means a fork with its pads while the crumbs point there."""
    _, out, _ = calls["plastic-in-the-drain"]
    told = _flat(out.split("wants the pads")[1].split("> ")[0])
    assert "fork with its pads yet" in told


def test_advice_eases_only_when_danger_is_asked_away(calls: Calls) -> None:
    """A speed code is limited once it is named, and drivable after what could seize was denied."""
    _, out, _ = calls["speed-code"]
    advice = re.findall(r"^Drive    \S\S (STOP|LEAVE|ONLY SO FAR|OK)", out, re.M)
    assert advice[0] == "LEAVE", "nothing is known yet"
    assert "ONLY SO FAR" in advice
    assert advice[-1] == "OK"


def test_one_person_on_the_phone_proves_nothing(calls: Calls) -> None:
    """Wind-up on a dry road: told, and by far the likeliest, but all of it is one person's word.

    So the call neither settles nor eases the advice, and nothing is bought.
    """
    status, out, _ = calls["wind-up-dry-road"]
    assert status == 1
    assert "Settled" not in out
    assert "What the caller told is explained." not in out
    leading = _flat(out.split("Live chains, likeliest first\n  - ")[1]).split(" - ")[0]
    assert leading.startswith("driven on dry, firm road in locked four-wheel drive")
    assert leading.endswith("(over 99 %)")
    assert "Do not buy yet" in out


def test_sheet_as_markdown_and_json(play: Play, tmp_path: Path) -> None:
    """The sheet is written as Markdown that a caller's words cannot break, and as JSON alone."""
    words = "<script>x</script> [oil](http://spots) *spots* | oil spots"
    typed = [words, "", "few spots", "", "", "since the <b>oil</b> change", *["no"] * 12]
    status, out, err = play("call", "m.yaml", "--sheet", "m.md", "--json", typed=typed)
    data = json.loads(out)
    assert status == 1
    assert data["complaint"] == words
    assert data["drive"]["advice"] in ("stop", "parked", "limp", "ok")
    assert data["said"][1]["note"] == "since the <b>oil</b> change"
    assert data["minutes"]["shop"] > 0
    assert data["cost"] is None
    assert data["shop_first"][0]["why"].startswith("it shows whether: ")
    assert "1 of 8" in err
    _, sheet = (tmp_path / "m.md").read_text(encoding="utf-8").split("\n", 1)
    assert "<" not in sheet.replace("&lt;", "")
    assert "[oil](" not in sheet
    assert "\\*spots\\*" in sheet
    assert "## Drive advice given" in sheet


def test_sheet_that_cannot_be_written_costs_one_line(play: Play, ring: Ring) -> None:
    """A wrong path for the sheet is noticed before the first question, with status 2."""
    status, _, err = play("call", "w.yaml", "--sheet", "none/w.md", caller=ring("wind-up-dry-road"))
    assert status == 2
    assert err.count("\n") == 1
    assert not Path("w.yaml").exists(), "said before the call, not after it"


def test_broken_off_and_resumed(play: Play, ring: Ring, calls: Calls) -> None:
    """A dead line loses nothing: the call goes on with the next question and the same count."""
    status, out, err = play("call", "b.yaml", caller=ring("speed-code", 4))
    assert status == 2
    assert "go on with 'headwater call b.yaml'" in err
    broken_at = re.findall(r"^(\d) of 8   (.*)", out, re.M)[-1]
    _, again, _ = play("call", "b.yaml", caller=ring("speed-code", again=True))
    resumed = re.findall(r"^(\d) of 8   (.*)", again, re.M)
    assert resumed[0] == broken_at
    _, whole, _ = calls["speed-code"]
    assert out.split("Call sheet")[0].count(" of 8 ") + len(resumed) - 1 == whole.count(" of 8 ")
    assert (
        again.split("Drive advice given")[1].split("Saved in")[0]
        == (whole.split("Drive advice given")[1].split("Saved in")[0])
    )


def test_a_finished_call_goes_on_when_it_is_rung_again(play: Play, ring: Ring) -> None:
    """First what is new, then further questions, counted anew; the advice stands above them."""
    play("call", "n.yaml", caller=ring("plastic-in-the-drain"))
    before = Path("n.yaml").read_text(encoding="utf-8")
    typed = ["it drops out of low by itself", "", "no", "done"]
    _, out, _ = play("call", "n.yaml", typed=typed)
    assert "This call was finished. What is new?" in out
    assert out.index("\nDrive    ") < out.index("What is new?")
    assert "1 of 8   " in out
    assert "drops out of low" in out.split("What was said")[1]
    assert Path("n.yaml").read_text(encoding="utf-8").startswith(before), "nothing is lost"


def test_commands_at_the_desk(play: Play) -> None:
    """Help, list, why, back, also, later and done do what help says."""
    typed = ["oil spots", "", "few spots", "help", "why", "list", "", "nothing", "back", "opened"]
    typed += ["also it smells burnt", "", "later", "wants the flux thing", "done"]
    status, out, _ = play("call", "d.yaml", typed=typed)
    assert status == 1
    flat = _flat(out)
    assert "they want just a part" in flat
    assert "Trouble within a few hundred miles of work" in flat
    assert "Taken back: Since when does it do this" in flat
    assert "Type what the caller says" in flat
    said = _flat(out.split("What was said")[1].split("Live chains")[0])
    assert "the case was opened" in said
    assert "smells of burning oil" in said
    assert "Please do not buy anything yet" in flat
    assert "Ended by you." in flat


def test_quit_before_the_first_word_leaves_no_file(play: Play) -> None:
    """Nothing is written before the caller has said anything."""
    status, _, err = play("call", "q.yaml", typed=["", ""])
    assert status == 2
    assert "nothing was answered yet" in err
    assert not Path("q.yaml").exists()


def test_the_case_file_is_at_the_seat_call(play: Play, ring: Ring) -> None:
    """Every answer stands in the file with its seat, the complaint in the caller's words."""
    play("call", "f.yaml", caller=ring("speed-code"))
    text = Path("f.yaml").read_text(encoding="utf-8")
    assert f"seat: {Seat.CALL}" in text
    assert "complaint: the reader shows P0735" in text
    entries = sum(text.count(f"- {{{kind}:") for kind in ("check", "told", "struck"))
    assert entries == text.count("seat: call,")
