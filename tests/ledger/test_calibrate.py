"""How right the book was: forecasts are kept, held against what was proven, and scored."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from sklearn.metrics import brier_score_loss, log_loss
from small_book import write_book

from headwater.book.load import load_book
from headwater.case.read import parse_case
from headwater.cli.main import Terminal, run
from headwater.ledger.calibrate import calibration_report, group_of
from headwater.ledger.door import Ledger, open_ledger
from headwater.ledger.forecast import forecasts_of, stages
from headwater.ledger.idle import idle_questions
from headwater.ledger.records import CountRow, Hand, IdleQuestions
from headwater.ledger.taken import add_case, case_file_of
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session

PROVEN = """\
case: R-1
unit: {family: {drive: chain}}
findings:
  - {check: pads, answer: burnt, seat: bench}
  - {check: bore-float, answer: 0.9 mm, seat: bench}
"""


@pytest.fixture
def small(tmp_path: Path) -> OpenBook:
    return OpenBook(load_book([write_book(tmp_path / "small")]))


def session(book: OpenBook, text: str) -> Session:
    return open_session(book, parse_case(text, "a.yaml"))


def test_a_forecast_is_what_was_said_before_the_proof(small: OpenBook) -> None:
    found = {one.origin: one for one in forecasts_of(session(small, PROVEN))}
    first = session(small, PROVEN.rpartition("  - ")[0])
    assert found["bore-worn"].true
    expected = first.verdict.posterior.probability("bore-worn")
    assert found["bore-worn"].chance == pytest.approx(expected, abs=1e-6)
    assert 0.02 < found["bore-worn"].chance < 0.95
    assert (found["bore-worn"].seat, found["bore-worn"].pack) == ("bench", "small")
    assert not any(one.true for origin, one in found.items() if origin != "bore-worn")


def test_what_was_not_proven_is_no_truth(small: OpenBook) -> None:
    assert forecasts_of(session(small, PROVEN.rpartition("  - ")[0])) == ()


def test_stages_end_where_a_seat_is_left_and_before_the_proof() -> None:
    rows = ["call", "call", "hoist", "bench", "bench"]
    lines = "".join(f"  - {{check: a, answer: b, seat: {seat}}}\n" for seat in rows)
    told = '  - {told: "it howls"}\n'
    case = parse_case(f"case: x\nfindings:\n{told}{lines}", "a.yaml")
    assert list(stages(case)) == [("call", 3), ("hoist", 4), ("bench", 5)]
    alone = parse_case("case: x\nfindings:\n  - {check: a, answer: b}\n", "a.yaml")
    assert list(stages(alone)) == []


def test_scores_are_those_of_another_library() -> None:
    pairs = [(0.9, True), (0.6, False), (0.2, False), (0.35, True), (0.05, False), (1.0, True)]
    chances, truth = [chance for chance, _ in pairs], [true for _, true in pairs]
    group = group_of("x", pairs)
    assert group.brier == pytest.approx(brier_score_loss(truth, chances))
    assert group.log_loss == pytest.approx(log_loss(truth, chances), abs=1e-4)
    assert [(row.found.count, row.found.of) for row in group.bands] == [
        (0, 1), (0, 1), (1, 1), (0, 1), (2, 2),
    ]  # fmt: skip
    assert sum(row.found.of for row in group.bands) == len(pairs)


def test_what_nobody_could_say_is_counted(shop: Ledger) -> None:
    lines = (
        "  - {check: oil, answer: dont-know}\n",
        "  - {check: oil, answer: black, corrects: 1}\n",
        "  - {check: oil, answer: dont-know, corrects: 2}\n",
        '  - {told: "it hums", unplaced: [Hums]}\n',
    )
    for name in ("a", "b"):
        text = f"case: {name}\nfindings:\n{''.join(lines)}"
        add_case(shop, case_file_of(text, name), Hand())
    found = calibration_report(shop)
    assert found.not_known == (CountRow("oil", 4, "call", ""),)
    assert found.unplaced == (CountRow("hums", 2, "call"),)
    assert (found.cases, found.groups) == (0, ())


def test_what_nobody_could_say_is_told_by_seat_and_pack(shop: Ledger) -> None:
    text = (
        "case: a\nseat: hoist\nfindings:\n  - {check: oil, answer: dont-know}\n"
        "  - {check: oil, answer: dont-know, seat: bench}\n"
    )
    add_case(shop, case_file_of(text, "a"), Hand())
    found = calibration_report(shop, {("checks", "oil"): "small"})
    assert set(found.not_known) == {
        CountRow("oil", 1, "hoist", "small"), CountRow("oil", 1, "bench", "small"),
    }  # fmt: skip


def test_a_question_that_never_changed_a_verdict(small: OpenBook, shop: Ledger) -> None:
    """Each answer of PROVEN decides; a pads answer that was given twice decides once at most."""
    twice = "  - {check: pads, answer: burnt, seat: bench}\n"
    texts = {"a": PROVEN.replace("R-1", "a"), "b": PROVEN.replace("R-1", "b") + twice}
    for name, text in texts.items():
        add_case(shop, case_file_of(text, name), Hand())
    assert idle_questions(shop, small, 9) == IdleQuestions(0, 0, ())  # none is done
    with shop.writing() as connection:
        connection.exec_driver_sql("UPDATE cases SET out_on = '2031-01-0' || id")
    assert idle_questions(shop, small, 9) == IdleQuestions(2, 5, ())
    assert idle_questions(shop, small, 1) == IdleQuestions(
        1, 3, (CountRow("pads", 2, "bench", "small"),)
    )  # of the last alone
    assert idle_questions(shop, small, 0).cases == 0


def test_a_case_that_is_done_is_judged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", "shop.sqlite")
    write_book(tmp_path / "small")
    Path("r.yaml").write_text(PROVEN)

    def play(*words: str) -> str:
        out = io.StringIO()
        assert run(words, Terminal(out, out, io.StringIO(), width=80)) in (0, 1)
        return out.getvalue()

    play("ledger", "init")
    play("ledger", "add", "r.yaml")
    play("ledger", "done", "R-1", "--as-planned", "--book", "small")
    play("ledger", "done", "R-1", "--book", "small")
    told = play("ledger", "calibrate")
    assert told.startswith("1 case was proven and can be judged")
    assert "seat bench: " in told
    assert "pack small: " in told
    told = play("ledger", "calibrate", "--book", "small", "--questions", "5")
    assert "2 answers of 1 case, each taken out by itself" in told
    ledger = open_ledger("shop.sqlite")
    report = calibration_report(ledger)
    assert {group.name for group in report.groups} == {
        "all seats and packs", "seat bench", "pack small",
    }  # fmt: skip
    ledger.close()
