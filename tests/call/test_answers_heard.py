"""What callers say, as answers; vague words are never guessed at."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW
from headwater.hearing.answers import Heard, hear
from headwater.hearing.index import Index, build_index
from headwater.measure.answer import meant, understand

Hearing = Callable[[str, str], Heard]


@pytest.fixture(scope="module")
def index(caller_book: Book) -> Index:
    return build_index(caller_book)


@pytest.fixture(scope="module")
def heard(caller_book: Book, index: Index) -> Hearing:
    return lambda check, said: hear(index, caller_book, caller_book.checks[check], said)


@pytest.mark.parametrize(
    ("check", "said", "answer"),
    [
        ("jumps-out-of-low", "Yes.", "yes"),
        ("jumps-out-of-low", "yeah, on every steep bit", "yes"),
        ("jumps-out-of-low", "nope", "no"),
        ("jumps-out-of-low", "2", "no"),
        ("jumps-out-of-low", "not sure", DONT_KNOW),
        ("jumps-out-of-low", "?", DONT_KNOW),
        ("coolant-look", "can't look", CANNOT_CHECK),
        ("road-surface", "yes", "dry-road"),
        ("road-surface", "no", "loose-only"),
        ("work-before-trouble", "since the oil change", "oil-change"),
        ("work-before-trouble", "it was opened last winter", "opened"),
        ("work-before-trouble", "never opened", "never-open"),
        ("work-before-trouble", "no", "nothing"),
        ("water-asked", "through the ford last week", "deep"),
        ("water-asked", "not through deep water", "neither"),
        ("oil-spots-under-vehicle", "it pours out", "puddle"),
        ("whine-when", "it whines in low only", "low-only"),
        ("ratio-code", "P0733", "p0730-p0736"),
        ("chain-distance", "120,000 miles", "120000 miles"),
        ("chain-distance", "90000 km", "90000 km"),
        ("chain-distance", "about 90,000 km", "about 90000 km"),
        ("chain-distance", "120000 miles or so", "120000 miles or so"),
        ("chain-distance", "0,5 km", "0,5 km"),
        ("range-fork-pads", "melted", "burnt"),
        ("range-fork-pads", "burned", "burnt"),
        ("range-fork-pads", "they are all melted", "burnt"),
        ("range-fork-pads", "Sound.", "sound"),
        ("range-fork-pads", "dunno", DONT_KNOW),
        ("range-fork-pads", "no clue", DONT_KNOW),
        ("range-fork-pads", "I don't know", DONT_KNOW),
        ("jumps-out-of-low", "we do not know", DONT_KNOW),
        ("jumps-out-of-low", "Nobody knows.", DONT_KNOW),
        ("jumps-out-of-low", "I don't remember, sorry", DONT_KNOW),
        ("range-fork-pads", "haven't a clue", DONT_KNOW),
        ("hole-in-case", "Whole.", "whole"),
        ("input-bearing-float", "~1 mm", "~1 mm"),
        ("jumps-out-of-low", "don't think so", "no"),
        ("jumps-out-of-low", "no it never does", "no"),
        ("jumps-out-of-low", "it never jumps out of low", "no"),
        ("jumps-out-of-low", "it pops out of low on every hill", "yes"),
        ("clunk-on-take-up", "a bit of a clunk", "yes"),
        ("slip-greased-when", "never that I know of", "never"),
        ("input-splines-greased-asked", "never that I know of", DONT_KNOW),
        ("work-before-trouble", "the gearbox was out", "taken-out"),
        ("seals-ever-done", "new seals", "done"),
    ],
)
def test_heard(caller_book: Book, heard: Hearing, check: str, said: str, answer: str) -> None:
    """Plain answers are understood, and what is understood the book accepts."""
    record = caller_book.checks[check]
    assert heard(check, said).answer == answer
    assert understand(caller_book, record, answer).check == check


@pytest.mark.parametrize(
    ("check", "said"),
    [
        ("jumps-out-of-low", "hmm"),
        ("jumps-out-of-low", "maybe"),
        ("jumps-out-of-low", "could be"),
        ("whine-when", "yes"),
        ("water-asked", "yes"),
        ("work-before-trouble", "for two weeks"),
        ("chain-distance", "a lot"),
        ("chain-distance", "80"),
        ("work-before-trouble", "the gearbox was serviced"),
        ("seals-ever-done", "no"),
    ],
)
def test_vague(heard: Hearing, check: str, said: str) -> None:
    """What fits no answer, or two, is not taken; the words are kept."""
    found = heard(check, said)
    assert found.answer is None
    assert found.note == said


def test_a_figure_that_cannot_be_taken_says_why(heard: Hearing) -> None:
    """'80' lacks its unit, and '1,140 mm' is 1.14 to one; 'a lot' is no figure at all."""
    assert "the unit is missing" in heard("chain-distance", "80").because
    assert "can be read in two ways" in heard("chain-distance", "1,140 m").because
    assert heard("chain-distance", "a lot").because == ""


def test_own_words_are_kept(heard: Hearing) -> None:
    """Since when and how stay in the caller's words beside the answer."""
    found = heard("jumps-out-of-low", "Yes, since the tow")
    assert (found.answer, found.note) == ("yes", "Yes, since the tow")


def test_no_word_means_two_answers(caller_book: Book) -> None:
    """No other word of an answer is a word of another answer of the same check."""
    for check in caller_book.checks.values():
        words = [w for key, a in check.answers.items() for w in (str(key), *a.said)]
        assert len(words) == len(set(words)), check.id


def test_old_words_still_mean_the_answer(caller_book: Book) -> None:
    """Stored cases with the old ids and old words resolve to the merged check."""
    for old, word, new in [
        ("rear-opened-lately", "case-opened", "opened"),
        ("rear-opened-lately", "motor-off", "motor-off"),
        ("front-half-opened-lately", "never", "nothing"),
        ("front-half-opened-lately", "out-only", "taken-out"),
        ("springs-changed-lately", "yes", "yes"),
        ("vehicle-raised-asked", "standard", "no"),
        ("deep-water", "no", "neither"),
    ]:
        check = caller_book.checks[caller_book.aliases[old]]
        assert meant(check, word) == new


def test_an_answer_of_its_own_is_no_word_for_later(caller_book: Book, index: Index) -> None:
    """'Later' puts a question off, but where it is an answer it is the answer."""
    own = caller_book.checks["low-tone-since-new"]
    assert hear(index, caller_book, own, "later").answer == "later"
    assert hear(index, caller_book, caller_book.checks["jumps-out-of-low"], "later").answer == (
        "cannot-check"
    )
