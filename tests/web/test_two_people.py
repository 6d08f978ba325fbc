"""Two people on one case: nobody's answer is lost, both are told, and nothing is taken twice."""

from __future__ import annotations

import pytest

from headwater.case.read import raw_answer, read_case
from web.conftest import Standing
from web.seating import Sitter

ASK = "Does the fork run free with the lever home?"
PRESSED, FREE = "the rod pushes the fork", "the fork runs free"


def _answers(yard: Standing, name: str = "pads") -> list[tuple[str, object]]:
    case = read_case(yard.folder / f"{name}.yaml")
    return [(str(e.check), raw_answer(e.answer)) for e in case.findings if e.check and e.answer]


def _both(yard: Standing) -> tuple[Sitter, Sitter]:
    """Return two people who see the same question."""
    ada, ben = (Sitter.at(yard, "pads", "bench", who) for who in ("Ada", "Ben"))
    assert ada.check == ben.check == "lever-travel"
    return ada, ben


def test_an_answer_given_meanwhile_stands_beside_ones_own_and_both_are_told(
    yard: Standing,
) -> None:
    ada, ben = _both(yard)
    before = len(_answers(yard))
    ada.answer("pressed")
    ben.answer("free")
    assert _answers(yard)[before:] == [("lever-travel", "pressed"), ("lever-travel", "free")]
    assert f"Ada: {ASK} {PRESSED}. You answered it, too: both stand" in ben.text
    ada.look()
    assert f"Ben: {ASK} {FREE}. You answered it, too: both stand" in ada.text
    with yard.house.reading("pads") as session:
        assert [f.corrects for f in session.findings[before:]] == [None, None]
        assert session.verdict.disputed or session.verdict.evidence.disputed
    for sitter in (ada, ben):
        assert "disagree" in sitter.text
        assert sitter.check == "lever-travel", "what is disputed is looked at once more"


def test_an_answer_to_another_check_is_news_and_no_more(yard: Standing) -> None:
    ada, ben = _both(yard)
    ada.answer("free")
    ben.look()
    assert f"Ada: {ASK} {FREE}." in ben.text
    assert "You answered it, too" not in ben.text
    assert ben.check != "lever-travel", "nobody is asked what is answered"
    ben.answer("dont-know")
    assert "Ada:" not in ben.text, "what was seen is news no more"


def test_an_answer_that_somebody_takes_back_is_news(yard: Standing) -> None:
    ada, ben = _both(yard)
    ada.answer("free")
    ada.send("back")
    ben.look()
    assert f"Ada: {ASK} the answer was taken back." in ben.text
    assert ben.check == "lever-travel"


def test_the_same_form_sent_twice_counts_once(yard: Standing) -> None:
    ben = Sitter.at(yard, "pads", "bench", "Ben")
    sent = {"check": ben.check, "seen": ben.seen, "answer": "dont-know"}
    for _ in range(3):
        assert ben.post("answer", **sent).status_code == 303
    assert len([one for one in _answers(yard) if one[0] == sent["check"]]) == 1


def test_whoever_goes_back_to_an_older_page_corrects_their_own_answer(yard: Standing) -> None:
    ada, _ = _both(yard)
    sent = {"check": ada.check, "seen": ada.seen}
    ada.post("answer", **sent, answer="pressed")
    ada.post("answer", **sent, answer="free")
    with yard.house.reading("pads") as session:
        assert session.answers["lever-travel"].settled == "free"
        assert not session.verdict.evidence.disputed
        standing = [f for f in session.findings if f.check == "lever-travel"]
        assert [f.corrects for f in standing] == [None, len(_answers(yard)) - 1]


def test_two_who_correct_the_same_answer_leave_both_corrections(yard: Standing) -> None:
    ada, ben = (Sitter.at(yard, "pads", "bench", who) for who in ("Ada", "Ben"))
    for sitter in (ada, ben):
        sitter.send("again", number="1")
    ada.answer("sound")
    ben.answer("burnt")
    with yard.house.reading("pads") as session:
        corrects = [f.corrects for f in session.findings if f.check == "fork-pads"]
    assert corrects == [None, 1, None]


def test_a_terminal_that_has_the_case_open_is_said_in_one_line(yard: Standing) -> None:
    ben = Sitter.at(yard, "pads", "bench", "Ben")
    with yard.house.shelf.place("pads").open(lambda _: None):
        refused = ben.post("answer", check=ben.check, seen=ben.seen, answer="dont-know")
    assert refused.status_code == 409
    assert "open in another session" in refused.text
    ben.answer("dont-know")


@pytest.mark.parametrize("seen", ["", "-1", "999999999", "x", "²"])
def test_an_edition_that_is_none_harms_nothing(yard: Standing, seen: str) -> None:
    ben = Sitter.at(yard, "pads", "bench", "Ben")
    sent = {"check": ben.check, "seen": seen, "answer": "dont-know", "number": seen}
    assert ben.post("answer", **sent).status_code == 303
