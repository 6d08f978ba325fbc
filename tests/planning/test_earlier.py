"""Work that was done before (finding E27): heard, kept, judged at every seat, and its weight."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from planning.conftest import Play
from planning.jobs import book_of
from sessions import screen
from strategies import condition

from headwater.book.chances import Common
from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.case.model import Case
from headwater.case.read import parse_case, read_case
from headwater.case.store import case_data
from headwater.cli.main import Terminal, run
from headwater.session.earlier import earlier_chances, tells_of_work, was_opened, work_told
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.verdict.decision import Deed
from headwater.verdict.fitting import (
    AT_MOST,
    ON_THE_PART,
    ON_THE_WAY,
    RENEWED_LATELY,
    ageing_chances,
    fitting_chances,
)

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
BOOK = ["--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch")]


def seat(command: str, case: Path, typed: str, *more: str) -> str:
    """Return what a seat shows on a typed conversation; lines parted by '|'."""
    out = StringIO()
    told = Terminal(out, StringIO(), StringIO(typed.replace("|", "\n") + "\n"), width=80)
    run([command, str(case), *BOOK, "--family", "drive=chain,housing=iron", *more], told)
    return out.getvalue()


def test_e27_a_guided_seat_can_be_told_of_a_rebuild(tmp_path: Path) -> None:
    case = tmp_path / "back.yaml"
    told = seat("bench", case, "oil spots||rebuilt 350 miles ago, new lip seal|done")
    assert told.count("Was it here, or worked on, before?") == 1
    kept = read_case(case).before
    assert kept is not None
    assert (kept.told, kept.ago) == ("rebuilt 350 miles ago, new lip seal", "350 miles")
    assert [(d.action, str(d.on)) for d in kept.done] == [("replace", "lip-seal")]
    again = seat("bench", case, "done")
    assert "Was it here, or worked on, before?" not in again, "asked once"
    assert "rebuilt 350 miles ago" in again


@pytest.mark.parametrize("command", ["bench", "hoist", "call"])
def test_e27_every_seat_asks_and_enter_passes_it_over(command: str, tmp_path: Path) -> None:
    case = tmp_path / "new.yaml"
    first = "--complaint" if command == "call" else "--answers"
    more = (first, "oil under it") if command == "call" else ()
    told = seat(command, case, "||done|done", *more)
    assert told.count("Was it here, or worked on, before?") == 1
    assert read_case(case).before is None


def test_e27_whoever_goes_on_at_once_is_not_asked_again(tmp_path: Path) -> None:
    told = seat("bench", tmp_path / "new.yaml", "burnt pads||burnt|done")
    assert "pads of the fork burnt may come from" in told


def test_e27_an_earlier_case_can_be_named_at_a_seat(tmp_path: Path) -> None:
    earlier = FROZEN / "cases" / "before.yaml"
    case = tmp_path / "back.yaml"
    told = seat("bench", case, "done", "--earlier", str(earlier))
    assert "Was it here, or worked on, before?" not in told
    assert "It came back: earlier case before" in told
    assert "Done then: lip seal: replace" in told


@pytest.mark.parametrize("command", ["diagnose", "plan", "options"])
def test_e27_a_case_that_names_an_earlier_one_says_so(command: str, play: Play) -> None:
    _, told, _ = play(command, str(FROZEN / "cases" / "back.yaml"), *BOOK)
    assert "It came back: earlier case before" in told
    assert "Fitting error: lip of the seal cut (proven)" in told


def test_e27_an_earlier_case_that_is_gone_costs_a_line_and_no_verdict(
    tmp_path: Path, play: Play
) -> None:
    case = tmp_path / "now.yaml"
    findings = "findings:\n  - {check: seal-look, answer: wet}\n"
    case.write_text(f"case: now\nearlier: gone.yaml\n{findings}", encoding="utf-8")
    status, told, fault = play("diagnose", str(case), *BOOK)
    assert (status, fault) == (1, "")
    assert "The earlier case cannot be read" in told


def test_e27_the_work_that_is_told_is_judged_in_words(tmp_path: Path, play: Play) -> None:
    case = tmp_path / "now.yaml"
    case.write_text(
        "case: now\n"
        'before: {told: "new lip seal", done: [{action: replace, on: lip seal}]}\n'
        "findings:\n"
        "  - {check: oil-spots, answer: 'yes'}\n"
        "  - {check: seal-look, answer: wet}\n"
        "  - {check: breather-look, answer: blocked}\n"
        "  - {check: plug-hiss, answer: hiss}\n"
        "  - {check: lip-look, answer: soft}\n",
        encoding="utf-8",
    )
    _, told, _ = play("plan", str(case), *BOOK)
    flat = " ".join(told.split())
    assert "What that work comes to now" in flat
    assert "it leaves the origin 'breather blocked by mud' in place" in flat


@pytest.mark.parametrize(
    ("words", "tells"),
    [
        ("we rebuilt this 350 miles ago", True),
        ("chain was changed two months ago", True),
        ("overhauled by the other shop", True),
        ("it leaks oil", False),
        ("burnt pads", False),
        ("rear seal leaks again", False),
        ("1", False),
        ("done", False),
    ],
)
def test_words_that_tell_of_work(words: str, tells: bool) -> None:
    assert tells_of_work(words) is tells


@pytest.mark.parametrize(
    ("words", "ago", "done"),
    [
        ("new chain 2,000 km ago", "2,000 km", [("replace", "chain")]),
        ("oil refilled and breather cleaned", "", [("refill", "oil"), ("clean", "breather")]),
        ("front bearing and drive chain replaced", "", [("replace", "front-bearing")]),
        ("rebuilt a year ago", "a year", []),
        ("drive chain done last year", "", [("replace", "chain")]),
        ("at three services he put in a bit, three, four, two tenths", "", []),
    ],
)
def test_what_was_done_is_heard(
    words: str, ago: str, done: list[tuple[str, str]], winch: Book
) -> None:
    work = work_told(winch, words)
    assert work.ago == ago
    heard = [(d.action, str(d.on)) for d in work.done]
    assert heard[: len(done)] == done
    assert bool(heard) == bool(done)


@pytest.fixture(scope="module")
def winch() -> Book:
    return load_book([FROZEN / "looks", FROZEN / "winch"])


def test_what_is_kept_reads_back_the_same(winch: Book) -> None:
    work = work_told(winch, "new chain 2,000 km ago")
    data = case_data(Case(case="x", before=work))
    assert data["before"] == {
        "told": "new chain 2,000 km ago",
        "ago": "2,000 km",
        "done": [{"action": "replace", "on": "chain"}],
    }


def test_nothing_is_shown_where_nobody_told_of_work(winch: Book) -> None:
    case = parse_case("case: x\nfindings:\n", "x.yaml")
    assert screen("earlier", open_session(OpenBook(winch), case)) == ""


def fitting_book() -> Book:
    """Return a book with fitting errors on a shaft (deep), a seal (shallow) and a vent outside."""
    made = [
        condition("shaft-wrong", part="shaft", origin=True),
        condition("seal-cut", part="seal", origin=True),
        condition("vent-off", part="vent", origin=True),
        condition("worn", part="bearing", origin=True),
        condition("noisy", part="fork"),
    ]
    book = book_of(
        made,
        {(c.id, "noisy"): "usually" for c in made[:-1]},
        {"shaft-wrong": "shaft-out", "seal-cut": "cover", "worn": "shaft-out"},
    )
    for cid in ("shaft-wrong", "seal-cut", "vent-off"):
        record = book.conditions[cid]
        assert record.origin is not None
        book.conditions[cid] = replace(record, origin=replace(record.origin, at_fitting=True))
    return book


def test_e27_fitting_errors_of_that_work_come_first() -> None:
    book = fitting_book()
    # The bearing lies as deep as the shaft: shaft and seal lay open on the way to it.
    chances = fitting_chances(book, [Deed(Verb.REPLACE, "bearing")])
    assert chances == {"shaft-wrong": ON_THE_WAY, "seal-cut": ON_THE_WAY}
    chances = fitting_chances(book, [Deed(Verb.REPLACE, "seal")])
    assert chances == {"seal-cut": ON_THE_PART}, "the shaft stayed where it was"


def test_a_unit_that_was_apart_may_have_any_of_them_but_none_outside() -> None:
    chances = fitting_chances(fitting_book(), [], opened=True)
    assert chances == {"shaft-wrong": ON_THE_WAY, "seal-cut": ON_THE_WAY}
    assert fitting_chances(fitting_book(), []) == {}
    assert set(fitting_chances(fitting_book(), [Deed(Verb.ADJUST, "vent")])) == {"vent-off"}


def test_no_factor_leads_above_one_half() -> None:
    book = fitting_book()
    record = book.conditions["seal-cut"]
    assert record.origin is not None
    often = replace(record.origin, common=Common(0.2, "0.2"))
    book.conditions["seal-cut"] = replace(record, origin=often)
    chances = fitting_chances(book, [Deed(Verb.REPLACE, "seal")])
    assert chances["seal-cut"] == pytest.approx(AT_MOST / 0.2)


def worn_book() -> Book:
    """Return the book of the fitting errors, in which the seal may also have run its life."""
    book = fitting_book()
    record = book.conditions["seal-cut"]
    assert record.origin is not None
    aged = replace(record.origin, at_fitting=False, by_age=True)
    book.conditions["seal-cut"] = replace(record, origin=aged)
    return book


def test_a_part_renewed_lately_has_not_run_its_life() -> None:
    book = worn_book()
    assert ageing_chances(book, [Deed(Verb.REPLACE, "seal")]) == {"seal-cut": RENEWED_LATELY}
    assert ageing_chances(book, [Deed(Verb.CLEAN, "seal"), Deed(Verb.REPLACE, "bearing")]) == {}


@pytest.mark.parametrize(
    ("told", "lately"),
    [
        ("new seal 13 months ago", True),
        ("new seal 5 years ago", False),
        ("new seal six years ago", False),
        ("new seal 61,000 miles ago", False),
        ("new seal 2,000 km ago", True),
        ("new seal", True),
    ],
)
def test_what_was_renewed_long_ago_may_be_at_its_end_again(told: str, lately: bool) -> None:
    book = worn_book()
    case = Case(case="unit", before=work_told(book, told))
    assert (earlier_chances(book, case).get("seal-cut", 1.0) < 1.0) is lately


def test_opened_is_told_by_its_words(winch: Book) -> None:
    assert was_opened(work_told(winch, "rebuilt a year ago"))
    assert not was_opened(work_told(winch, "breather cleaned"))


def test_where_the_odometer_stood_is_not_how_long_ago_it_was(winch: Book) -> None:
    told = "bought at 90,000 km, now 186,000 km; oil changed 66,000 km ago"
    assert work_told(winch, told).ago == "66,000 km"
    assert work_told(winch, "rebuilt 350 miles back").ago == "350 miles"
    assert work_told(winch, "never opened, has 90,000 km").ago == ""
