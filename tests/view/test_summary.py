"""A case on one page: the verdict stands first, and nothing is named for what is held."""

from __future__ import annotations

from dataclasses import replace

import pytest
from once import ROOT
from sessions import replay, screen

from headwater import outputs
from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.session.session import Session
from headwater.view.label import THINGS, Labelled
from headwater.view.paper import Entries, Tone


@pytest.fixture
def ridge() -> Case:
    return read_case(ROOT / "examples" / "ridge-07.yaml")


def _cut(book: Book, case: Case, count: int) -> Session:
    return replay(book, replace(case, findings=case.findings[:count]))


def test_a_settled_case_says_first_what_failed_where_it_began_and_what_to_do(
    book: Book, ridge: Case
) -> None:
    told = outputs.paper("summary", replay(book, ridge))
    heads = [section.heading for section in told.sections]
    assert heads[:3] == ["What failed", "Where it began", "What to do"]
    text = screen("summary", replay(book, ridge))
    assert "front bearing bore or its snap-ring groove worn (proven)" in text
    assert "front housing half: scrap" in text
    assert "Held, and what would release it" not in heads


def test_what_is_held_names_no_action_but_the_looks_that_would_release_it(
    book: Book, ridge: Case
) -> None:
    session = _cut(book, ridge, 1)
    assert session.held == {"range-fork"}
    text = screen("summary", session)
    assert "HELD range fork with its pads" in text
    assert "would tell: " in text
    assert "may have begun with:" in text
    assert "range fork with its pads: replace" not in text
    assert "First look further:" in text


def test_found_expected_and_ruled_out_have_a_shape_and_a_word_each(book: Book, ridge: Case) -> None:
    told = outputs.paper("summary", replay(book, ridge))
    block = next(s for s in told.sections if s.heading == "What stands how").blocks[0]
    assert isinstance(block, Entries)
    words = {entry.pieces[0].tone: entry.pieces[0].text for entry in block.entries}
    assert words == {
        Tone.FOUND: "found:",
        Tone.EXPECTED: "expected:",
        Tone.RULED_OUT: "ruled out:",
    }


def test_an_empty_case_has_a_page(book: Book) -> None:
    text = screen("summary", replay(book, Case(case="new")))
    assert "Nothing that was found is damage yet." in text
    assert "First look further:" in text


def test_a_label_has_the_case_and_what_is_told_of_it(book: Book, ridge: Case) -> None:
    unit = replace(ridge.unit, number="T-12")
    session = replay(book, replace(ridge, vehicle="MR 4", customer="Ada", unit=unit))
    label = outputs.page_of("label", Labelled(session))
    assert (label.case, label.things, label.code) == ("ridge-07", THINGS, "ridge-07")
    assert label.lines == ("unit T-12", "MR 4", "Ada")
    assert outputs.page_of("label", Labelled(session, "https://x/case/y")).code.endswith("/y")
