"""Hoist and bench in process: a case from its first question to settled, without any script."""

from __future__ import annotations

import pytest

from headwater.case.read import raw_answer, read_case
from headwater.session.session import open_session
from web.conftest import NOW, Standing
from web.seating import Sitter

EVIL = "<script>alert(1)</script>"


def _findings(yard: Standing, name: str) -> list[tuple[str, object]]:
    case = read_case(yard.folder / f"{name}.yaml")
    return [(str(e.check), raw_answer(e.answer)) for e in case.findings if e.check and e.answer]


def test_a_stored_case_is_answered_at_the_bench_until_it_is_settled(yard: Standing) -> None:
    stored = read_case(yard.folder / "bore.yaml")
    truth = {str(e.check): raw_answer(e.answer) for e in stored.findings if e.check and e.answer}
    bench = Sitter.begins(yard, "bench", stored.complaint, name="again")
    asked = []
    for _ in range(40):
        if "/confirm" in bench.page:
            bench.confirm()
        elif "/earlier" in bench.page:
            bench.send("earlier")
        elif "/clear-up" in bench.page:
            bench.send("clear-up", how="none")
        elif 'name="attribute"' in bench.page:
            name = bench.attribute
            bench.send("unit", attribute=name, value=stored.family[name])
        elif not bench.check:
            break
        else:
            asked.append(bench.check)
            given = truth.get(bench.check, "dont-know")
            measured = str(given)[:1].isdigit()
            bench.answer(**({"reading": str(given)} if measured else {"given": str(given)}))
    assert {"fork-pads", "bearing-float", "bore-look"} <= set(asked)
    assert "The verdict can no longer change at this seat." in bench.text
    assert "RELEASED shift fork" in bench.text
    made = open_session(yard.house.book, read_case(yard.folder / "again.yaml"))
    told = open_session(yard.house.book, stored)
    assert made.settled
    assert made.released == told.released
    assert yard.faults == []


