"""People in danger, told in the words of fright; and a 'no' or a 'quiet' that ends where it ends.

The sentences were written with the words of the book at hand, so they guard against change.
"""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.hearing.answers import hear
from headwater.hearing.index import Index
from headwater.hearing.understand import understand

TOLD = [
    ("I'm under the car and it is rolling", {"somebody-under-it", "rolling-away"}),
    ("my dad's under the car, it came down", {"somebody-under-it"}),
    ("dad is under the truck", {"somebody-under-it"}),
    ("the mechanic is under it and it is slipping", {"somebody-under-it"}),
    ("the car is rolling", {"rolling-away"}),
    ("it's rolling backwards and the kids are behind it", {"rolling-away"}),
    ("it is sliding down the hill onto him", {"rolling-away"}),
    ("there's petrol all over him", {"fuel-about"}),
    ("he can't breathe properly there's petrol all over him", {"fuel-about", "somebody-hurt"}),
    ("the apprentice got hot oil over his arm", {"somebody-hurt"}),
    ("shall I put water on the burning dust", {"burning-metal"}),
    (
        "smoke comes from below and a wheel wobbles and the brakes do not hold",
        {"smoke-from-below", "loose-wheel", "brakes-gone"},
    ),
]
HAMMERING = [
    "I'm driving now at 55 and it hammers under the floor, metal on metal, getting louder",
    "metal on metal banging under the floor, quick, it grows with speed, the floor mat jumps",
    "it's like somebody underneath with a hammer, and it gets worse",
]
CALM = [
    "the mechanic is under it and found a leak",
    "it whines when the car is rolling",
    "I let it roll and it is rolling freely",
    "my son told me the gas pedal sticks",
    "he says the diesel uses a lot",
    "the tank is full of petrol",
    "I dropped the oil out the transfer and there are plastic crumbs in it",
    "it is silent rolling downhill in neutral",
    "it sounds as if someone was under the floor",
    "the balance weight is torn off the rear shaft, two weld points on the tube",
]


@pytest.mark.parametrize(("said", "meant"), TOLD)
def test_every_sign_in_a_sentence_is_heard(index: Index, said: str, meant: set[str]) -> None:
    found = understand(index, said)
    assert meant <= set(found.signs)
    assert found.emergency == found.signs[0]


@pytest.mark.parametrize("said", HAMMERING)
def test_what_hammers_under_the_floor_may_come_down(index: Index, said: str) -> None:
    assert understand(index, said).signs == ("hanging-shaft",)


@pytest.mark.parametrize("said", CALM)
def test_what_sounds_like_it_is_none(index: Index, said: str) -> None:
    assert understand(index, said).signs == ()


def test_a_denial_ends_where_a_new_sentence_begins(index: Index) -> None:
    said = "he can't breathe properly there's fuel leaking"
    assert "fuel-leak" not in understand(index, said).denied
    assert understand(index, "there is no fuel leak").denied == ("fuel-leak",)


@pytest.mark.parametrize(
    ("check", "said", "answer"),
    [
        ("axle-howl-when", "only when I press it, it's quiet when I let it roll", None),
        ("axle-howl-when", "when I let it roll, quiet on the gas", "coast"),
        ("axle-howl-when", "on the gas", "pull"),
        ("whine-when", "all the time, never quiet", None),
        ("whine-when", "it never whines", "none"),
        ("whine-when", "in low only, quiet in high", "low-only"),
    ],
)
def test_where_it_is_quiet_is_no_answer(
    index: Index, book: Book, check: str, said: str, answer: str | None
) -> None:
    assert hear(index, book, book.checks[check], said).answer == answer


def test_what_nobody_wants_to_do_may_work(index: Index) -> None:
    assert understand(index, "I don't want to start it").not_driveline == ()


def test_a_place_that_is_said_keeps_the_other_end_from_being_taken(index: Index) -> None:
    """Offered, it may still be meant: nobody knows where a noise comes from."""
    told = understand(index, "clonk on pulling away under the front")
    assert "clunk-on-take-up" not in {one.id for one in told.ticked}
    plain = understand(index, "clonk on pulling away")
    assert "clunk-on-take-up" in {one.id for one in plain.ticked}


@pytest.mark.parametrize(
    ("said", "tells"),
    [
        ("0.4 mm", False),
        ("rear", False),
        ("mode fork pads", False),
        ("84,000 miles", False),
        ("rust red", True),
        ("hot", True),
        ("the flux thing wibbles", True),
    ],
)
def test_names_places_and_measures_alone_say_of_nothing_how_it_is(
    index: Index, said: str, tells: bool
) -> None:
    assert index.tells_a_state(said) is tells
