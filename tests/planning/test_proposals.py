"""What people propose, in a file or in words, and which parts they mean."""

from __future__ import annotations

from pathlib import Path

import pytest
from planning.conftest import EXAMPLES

from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.case.model import Case
from headwater.case.read import parse_case
from headwater.errors import HeadwaterError
from headwater.session.parts import part_hint, part_meant
from headwater.session.proposal import (
    deeds_done,
    parse_proposal,
    proposal_of_words,
    read_proposal,
)


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("range-fork", "range-fork"),
        ("range fork", "range-fork"),
        ("Range Fork with its pads", "range-fork"),
        ("new range fork", "range-fork"),
        ("chain", "chain"),
        ("drive chain", "chain"),
        ("tires", "tyres"),
        ("planetary", "planetary"),
        ("rear propshaft", "propeller-shaft"),
        ("front output bearing", "front-output-bearing"),
        ("flux gate", None),
        ("new", None),
    ],
)
def test_a_part_is_known_by_id_title_or_plain_words(
    words: str, part: str | None, book: Book
) -> None:
    assert part_meant(book, words) == part


def test_words_that_fit_several_parts_are_asked_back(book: Book) -> None:
    with pytest.raises(HeadwaterError, match=r"'fork' may mean range fork .*, mode fork"):
        part_meant(book, "fork")


def test_a_list_from_the_phone(book: Book) -> None:
    found = proposal_of_words("range fork, chain and input seal; blinker fluid", book)
    assert [item.part for item in found.items] == ["range-fork", "chain", "input-seal", None]
    assert {item.action for item in found.items} == {Verb.REPLACE}
    assert not found.exchange
    assert proposal_of_words("rebuilt unit", book).exchange


@pytest.mark.parametrize("words", ["", " , ", "and"])
def test_an_empty_list_is_refused(words: str, book: Book) -> None:
    with pytest.raises(HeadwaterError, match="no part is named"):
        proposal_of_words(words, book)


def test_a_plan_file(book: Book) -> None:
    found = read_proposal(EXAMPLES / "plans" / "two-bores.yaml", book)
    first = found.items[0]
    assert (first.part, first.action) == ("front-housing", Verb.SCRAP)
    assert first.claims == {"front-bore-worn", "front-output-bore-worn"}
    assert len(found.deeds) == 5


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("plan: x\n", "x.yaml:1:1: proposes nothing"),
        ("plan: x\nsteps: [{action: renew, on: chain}]\n", "'renew' is not one of"),
        ("plan: x\nsteps: [{action: replace}]\n", "'on' is missing"),
        (
            "plan: x\nsteps: [{action: replace, on: chain, corrects: [chain-agd]}]\n",
            "there is no condition 'chain-agd'; did you mean 'chain-aged'?",
        ),
        ("plan: x\nparts: [seal]\n", "may mean"),
    ],
)
def test_a_fault_in_a_plan_file_is_one_line(text: str, fault: str, book: Book) -> None:
    with pytest.raises(HeadwaterError) as caught:
        parse_proposal(text, "x.yaml", book)
    assert fault in str(caught.value)
    assert "\n" not in str(caught.value)


def test_every_example_plan_and_price_list_can_be_read(book: Book) -> None:
    plans = sorted(Path(EXAMPLES / "plans").glob("*.yaml"))
    assert len(plans) >= 3
    for path in plans:
        assert read_proposal(path, book).items


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ("alignment dowelz", "; did you mean 'dowels' (alignment dowels between the halves)?"),
        ("chian", "; did you mean 'chain' (drive chain)?"),
        ("doodad only", ""),
    ],
)
def test_a_part_that_is_not_known_names_the_nearest(words: str, hint: str, book: Book) -> None:
    assert part_hint(book, words) == hint
    for found in (
        proposal_of_words(words, book),
        parse_proposal(f"plan: x\nsteps: [{{action: replace, on: {words}}}]\n", "x.yaml", book),
        parse_proposal(f"plan: x\nparts: [{words}]\n", "x.yaml", book),
        deeds_done(_done(words), book),
    ):
        assert [(item.words, item.part, item.hint) for item in found.items] == [(words, None, hint)]


@pytest.mark.parametrize(
    "words", ["dowels", "alignment dowels", "Alignment dowels between the halves"]
)
def test_a_part_is_found_wherever_it_is_written(words: str, book: Book) -> None:
    for found in (
        proposal_of_words(words, book),
        parse_proposal(f"plan: x\nsteps: [{{action: replace, on: {words}}}]\n", "x.yaml", book),
        parse_proposal(f"plan: x\nparts: [{words}]\n", "x.yaml", book),
        deeds_done(_done(words), book),
    ):
        assert [item.part for item in found.items] == ["dowels"]


def test_all_faults_of_a_plan_and_of_what_was_done_are_told_at_once(book: Book) -> None:
    steps = "  - {action: replace, on: fork}\n  - {action: scrap, on: chain, corrects: [qqqq]}\n"
    with pytest.raises(HeadwaterError) as caught:
        parse_proposal(f"plan: x\nsteps:\n{steps}", "x.yaml", book)
    assert [line.split(" ")[0] for line in caught.value.lines] == ["x.yaml:3:27:", "x.yaml:4:43:"]
    done = "  - {action: renew, on: chain}\n  - {action: replace, on: fork}\n"
    with pytest.raises(HeadwaterError) as caught:
        deeds_done(parse_case(f"case: a\ndone:\n{done}", "a.yaml"), book)
    assert [line.split(" ")[0] for line in caught.value.lines] == ["a.yaml:3:5:", "a.yaml:4:27:"]


def _done(words: str) -> Case:
    return parse_case(f"case: a\ndone: [{{action: replace, on: {words}}}]\n", "a.yaml")