def test_a_part_is_held_until_its_origin_is_named_and_says_why(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    assert "HELD shift fork: no origin of" in bench.text
    assert "would tell:" in bench.text
    assert "RELEASED" not in bench.text


def test_a_reading_is_taken_with_its_unit_and_drawn_against_its_limit(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    bench.until("bearing-float", "dont-know")
    assert 'inputmode="decimal"' in bench.page
    assert "That is past-limit." in bench.answer(reading="0,9", **{"unit-reading": "mm"})
    assert 'role="img" aria-label="0.9 mm: past limit.' in bench.page
    assert _findings(yard, "pads")[-1] == ("bearing-float", "0,9 mm")


@pytest.mark.parametrize(
    ("typed", "unit", "told"),
    [
        ("45", "in", "it can only be 0 mm to 5 mm"),
        ("41 mil", "mm", "write thou or mm"),
        ("much", "mm", "write a number and its unit"),
        (EVIL, "mm", ""),
    ],
)
def test_a_reading_that_cannot_be_is_asked_back_in_one_line(
    yard: Standing, typed: str, unit: str, told: str
) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    bench.until("bearing-float", "cannot-check")
    before = _findings(yard, "pads")
    bench.answer(reading=typed, **{"unit-reading": unit})
    assert bench.check == "bearing-float"
    assert 'role="alert"' in bench.page
    assert told in bench.text
    assert EVIL not in bench.page
    assert _findings(yard, "pads") == before


def test_the_inputs_of_bench_arithmetic_are_fields_with_their_units(yard: Standing) -> None:
    bench = Sitter.at(yard, "overload", "bench")
    bench.send("tell", words="the chain is worn")
    bench.confirm()
    bench.until("chain-length", "dont-know")
    inputs = {"in-measured": "104", "in-pitch": "12.7", "in-pitches": "8"}
    units = {"unit-in-measured": "mm", "unit-in-pitch": "mm"}
    bench.answer(**inputs, **units)
    assert "past limit" in bench.text
    given = dict(_findings(yard, "overload"))["chain-length"]
    assert given == {"measured": "104 mm", "pitch": "12.7 mm", "pitches": "8"}


def test_a_finding_nobody_asked_for_is_told_in_words(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    shown = bench.send("tell", words="the front bore is bright on one side")
    assert "bright on one side" in shown
    bench.confirm()
    assert ("bore-look", "bright") in _findings(yard, "pads")
    case = read_case(yard.folder / "pads.yaml")
    assert "the front bore is bright on one side" in case.told


def test_words_that_nobody_confirmed_are_kept_when_one_stops(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    bench.send("tell", words="zzz qqq")
    assert bench.post("finish").status_code == 303
    assert read_case(yard.folder / "pads.yaml").not_placed == ("zzz qqq",)


def test_words_that_are_taken_back_leave_nothing(yard: Standing) -> None:
    before = (yard.folder / "pads.yaml").read_text()
    bench = Sitter.at(yard, "pads", "bench")
    bench.send("tell", words="the front bore is bright on one side")
    bench.send("forget")
    assert (yard.folder / "pads.yaml").read_text() == before


def test_any_answer_is_looked_at_again_and_may_be_taken_back(yard: Standing) -> None:
    bench = Sitter.at(yard, "bore", "bench")
    bench.send("again", number="2")
    assert bench.check == "fork-pads"
    assert "dark or melted" in bench.text
    bench.answer("sound")
    with yard.house.reading("bore") as session:
        assert session.answers["fork-pads"].settled == "sound"
        assert len([f for f in session.findings if f.check == "fork-pads"]) == 2
    bench.send("again", number="3")
    bench.send("take-back", number="3")
    with yard.house.reading("bore") as session:
        assert "bearing-float" not in session.answers


def test_back_goes_to_the_first_answer_and_puts_each_question_again(yard: Standing) -> None:
    bench = Sitter.at(yard, "bore", "bench")
    for check in ("bore-look", "bearing-float", "fork-pads", "drops-out-asked"):
        bench.send("back")
        assert bench.check == check
    bench.post("back")
    assert "Traceback" not in bench.look()


def test_what_cannot_be_looked_at_is_not_put_again(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    first = bench.check
    bench.send("later", check=first)
    second = bench.check
    assert second != first
    for given in ("cannot-check", "gone", "dont-know"):
        put = bench.check
        bench.answer(given)
        assert bench.check not in (put, second)


def test_the_rest_is_gone_ends_the_asking_and_is_undone_by_back(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    bench.send("rest-gone")
    assert bench.check == ""
    bench.send("back")
    assert bench.check


def test_nothing_to_tell_is_no_reason_not_to_be_asked(yard: Standing) -> None:
    bench = Sitter.begins(yard, "hoist", "")
    assert "/tell" in bench.page
    bench.send("go-on")
    bench.send("earlier", words="rebuilt 350 miles ago")
    case = read_case(yard.folder / f"{NOW[:10]}-1.yaml")
    assert case.before is not None
    assert case.before.told == "rebuilt 350 miles ago"


def test_a_unit_not_opened_yet_has_nothing_off(yard: Standing) -> None:
    Sitter.begins(yard, "bench", "it whines", name="shut", closed="yes", vehicle="sledge 4")
    case = read_case(yard.folder / "shut.yaml")
    assert case.unit.removed == ()
    assert case.vehicle == "sledge 4"


def test_a_new_case_has_a_name_that_is_free(yard: Standing) -> None:
    first = Sitter.begins(yard, "bench", "it whines")
    second = Sitter.begins(yard, "bench", "it whines")
    assert first.path == f"/case/{NOW[:10]}-1/at/bench"
    assert second.path == f"/case/{NOW[:10]}-2/at/bench"


@pytest.mark.parametrize("path", ["/case/pads/at/roof", "/begin/roof", "/case/none/at/bench"])
def test_a_seat_that_is_none_has_no_page(yard: Standing, path: str) -> None:
    assert yard.inside().get(path).status_code in (404, 409)


def test_a_deed_or_a_check_that_is_none_is_refused(yard: Standing) -> None:
    bench = Sitter.at(yard, "pads", "bench")
    assert bench.post("dance").status_code == 404
    assert bench.post("answer", check="none", answer="yes").status_code == 409
    assert bench.post("answer", check="fork-pads", answer="whatever").status_code == 303
    assert 'role="alert"' in bench.page or "is not one of" in bench.look()
    assert yard.faults == []
