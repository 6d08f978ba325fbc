"""Trouble elsewhere, wishes and what is as built: heard by a thing and its state, not by a word.

The sentences were written with the words of the book at hand, so they guard against change.
"""

from __future__ import annotations

import pytest

from headwater.hearing.index import Index
from headwater.hearing.understand import understand

BY_CHANCE = {
    "tyres-worn": [
        "the rubber is torn on the cross piece",
        "the rubber of the mount is ripped at the cross member",
    ],
    "air-conditioning": [
        "it moves a good inch with a clack",
        "it has an inch of play and clacks when I rock the shaft",
    ],
    "engine-oil-lamp": [
        "amber lamp, the axle has friction oil in it",
        "a yellow lamp blinks and the friction oil is two years old",
        "there's a puddle of red oil under the middle of the car",
    ],
    "fuel-leak": [
        "it idles roughly and smells of petrol from the exhaust",
        "I filled the tank with diesel and then it whined",
        "I was driving to the petrol station when it hopped",
    ],
    "hum-after-key-off": [
        "the heat shield buzzes",
        "same buzz",
        "the shield hums at two thousand revs",
    ],
    "opening-hours": [
        "I have twelve children tomorrow",
        "I have to take the children to school tomorrow",
    ],
    "price-only": ["the price of the last repair was silly"],
    "heater": ["the heater pipes run beside it"],
    "electrics": ["the fuse cover is under the seat"],
}
MEANT = {
    "engine-oil-lamp": "the red oil lamp stays on",
    "tyres-worn": "the tyres are bald",
    "air-conditioning": "my aircon does not cool",
    "fuel-leak": "petrol drips on the floor",
    "opening-hours": "can I come by tomorrow",
    "price-only": "I only want a price",
    "heater": "the heater blows cold",
    "electrics": "a fuse keeps blowing",
    "engine-misfires": "idles roughly and smells of petrol",
    "engine-will-not-start": "will not start when hot, then it fires straight away",
}
STEERED = [
    "howls when I turn the wheel",
    "it howls when I turn the steering wheel",
    "a howl each time I turn the wheel in the yard",
    "groans at full lock when I turn the wheel",
    "whines when I steer at standstill",
]
NO_DRIVE = [
    "no drive at all",
    "there is no drive at all, it just revs",
    "it has no drive in any gear",
    "I have no drive whatsoever",
    "no drive anywhere, neither forward nor reverse",
    "the engine revs and it has lost all drive",
]


@pytest.mark.parametrize(("wrong", "said"), [(w, s) for w, ways in BY_CHANCE.items() for s in ways])
def test_a_chance_word_ticks_nothing_elsewhere(index: Index, wrong: str, said: str) -> None:
    assert wrong not in understand(index, said).not_driveline


@pytest.mark.parametrize(("meant", "said"), MEANT.items())
def test_a_thing_with_its_state_is_heard(index: Index, meant: str, said: str) -> None:
    assert meant in understand(index, said).not_driveline


@pytest.mark.parametrize("said", STEERED)
def test_a_howl_at_the_steering_wheel_is_steering(index: Index, said: str) -> None:
    found = understand(index, said)
    assert found.not_driveline == ("steering-trouble",)
    assert "towed-in-gear" not in {one.id for one in found.ticked}


@pytest.mark.parametrize("said", NO_DRIVE)
def test_no_drive_at_all_is_a_complaint(index: Index, said: str) -> None:
    assert "no-drive-at-axle" in {one.id for one in understand(index, said).understood}
