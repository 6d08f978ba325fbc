"""Complaints found by the caller's words."""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.session.search import is_vague, search_complaints, search_conditions

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


@pytest.mark.parametrize(("words", "complaint"), WORDS.items())
def test_first_hit(caller_book: Book, words: str, complaint: str) -> None:
    """A caller's words find the right complaint first, among complaints and among all."""
    assert search_complaints(caller_book, words)[0] == complaint
    assert search_conditions(caller_book, words)[0] == complaint


def test_every_complaint_is_found_by_its_own_words(caller_book: Book) -> None:
    """The book's plain words of a complaint lead back to it."""
    for cid, record in caller_book.conditions.items():
        if record.kind == "complaint":
            assert search_complaints(caller_book, record.plain or record.title)[0] == cid


def test_a_vague_noise_offers_a_spread(caller_book: Book) -> None:
    """'A noise' is vague: several kinds of noise are read out."""
    assert is_vague("it makes a noise")
    assert len(search_complaints(caller_book, "it makes a noise")) >= 4
    assert not is_vague("it makes a grinding noise")
    assert not is_vague("")


def test_nonsense_finds_nothing(caller_book: Book) -> None:
    """Words that no complaint has find none."""
    assert search_complaints(caller_book, "zebra quartz") == []
    assert search_complaints(caller_book, "it is") == []
