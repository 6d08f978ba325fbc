"""An axle out of its place, a leak that ran dry, and work that is over.

The sentences are the project's own words for what callers of trials told; they guard against
change. How strangers' phrases fare is measured apart, for words are never all foreseen.
"""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.hearing.index import Index
from headwater.hearing.understand import understand


@pytest.mark.parametrize(
    "said",
    [
        "It runs crooked like a dog since the spring was done.",
        "A U-bolt of the rear spring has snapped.",
        "The centre bolt of the leaf spring is sheared and the axle has slipped back on one side.",
        "On the gas it draws to one side and off the gas to the other.",
        "The trailing arm has torn out of its bracket.",
    ],
)
def test_an_axle_out_of_its_place_is_a_sign_of_danger(index: Index, said: str) -> None:
    assert "axle-adrift" in understand(index, said).signs


@pytest.mark.parametrize(
    "said",
    [
        "We had new U-bolts fitted and they were retightened after a week.",
        "Only the leaf springs squeak over the bumps.",
        "The steering wheel stands a bit crooked, but it goes straight.",
        "The dog is in the cab with me.",
    ],
)
def test_what_only_sounds_like_it_is_none(index: Index, said: str) -> None:
    assert "axle-adrift" not in understand(index, said).signs


@pytest.mark.parametrize(
    ("said", "check"),
    [
        ("The leak of the transfer case has stopped by itself.", "oil-spots-under-vehicle"),
        ("It used to leak a puddle, now it is dry as a bone.", "oil-spots-under-vehicle"),
        ("The diff leaked all winter and it has dried up on its own.", "axle-spots-told"),
    ],
)
def test_a_leak_that_stopped_by_itself_is_heard_as_that(
    index: Index, book: Book, said: str, check: str
) -> None:
    heard = understand(index, said, book).understood
    assert (check, "dried-up") in [(one.check, one.answer) for one in heard]


def test_a_leak_that_stopped_after_work_is_not_taken_as_that(index: Index) -> None:
    heard = understand(index, "The leak stopped since the new seal was put in and it was filled.")
    assert "dried-up" not in [one.answer for one in heard.ticked]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("put it in four and the noise is gone", "noise-in-two-wheel-drive-only"),
        (
            "it howls in four wheel drive, in two the noise is gone",
            "noise-in-four-wheel-drive-only",
        ),
    ],
)
def test_in_which_drive_a_noise_is_gone_is_not_turned_round(
    index: Index, book: Book, said: str, meant: str
) -> None:
    """Each was once heard, or might be, as the other."""
    kinds = ("noise-in-two-wheel-drive-only", "noise-in-four-wheel-drive-only")
    heard = [one.id for one in understand(index, said, book).understood if one.id in kinds]
    assert heard == [meant]
