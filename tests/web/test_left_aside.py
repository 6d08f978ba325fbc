"""What was told is taken back or left aside on the pages, as `0` and `strike` do at a terminal."""

from __future__ import annotations

import html
import io
import re
import shutil

import pytest

from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.session.intake import NOT_SO
from headwater.session.session import open_session
from web.conftest import NOW, Standing
from web.seating import Sitter

SMOKE = "it whines, and smoke comes from underneath"
EVIL = "<script>alert(1)</script>"
CASE = f"{NOW[:10]}-1"


def _struck(standing: Standing, name: str = CASE) -> list[tuple[str, str]]:
    case = read_case(standing.folder / f"{name}.yaml")
    return [(e.struck, e.note) for e in case.findings if e.struck]


def _kept(sitter: Sitter, deed: str) -> list[str]:
    """Return the words that a page offers for a deed."""
    form = rf'action="{sitter.path}/{deed}".*?name="words" value="([^"]*)"'
    return [html.unescape(one) for one in re.findall(form, sitter.page, re.DOTALL)]


def _dangerous(standing: Standing) -> Sitter:
    """Return a call that a danger has ended."""
    call = Sitter.begins(standing, "call", SMOKE)
    call.confirm()
    assert call.advice.startswith("!! STOP")
    assert call.check == ""
    return call


def test_a_danger_that_is_not_so_is_taken_back_and_the_call_goes_on(standing: Standing) -> None:
    call = _dangerous(standing)
    sign = standing.house.book.book.emergencies["smoke-from-below"]
    assert f"Danger, as told: {sign.title}" in call.text
    assert _kept(call, "not-so") == [sign.title]
    call.send("not-so", words=sign.title)
    assert _struck(standing) == [("smoke-from-below", NOT_SO)]
    assert not call.advice.startswith("!! STOP")
    assert _kept(call, "not-so") == []
    assert SMOKE in call.text, "the words stay"
    call.send("earlier")
    assert "Does any of it tell what is wrong?" in call.text, "the call goes on"
    assert "Whoever is safe rings again" not in call.text


def test_a_danger_told_in_an_earlier_call_is_taken_back_as_well(standing: Standing) -> None:
    _dangerous(standing)
    again = Sitter.at(standing, CASE, "call")
    assert again.advice.startswith("!! STOP")
    (sign,) = _kept(again, "not-so")
    again.send("not-so", words=sign)
    assert not again.advice.startswith("!! STOP")
    assert again.check or "/earlier" in again.page


def test_of_two_dangers_each_is_taken_back_by_itself(standing: Standing) -> None:
    call = Sitter.begins(standing, "call", "it whines")
    call.send("confirm", row=["1"], sign=["smoke-from-below", "loose-wheel"])
    first, second = _kept(call, "not-so")
    call.send("not-so", words=first)
    assert call.advice.startswith("!! STOP")
    assert call.check == "", "the other one stands"
    call.send("not-so", words=second)
    assert not call.advice.startswith("!! STOP")
    assert len(_struck(standing)) == 2


def test_the_page_leaves_in_the_case_what_the_terminal_leaves(standing: Standing) -> None:
    """`0` at the prompt, after the danger was told."""
    _dangerous(standing)
    path = standing.folder / f"{CASE}.yaml"
    shutil.copy(path, standing.folder / "typed.yaml")
    page = Sitter.at(standing, CASE, "call")
    page.send("not-so", words=_kept(page, "not-so")[0])
    out = io.StringIO()
    typed = io.StringIO("also it whines\n0\n\ndone\n")
    words = ["call", str(standing.folder / "typed.yaml")]
    assert run(words, Terminal(out, out, typed, width=80)) in (0, 1), out.getvalue()
    assert _struck(standing, "typed") == _struck(standing)


@pytest.mark.parametrize("seat", ["call", "hoist", "bench"])
def test_words_that_were_kept_are_left_aside_with_a_reason(yard: Standing, seat: str) -> None:
    sitter = Sitter.begins(yard, seat, "zzz qqq")
    sitter.confirm()
    assert _kept(sitter, "strike") == ["zzz qqq"]
    assert "Told, not placed: zzz qqq" in sitter.text
    sitter.send("strike", words="zzz qqq", reason="  the name of  a dog ")
    assert _struck(yard) == [("zzz qqq", "the name of a dog")]
    case = read_case(yard.folder / f"{CASE}.yaml")
    assert (case.not_placed, case.left_aside) == ((), ("zzz qqq",))
    assert _kept(sitter, "strike") == []


def test_without_a_reason_nothing_is_left_aside(yard: Standing) -> None:
    sitter = Sitter.begins(yard, "call", "zzz qqq")
    sitter.confirm()
    shown = sitter.send("strike", words="zzz qqq", reason="  ")
    assert "say why it is left aside" in shown
    assert _struck(yard) == []


def test_the_very_words_are_meant_and_not_longer_ones(yard: Standing) -> None:
    sitter = Sitter.begins(yard, "bench", "zzz qqq www")
    sitter.confirm()
    with yard.house.writing(CASE) as session:
        session.tell("zzz qqq", ("zzz qqq",))
    sitter.look()
    assert _kept(sitter, "strike") == ["zzz qqq www", "zzz qqq"]
    sitter.send("strike", words="zzz qqq", reason="a joke")
    assert _struck(yard) == [("zzz qqq", "a joke")]


@pytest.mark.parametrize("words", ["nothing like it", EVIL])
def test_words_that_nobody_told_are_refused_in_one_line(yard: Standing, words: str) -> None:
    sitter = Sitter.begins(yard, "call", "zzz qqq")
    sitter.confirm()
    shown = sitter.send("strike", words=words, reason="so")
    assert "is not among what was not placed: 'zzz qqq'" in shown
    assert EVIL not in sitter.page
    assert _struck(yard) == []


def test_a_danger_struck_at_one_seat_is_struck_at_all(standing: Standing) -> None:
    call = _dangerous(standing)
    bench = Sitter.at(standing, CASE, "hoist")
    (sign,) = _kept(bench, "not-so")
    bench.send("not-so", words=sign)
    call.look()
    assert _kept(call, "not-so") == []
    session = open_session(standing.house.book, read_case(standing.folder / f"{CASE}.yaml"))
    assert session.case.outside == ()
