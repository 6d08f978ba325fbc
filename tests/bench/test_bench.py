"""The bench session as a technician meets it, driven from typed lines and from a file."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest

from headwater.api import open_book
from headwater.case.plain import entry_data
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run

FAMILY = "drive=chain,housing=magnesium,rear-output=slip-yoke,low-range=planetary"
BURNT = ["range fork pads burnt", "", "", "skip"]
PADS = "range-fork-pads"
"""What is found, its confirmation, no earlier work, and nothing more of what the unit is."""


def bench(
    case: Path, typed: list[str], *options: str, family: str = FAMILY
) -> tuple[int, str, str]:
    """Return exit status, screen and error line of one session."""
    out, err = StringIO(), StringIO()
    words = ["bench", str(case), *options]
    if not case.exists() and family:
        words += ["--family", family]
    stdin = StringIO("".join(line + "\n" for line in typed))
    status = run(words, Terminal(out, err, stdin, width=80))
    return status, out.getvalue(), err.getvalue()


@pytest.fixture
def case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return Path("unit.yaml")


def test_a_burnt_fork_alone_is_held(case: Path) -> None:
    status, screen, error = bench(case, [*BURNT, "done"])
    assert (status, error) == (1, "")
    assert "HELD: range fork with its pads" in screen
    assert "Check next" in screen
    assert "new pads" not in screen


def test_the_measurement_names_the_origin_and_orders_the_plan(case: Path) -> None:
    """The float alone is one act; the groove, rolled past its limit, is the second."""
    alone = [*BURNT, "input-bearing-float: 0.045 in"]
    status, screen, _ = bench(case, [*alone, "done"])
    assert status == 1
    assert "front housing half: scrap" not in screen
    status, screen, _ = bench(case, ["front-groove: past-limit", "done"])
    assert status == 0
    plan = screen[screen.rindex("Plan, in this order") :]
    places = [
        plan.index(part)
        for part in ("sliding range hub:", "front housing half:", "input bearing:", "range fork")
    ]
    assert places == sorted(places)


def test_a_small_float_is_shimmed_and_the_fork_stays_held(case: Path) -> None:
    status, screen, _ = bench(case, [*BURNT, "input-bearing-float: 0.015 in", "done"])
    assert status == 1
    assert "RELEASED input bearing: shim" in screen
    assert "HELD range fork" in screen


def test_every_answer_is_in_the_file_before_the_next_question(case: Path) -> None:
    bench(case, BURNT)
    answers = [(str(e.check), e.answer.data) for e in read_case(case).findings if e.answer]
    assert answers == [("range-fork-pads", "burnt")]


def test_the_end_of_input_costs_one_line_and_loses_nothing(case: Path) -> None:
    status, _, error = bench(case, BURNT)
    assert status == 2
    assert error.count("\n") == 1
    assert "all answers are saved in unit.yaml" in error
    status, screen, _ = bench(case, ["done"])
    assert status == 1
    assert "Going on." in screen
    assert "dark, melted, cracked" in screen


def test_back_takes_the_last_answer_back_and_asks_it_again(case: Path) -> None:
    status, screen, _ = bench(case, [*BURNT, "back", "sound", "done"])
    assert "Taken back" in screen
    assert status == 0
    assert "HELD     " not in screen
    answers = [e.answer.data for e in read_case(case).findings if e.answer]
    assert answers == ["burnt", "taken-back", "sound"]


def test_dont_know_and_cannot_check_are_answers(case: Path) -> None:
    status, _, _ = bench(case, [*BURNT, "?", "x", "gone", "done"])
    assert status == 1
    words = [e.answer.data for e in read_case(case).findings if e.answer]
    assert words == ["burnt", "dont-know", "cannot-check", "gone"]


def test_no_question_is_put_twice_while_others_are_left(case: Path) -> None:
    bench(case, [*BURNT, *["?"] * 12, "done"])
    checks = [e.check for e in read_case(case).findings if e.check]
    assert len(checks) == len(set(checks)) >= 10


def test_later_puts_a_question_off(case: Path) -> None:
    _, screen, _ = bench(case, [*BURNT, "later", "done"])
    questions = [line for line in screen.splitlines() if line.startswith("How:") is False]
    assert questions
    assert read_case(case).findings[-1].check == "range-fork-pads"


def test_a_wrong_answer_costs_one_line(case: Path) -> None:
    _, screen, error = bench(case, [*BURNT, "purple", "done"])
    assert error == ""
    assert "'purple' is not one of" in screen or "purple" in screen
    assert [entry.check for entry in read_case(case).findings if entry.check] == [PADS]


@pytest.mark.parametrize(
    ("typed", "told"),
    [("0.045", "unit"), ("0.045 kg", "length"), ("0.045 inn", "in"), ("nan in", "nan")],
)
def test_a_reading_says_how_to_mend_it(case: Path, typed: str, told: str) -> None:
    _, screen, _ = bench(case, [*BURNT, f"input-bearing-float: {typed}", "done"])
    line = next(ln for ln in screen.splitlines() if ln.startswith("input-bearing-float: "))
    assert told in line
    assert [entry.check for entry in read_case(case).findings if entry.check] == [PADS]


def test_a_reading_at_the_limit_decides_nothing(case: Path) -> None:
    status, screen, _ = bench(case, [*BURNT, "input-bearing-float: 0.020 in", "done"])
    assert "Too close to call" in screen
    assert status == 1


def test_why_tells_what_each_answer_would_leave(case: Path) -> None:
    _, screen, _ = bench(case, [*BURNT, "why", "done"])
    assert "What each answer would leave of the origins now in question:" in screen


def test_words_find_a_check_and_nonsense_finds_none(case: Path) -> None:
    typed = ["find chain jumps under load", "", "", "find under the lens", "", "find qqqq", "done"]
    _, screen, _ = bench(case, [*BURNT, *typed])
    assert "chain jumps under load" in screen
    assert "Which is it?" in screen
    assert "No check fits these words" in screen


def test_back_asks_once_more_what_the_unit_is(case: Path) -> None:
    """What was told of the unit is told anew; a further 'back' goes on to the answers."""
    typed = ["range fork pads burnt", "", "", "7", "2", "back", "1", "back", "back", "melted"]
    _, screen, _ = bench(case, [*typed, "done"], family="drive=chain")
    assert screen.count("Taken back, if you answer it anew") == 2
    assert "Taken back: " in screen
    told = [entry.family for entry in read_case(case).findings if entry.family]
    assert [list(one) for one in told] == [list(told[0])] * 2
    assert told[0] != told[1]


def test_nothing_is_released_while_something_told_is_not_understood(case: Path) -> None:
    words = "range fork pads burnt and the ashtray is ugly"
    told = [words, "", "a frumpy one", "", "skip"]
    proven = ["input-bearing-float: 0.045 in", "front-groove: past-limit"]
    status, screen, _ = bench(case, [*told, *proven])
    assert status == 1
    assert "front housing half: scrap" not in screen
    assert "HELD: front housing half" in screen
    assert "part of what was told is not understood yet" in screen
    assert screen.count("Not understood: ashtray ugly") == 2, "once at first, once at the end"
    status, screen, _ = bench(case, ["", "done"])
    assert status == 0
    assert "front housing half: scrap" in screen


def test_who_does_not_know_what_words_tell_leaves_them_aside(case: Path) -> None:
    typed = ["range fork pads burnt and the ashtray is ugly", "", "?", "", "skip", "done"]
    _, screen, _ = bench(case, typed)
    assert screen.count("Not understood: ashtray ugly") == 1
    assert read_case(case).not_placed == ()


def test_the_family_is_asked_for_when_not_given(case: Path) -> None:
    """What was found comes first; then what matters of the unit, and no more than that."""
    _, screen, _ = bench(case, [*BURNT[:3], "", "7", "2", "skip", "done"], family="drive=chain")
    assert "'7' is not one of 1 to" in screen
    assert screen.index("What was found") < screen.index("It matters to what is asked next")
    assert "Does the case have a low range?" not in screen, "it has a range fork"
    assert "How is the front output driven?" not in screen, "it was given"
    assert "seals" not in screen.split("Where does")[0], "it does not matter here"
    family = read_case(case).family
    assert family.pop("drive") == "chain"
    ((name, value),) = family.items()
    attribute = open_book().book.attributes[name]
    assert value == list(attribute.values)[1], "2 was typed, then 'skip'"
    assert screen.index(attribute.ask) < screen.index("'7' is not one of 1 to")


def test_what_was_told_of_the_unit_stays_where_the_input_ends(case: Path) -> None:
    """The input ends at the second question about the unit: the first is answered all the same."""
    _, _, error = bench(case, [*BURNT[:3], "2"], family="drive=chain")
    assert "the input ended" in error
    assert len(read_case(case).family) == 2


def test_a_family_given_later_is_taken_into_the_case(case: Path) -> None:
    """What the case says already is not written again; a wrong word is one line."""
    bench(case, [*BURNT, "done"], family="drive=chain")
    bench(case, ["done"], "--family", "housing=magnesium,drive=chain")
    added = [dict(entry.family) for entry in read_case(case).findings if entry.family]
    assert {"housing": "magnesium"} in added
    status, _, error = bench(case, ["done"], "--family", "housing=wood")
    assert (status, error.count("\n")) == (2, 1)


def test_which_unit_it_is_is_taken_from_the_words(case: Path) -> None:
    typed = ["the axle howls when I accelerate", "", "", "skip", "done"]
    bench(case, typed, family="")
    assert read_case(case).family == {"unit": "drive-axle"}


def test_what_was_said_stays_and_can_be_struck(case: Path) -> None:
    words = "range fork pads burnt and the ashtray is ugly"
    _, screen, _ = bench(case, [words, "", "strike ashtray: a joke", "", "skip", "done"])
    assert "told, not placed" not in screen.split("Case unit")[-1]
    assert "Left aside: 'ashtray ugly'." in screen
    told = read_case(case)
    assert (told.told, told.not_placed) == ((words,), ())
    assert told.findings[-1].note == "a joke"


def test_what_was_not_placed_is_shown_with_the_verdict(case: Path) -> None:
    words = "range fork pads burnt and the ashtray is ugly"
    _, screen, _ = bench(case, [words, "", "a frumpy one", "", "", "skip", "done"])
    assert "Not understood: ashtray ugly." in screen
    assert f'"{words}"' in screen
    assert "told, not placed: 'ashtray ugly'" in screen


def test_small_talk_is_left_aside_by_whoever_heard_it(case: Path) -> None:
    words = "range fork pads burnt and the ashtray is ugly"
    _, screen, _ = bench(case, [words, "", "", "", "skip", "done"])
    assert "told, not placed" not in screen
    told = read_case(case)
    assert (told.told, told.not_placed) == ((words,), ())
    assert [entry.note for entry in told.findings if entry.struck]


def test_a_complaint_given_with_the_command_is_understood(case: Path) -> None:
    _, screen, _ = bench(case, ["", "", "skip", "done"], "--complaint", "range fork pads burnt")
    assert "What was found or complained of?" not in screen
    assert [str(entry.check) for entry in read_case(case).findings if entry.check] == [PADS]


def test_numbers_drop_and_add_and_more_words_add(case: Path) -> None:
    typed = ["it hops in tight turns and jumps out of low", "2", "range fork pads burnt", "", ""]
    bench(case, [*typed[:-1], "some other time", "", "", "skip", "done"])
    checks = {str(entry.check) for entry in read_case(case).findings if entry.check}
    assert checks == {"hop-on-tight-turns", PADS}
    assert read_case(case).not_placed == ("jumps low", "some other time")


def test_a_check_named_help_and_question_mark_are_no_complaint(case: Path) -> None:
    _, screen, _ = bench(case, ["?", "help", f"{PADS}: melted", "", "", "skip", "done"])
    assert screen.count("take the last answer back") == 2
    told = read_case(case)
    assert told.told == ()
    assert [(str(e.check), e.answer and e.answer.data) for e in told.findings if e.check] == [
        (PADS, "burnt")
    ]


@pytest.mark.parametrize(
    ("family", "told"),
    [
        ("drive", "attribute=value"),
        ("drve=chain", "did you mean 'drive'"),
        ("drive=chian", "did you mean 'chain'"),
    ],
)
def test_a_wrong_family_is_one_line(case: Path, family: str, told: str) -> None:
    status, _, error = bench(case, [], family=family)
    assert status == 2
    assert told in error
    assert error.count("\n") == 1
    assert not case.exists()


def test_a_closed_unit_pays_for_what_must_be_opened(case: Path) -> None:
    _, screen, _ = bench(case, [*BURNT, *["later"] * 4, "done"], "--closed")
    assert "first: " in screen
    removed = [str(e.removed) for e in read_case(case).findings if e.removed]
    assert removed
    assert len(removed) == len(set(removed))


def test_json_goes_alone_to_the_output(case: Path) -> None:
    status, screen, talk = bench(case, [*BURNT, "done"], "--json")
    data = json.loads(screen)
    assert status == 1
    assert data["parts"][0]["disposition"] == "held"
    assert data["parts"][0]["action"] is None
    assert "range-fork pads burnt" in talk


def test_a_file_of_answers_drives_a_session(case: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    lines = ["# the technician", *BURNT, "done", ""]
    answers.write_text("\n".join(lines), encoding="utf-8")
    status, screen, _ = bench(case, [], "--answers", str(answers))
    assert status == 1
    assert "> range fork pads burnt" in screen


def test_nothing_is_wider_than_the_screen(case: Path) -> None:
    _, screen, _ = bench(case, [*BURNT, "why", "state", "list", "done"])
    assert max(map(len, screen.splitlines())) <= 80


def test_words_that_nobody_confirmed_are_listed_once_more(case: Path) -> None:
    """The input ended at the list: it stands there again, and the words are told once."""
    _, screen, _ = bench(case, ["range fork pads burnt"])
    assert "range-fork pads burnt" in screen
    assert read_case(case).not_placed == ("range fork pads burnt",)
    _, screen, _ = bench(case, ["", "", "skip", "done"])
    assert "[x] range-fork pads burnt" in screen
    told = read_case(case)
    assert told.told == ("range fork pads burnt",)
    assert told.not_placed == ()
    assert any(entry.check == PADS for entry in told.findings)


LONG = "they look dark and somewhat melted at one end I would say"


@pytest.mark.parametrize(
    ("then", "answer"), [(("",), "burnt"), (("sound",), "sound"), (("back", ""), "")]
)
def test_words_that_only_fit_are_read_back_before_they_are_taken(
    case: Path, then: tuple[str, ...], answer: str
) -> None:
    """Also where the check is named; a command in its place is done, and nothing is taken."""
    _, screen, _ = bench(case, ["", "", f"range-fork-pads: {LONG}", *then, "done", "done"])
    assert "Put down as: " in screen
    found = [one for one in read_case(case).findings if one.check == "range-fork-pads"]
    assert [entry_data(one)["answer"] for one in found] == ([answer] if answer else [])
    assert all(one.note == LONG for one in found)
