"""Words typed where something else was asked are heard or kept; they answer no later question."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest

from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run

FAMILY = "drive=chain,housing=magnesium,rear-output=slip-yoke,low-range=planetary"


@pytest.fixture(autouse=True)
def away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def after(*typed: str, family: str = FAMILY) -> Case:
    """Return the case after some lines at the hoist."""
    out = StringIO()
    stdin = StringIO("".join(f"{line}\n" for line in typed))
    words = ["hoist", "u.yaml", *(["--family", family] if family else [])]
    run(words, Terminal(out, out, stdin, width=80))
    return read_case(Path("u.yaml"))


@pytest.mark.parametrize(
    "told", ["no, never opened", "never worked on as far as I know", "not that anybody would know"]
)
def test_a_no_to_the_question_of_work_answers_nothing_else(told: str) -> None:
    case = after("jumps out of low", "", told)
    assert [str(e.check) for e in case.findings if e.check] == ["jumps-out-of-low"]
    assert not case.before


def test_trouble_told_there_is_heard() -> None:
    case = after("jumps out of low", "", "no, but oil drips under the middle of it", "", "done")
    assert "oil-spots-under-vehicle" in {str(e.check) for e in case.findings if e.check}


def test_an_answer_to_a_named_check_is_taken_there() -> None:
    case = after("jumps out of low", "", "shift-lever-stiff: easy", "done")
    assert "shift-lever-stiff" in {str(e.check) for e in case.findings if e.check}


def test_words_at_a_question_of_the_build_answer_nothing_else() -> None:
    """They are refused in a line; those that name a value alone are that value."""
    words = ["grinds like a mill", "burnt", "planetary gear set"]
    case = after("jumps out of low", "", "", *words, "done", family="")
    assert [str(e.check) for e in case.findings if e.check] == ["jumps-out-of-low"]
    assert [e.family for e in case.findings if e.family] == [{"low-range": "planetary"}]
