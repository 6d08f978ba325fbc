"""Danger told in words of no textbook: what hangs, smokes, is hot, stands in the way, or under it.

The sentences were written with the words of the book at hand, so they guard against change.
"""

from __future__ import annotations

import pytest

from headwater.hearing.index import Index
from headwater.hearing.understand import understand

TOLD = {
    "hanging-shaft": [
        "the case has dropped",
        "the transfer case sits lower on one side",
        "the case came loose from the frame",
        "a mount bolt is missing",
        "the mount bolt is sheared",
        "the mount is torn through",
        "the box is hanging on one bolt",
        "the rubber mount tore in two and the transfer case sits crooked",
        "there is a hole where the mount bolt was",
    ],
    "smoke-from-below": [
        "a haze behind in the mirror",
        "a bluish veil behind us",
        "grey veil in the mirror",
        "the lever is hot through the glove",
        "the floor is hot through the shoe",
        "something bluish in the mirror each time I lift off",
    ],
    "wheel-hot": [
        "the wheel drags and smells hot",
        "a wet finger hisses on the hub",
        "a wet finger hisses on the rim",
        "the left rear wheel sticks and stinks",
        "front right drum is too hot to touch",
        "one hub is too hot to touch, the others are cold",
    ],
    "stranded-in-traffic": [
        "no drive at all, on the blind bend",
        "we stand and log trucks come down here",
        "stopped on the bridge, no drive at all",
        "it went dead on the haul road just over the crest",
    ],
    "somebody-under-it": [
        "I was about to lie under it and push it up",
        "my husband wants to lie under it and tie it up",
        "shall I prop it up with a jack",
    ],
}
CALM = [
    "the oil of the case has dropped",
    "the case drops into neutral",
    "it hangs up in low",
    "the mount rubber is soft",
    "heat shield hangs down",
    "the carpet gets warm",
    "a white van is behind us",
    "the brakes squeal",
    "it howls when I turn the steering wheel",
    "a heat shield is loose at one corner",
    "wheel drags in tight turns",
    "I had to push it up the hill",
    "do I have to crawl under it",
]


@pytest.mark.parametrize(("meant", "said"), [(m, s) for m, ways in TOLD.items() for s in ways])
def test_danger_is_heard_without_its_textbook_words(index: Index, meant: str, said: str) -> None:
    assert understand(index, said).emergency == meant


@pytest.mark.parametrize("said", CALM)
def test_what_sounds_like_it_is_none(index: Index, said: str) -> None:
    assert understand(index, said).emergency is None
