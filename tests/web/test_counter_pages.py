"""The counter in process: a call from its first word to its sheet, without any script."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from headwater import outputs
from headwater.book.tables import Seat
from headwater.case.read import read_case
from headwater.caseshelf import LedgerShelf
from headwater.session.call import Call
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.view.call import Ringing
from headwater.view.paper import texts_of
from headwater.web.house import House
from headwater.web.visits import Visits
from web.conftest import NOW, Standing
from web.seating import Sitter

EVIL = "<script>alert(1)</script>"
HOWLS = "it howls when it pulls"


def test_a_call_is_held_from_its_first_word_to_its_sheet(yard: Standing) -> None:
    call = Sitter.begins(yard, "call", HOWLS, name="rang", customer="forest guard", phone="118")
    assert "Is this what they tell?" in call.text
    assert re.search(r'value="1" checked> howls under load', call.page)
    call.confirm()
    assert "Was it here, or worked on, before?" in call.text
    call.send("earlier", words="")
    assert call.asked == "Was any work done on the winch before this began?"
    assert "1 of 8" in call.text
    call.send("want", words="the bearing")
    assert "Please do not buy anything for the front bearing yet." in call.text
    assert "do not buy: lip seal, front bearing, breather" in call.text
    assert "→" in call.text, "a live chain in plain words"
    call.answer("opened")
    assert "2 of 8" in call.text
    advised = call.advice
    assert advised.startswith(".. ONLY SO FAR, WITHIN LIMITS.")
    call.send("finish")
    assert "Call sheet: rang" in call.text
    assert call.advice == advised
    assert 'href="/begin/call" accesskey="n"' in call.page
    case = read_case(yard.folder / "rang.yaml")
    assert (case.customer, case.phone, case.complaint) == ("forest guard", "118", HOWLS)


def test_the_sheet_is_the_one_that_the_terminal_writes(yard: Standing) -> None:
    call = Sitter.begins(yard, "call", HOWLS, name="rang")
    call.confirm()
    call.send("earlier")
    call.answer("opened")
    call.send("finish")
    session = open_session(yard.house.book, read_case(yard.folder / "rang.yaml"), Seat.CALL)
    told = outputs.paper("call-sheet", Ringing(Call(session, lambda: 0.0), "Ended by you."))
    blocks = (*told.blocks, *(block for section in told.sections for block in section.blocks))
    for text in texts_of(blocks):
        assert " ".join(text.split()) in call.text


def test_a_danger_in_the_words_is_met_with_what_to_do_now_before_all_else(
    standing: Standing,
) -> None:
    call = Sitter.begins(standing, "call", "it jumps out of low, and smoke comes from underneath")
    sign = standing.house.book.book.emergencies["smoke-from-below"]
    first = call.text.index(sign.now[0])
    assert first < call.text.index("Is this what they tell?")
    call.confirm()
    assert call.advice.startswith("!! STOP")
    assert sign.now[0].rstrip(".") in call.advice
    assert call.check == "", "nobody is kept on the phone"
    assert "Whoever is safe rings again" in call.text


def test_a_danger_that_is_ticked_ends_the_asking_at_once(standing: Standing) -> None:
    call = Sitter.begins(standing, "call", "it jumps out of low range")
    sign = "loose-wheel"
    assert f'name="sign" value="{sign}">' in call.page
    call.send("confirm", row=["1"], sign=[sign], words="and it smells odd")
    assert call.advice.startswith("!! STOP")
    assert call.check == ""
    case = read_case(standing.folder / f"{NOW[:10]}-1.yaml")
    assert sign in case.outside
    assert "and it smells odd" in case.told


def test_a_danger_told_in_the_middle_of_a_question_comes_first(standing: Standing) -> None:
    call = Sitter.begins(standing, "call", "it jumps out of low range")
    call.confirm()
    call.send("earlier")
    assert call.check
    call.answer(words="no, but now there are flames")
    assert re.search(r'name="sign" value="fire" checked', call.page)
    call.confirm()
    assert call.advice.startswith("!! STOP")


def _asked(yard: Standing) -> Sitter:
    """Return a call at its first question."""
    call = Sitter.begins(yard, "call", HOWLS)
    call.confirm()
    call.send("earlier")
    assert call.check == "last-work"
    return call


def test_words_and_numbers_answer_as_at_the_terminal(yard: Standing) -> None:
    call = _asked(yard)
    call.answer(words="it was repaired in spring")
    call.answer(words="2")
    with yard.house.reading(f"{NOW[:10]}-1", Seat.CALL) as session:
        given = [judged.settled for judged in session.answers.values()]
    assert given[1:] == ["opened", "no"]


def test_a_vague_answer_is_asked_once_more_and_then_is_not_known(yard: Standing) -> None:
    call = _asked(yard)
    call.answer(words="hmm hmm")
    assert call.check == "last-work"
    assert "Ask: which is nearest: nothing was done; or it was opened?" in call.text
    call.answer(words="hmm hmm")
    assert call.check != "last-work"
    case = read_case(yard.folder / f"{NOW[:10]}-1.yaml")
    assert case.findings[-1].note == "hmm hmm"


def test_an_answer_that_may_be_turned_round_is_read_back_and_its_words_stay(yard: Standing) -> None:
    call = _asked(yard)
    words = "it was repaired in spring and then again on the way to the hut"
    call.answer(words=words)
    assert call.check == "last-work"
    assert "Put down as: 2 it was opened?" in call.text
    call.answer(words="1")
    assert call.check != "last-work"
    case = read_case(yard.folder / f"{NOW[:10]}-1.yaml")
    assert case.findings[-1].note == words


def test_words_that_tell_no_more_are_told_again(yard: Standing) -> None:
    call = Sitter.begins(yard, "call", f"{HOWLS}. qqq zzz")
    call.confirm()
    call.send("earlier")
    assert "It adds nothing to what was taken down" in call.text
    call.send("clear-up", how="again")
    case = read_case(yard.folder / f"{NOW[:10]}-1.yaml")
    assert not case.not_placed
    assert case.told_again
    assert not case.left_aside


def test_later_back_and_a_further_complaint(yard: Standing) -> None:
    call = _asked(yard)
    call.send("later", check="last-work")
    second = call.check
    assert second != "last-work"
    call.answer("no")
    call.send("back")
    assert call.check == second
    call.send("tell", words="also oil spots where it stood")
    call.send("confirm", row=["1"])
    with yard.house.reading(f"{NOW[:10]}-1", Seat.CALL) as session:
        assert session.answers["oil-spots"].settled == "yes"


def test_words_not_understood_are_asked_about_and_struck_with_a_reason(yard: Standing) -> None:
    call = Sitter.begins(yard, "call", f"{HOWLS}. qqq {EVIL} zzz")
    assert EVIL not in call.page
    call.confirm()
    call.send("earlier")
    assert "Does any of it tell what is wrong?" in call.text
    call.send("clear-up", how="none")
    case = read_case(yard.folder / f"{NOW[:10]}-1.yaml")
    assert not case.not_placed
    assert case.left_aside
    assert call.check == "last-work"


def test_a_call_that_was_ended_is_gone_on_with_when_it_rings_again(yard: Standing) -> None:
    call = _asked(yard)
    call.send("finish")
    other = Sitter.at(yard, f"{NOW[:10]}-1", "call")
    other.send("earlier")
    assert other.check == "last-work", "it was not over, and another person goes on"
    call.send("go-on")
    assert call.check == "last-work"


def test_a_call_goes_on_at_the_hoist_with_all_that_was_told(yard: Standing) -> None:
    call = _asked(yard)
    call.answer("opened")
    hoist = Sitter.at(yard, f"{NOW[:10]}-1", "hoist")
    assert HOWLS in hoist.text
    assert "it was opened" in hoist.text
    assert hoist.attribute == "drive"
    hoist.send("unit", attribute="drive", value="chain")
    assert hoist.check


def test_a_file_of_case_keeps_no_waiting_and_says_so(yard: Standing) -> None:
    call = _asked(yard)
    call.send("finish")
    assert "/hand-over" not in call.page
    refused = call.post("hand-over", waits="the hoist")
    assert refused.status_code == 409
    assert "headwater ledger init" in refused.text


@pytest.fixture
def counted(tmp_path: Path, winch: OpenBook) -> Iterator[Standing]:
    """A house over a ledger."""
    door = pytest.importorskip("headwater.ledger.door")
    ledger = door.make_ledger(str(tmp_path / "shop.ledger"), {})
    seconds, faults = [1000.0], list[Exception]()
    visits = Visits(lambda: seconds[0])
    house = House(winch, LedgerShelf(ledger), visits, lambda: NOW, faults.append)
    yield Standing(tmp_path, house, seconds, faults)
    assert faults == []
    ledger.close()


def test_a_call_is_handed_over_with_what_it_waits_for(counted: Standing) -> None:
    call = Sitter.begins(counted, "call", HOWLS, vehicle="sledge 4")
    call.confirm()
    call.send("earlier")
    call.send("finish")
    assert call.post("hand-over", waits="the hoist: oil level").headers["location"] == "/cases"
    listed = call.client.get("/cases").text
    assert "waiting for the hoist: oil level" in listed
    assert "sledge 4" in listed
    assert call.post("hand-over", waits="").status_code == 409
