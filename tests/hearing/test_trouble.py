"""Danger at a wheel, and trouble elsewhere: heard in many words, and not where there is none.

The sentences were written with the words of the book at hand, so they guard against change.
"""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.book.tables import Drive
from headwater.hearing.answers import hear
from headwater.hearing.index import Index
from headwater.hearing.understand import understand

TYRE = [
    "there is a bulge on the inside of the front left tyre",
    "feels like a hump in the tread when I run my hand over it, like an egg",
    "lump in the tyre",
    "the tread is lifting on one of the back ones",
    "thump thump thump from one tyre that gets faster and worse with speed",
    "my front tyre looks pregnant",
    "there's a swelling as big as half an apple on the sidewall",
    "the tyre's outer layer is coming away in a strip",
]
WHEEL = [
    "ticking from the corner after the wheel was changed",
    "clonk at one wheel since the tyres were swapped",
    "There's a bit of a knock from the front since the winter tyres went on on Tuesday",
    "a nut is missing on the left front",
    "rust streaks and bright dust round the nut holes",
    "nuts",
    "the wheel's nuts keep backing off",
    "two of the studs have snapped on the back left",
    "it clicks at the back left, had the wheel off on Saturday for a puncture",
    "holes in the rim have gone oval",
]
CALM = [
    "it hops in tight turns since the new tyres",
    "vibration since the new tyres were put on at 80",
    "clunk when I take up drive, tyres are new",
    "the flange nut is loose",
    "bolts of the propshaft are loose",
    "knock from the axle once a wheel turn",
    "new tyres last month, and it knocks when I go on and off the throttle",
    "Full lock in the clinic car park it goes judder-judder, in automatic",
    "it goes from the car park with a judder",
    "in the car park it goes clunk when I put it in drive",
    "left in the lorry park overnight, there was a spot",
    "it is in park now and I am standing beside it",
    "the lever goes into park with a clunk",
]
ROLLS = [
    "rolled off in the car park while I was paying",
    "left it in park and it rolled into the car park wall",
    "it rolls in park",
]
BESIDE = {
    "it hops in tight turns and the temperature needle goes into the red": "engine-overheats",
    "it whines at all speeds and the brake pedal is soft": "brakes-trouble",
    "oil spots under it and the engine overheats": "engine-overheats",
    "vibration at 60 and the tyre is bulging": "tyre-coming-apart",
    "no growl, but the needle is at the red on the last hill": "engine-overheats",
    "the bottle by the engine is empty again, I topped it up with two jugs": "coolant-leak",
    "heater blows cold and the windscreen steams up": "coolant-leak",
    "brake fluid is below the lower mark": "brakes-trouble",
    "not that I know, the check engine light blinks when it pulls": "engine-misfires",
    "two new ones; by the way the steering has got a lot of slack": "steering-trouble",
    "dry, but my temp gauge has been climbing into the red": "engine-overheats",
}


@pytest.mark.parametrize("said", TYRE)
def test_a_tyre_that_comes_apart_stops(book: Book, index: Index, said: str) -> None:
    assert "tyre-coming-apart" in understand(index, said, book).not_driveline
    assert book.elsewhere["tyre-coming-apart"].advice is Drive.STOP


@pytest.mark.parametrize("said", WHEEL)
def test_a_wheel_that_works_loose_is_a_danger(book: Book, index: Index, said: str) -> None:
    assert understand(index, said, book).emergency in ("wheel-working-loose", "loose-wheel")


@pytest.mark.parametrize("said", CALM)
def test_no_danger_is_heard_where_none_is(book: Book, index: Index, said: str) -> None:
    assert understand(index, said, book).emergency is None


@pytest.mark.parametrize("said", ROLLS)
def test_a_park_that_is_a_place_hides_no_rolling(book: Book, index: Index, said: str) -> None:
    assert understand(index, said, book).emergency == "rolling-away"


@pytest.mark.parametrize(("said", "trouble"), BESIDE.items())
def test_trouble_that_stops_is_heard_beside_anything(
    book: Book, index: Index, said: str, trouble: str
) -> None:
    assert trouble in understand(index, said, book).not_driveline


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("all the same size", "alike"),
        ("identical, bought together", "alike"),
        ("all four the same make, same age", "alike"),
        ("all the same size and make, two rear tyres worn more than the front", None),
        ("the same size but two are new", None),
        ("not the same size", "unlike"),
        ("the sizes are different", "unlike"),
    ],
)
def test_the_same_is_never_read_as_its_opposite(
    book: Book, index: Index, said: str, answer: str | None
) -> None:
    assert hear(index, book, book.checks["tyres-asked"], said).answer == answer


@pytest.mark.parametrize(
    "said",
    [
        "When I turn the key off it hums to itself underneath, like a fridge, then click",
        "she turned the range knob to low herself to see if it clicks",
        "I turn one wheel forwards and the other one goes backwards",
    ],
)
def test_what_is_as_built_is_said_so(book: Book, index: Index, said: str) -> None:
    heard = [book.elsewhere[one] for one in understand(index, said, book).not_driveline]
    assert [one.title.split(":")[0] for one in heard] == ["As built"]
    assert heard[0].advice is Drive.OK
    howls = understand(index, f"{said}, and it howls at every speed", book)
    assert "whine-in-all-ranges" in [one.id for one in howls.understood]
