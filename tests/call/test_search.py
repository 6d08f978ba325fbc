"""Complaints found by the caller's words."""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.hearing.index import Index, build_index
from headwater.hearing.search import search_conditions, tells_nothing
from headwater.hearing.understand import understand

WORDS = {
    "clunk": "clunk-on-take-up",
    "popping out of four low": "jumps-out-of-low",
    "oil spots": "oil-spots-under-vehicle",
    "plastic bits in the drain pan": "plastic-crumbs-in-oil",
    "speedo jumps": "speedometer-jumps",
    "it keeps jumping out of low on hills": "jumps-out-of-low",
    "a puddle of oil in the yard": "oil-spots-under-vehicle",
    "tight in corners": "hop-on-tight-turns",
    "it smells burnt": "hot-oil-smell",
    "won't go into low": "will-not-shift-range",
    "stuck in 4x4": "stuck-in-four-wheel-drive",
    "the reader shows P0735": "ratio-code-set",
    "it rolled away in park": "rolls-in-park",
}


@pytest.fixture(scope="module")
def index(caller_book: Book) -> Index:
    return build_index(caller_book)


@pytest.mark.parametrize(("words", "complaint"), WORDS.items())
def test_first_hit(caller_book: Book, index: Index, words: str, complaint: str) -> None:
    """A caller's words find the right complaint first, and say nothing else surely."""
    found = understand(index, words)
    assert complaint in [one.id for one in found.understood]
    assert {one.id for one in found.ticked} <= {complaint}
    assert search_conditions(index, words, caller_book.conditions)[0] == complaint


def test_every_condition_is_found_by_its_title(caller_book: Book, index: Index) -> None:
    for cid, record in caller_book.conditions.items():
        assert cid in search_conditions(index, record.title, caller_book.conditions)[:2], cid


def test_a_vague_complaint_is_asked_back() -> None:
    """'A noise' is vague, and so is 'something is wrong'; a grinding noise is not."""
    assert tells_nothing("it makes a noise")
    assert tells_nothing("there is something wrong with my truck")
    assert not tells_nothing("it makes a grinding noise")
    assert not tells_nothing("")


def test_nonsense_finds_nothing(caller_book: Book, index: Index) -> None:
    """Words that no condition has find none."""
    assert search_conditions(index, "zebra quartz", caller_book.conditions) == []
    assert search_conditions(index, "it is", caller_book.conditions) == []
