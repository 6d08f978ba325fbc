"""Codes as they are read out, questions that deny nothing, noise that changes in bends, lamps."""

from __future__ import annotations

import pytest

from headwater.hearing.english import pieces
from headwater.hearing.understand import understand
from headwater.shipped import open_packs, shipped_packs

OPENED = open_packs(shipped_packs())


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("P zero eight three six", "p0836"),
        ("P-0836", "p0836"),
        ("P 08 36", "p0836"),
        ("p oh eight thirty six", "p0836"),
        ("U zero one zero two", "u0102"),
        ("P zero eight hundred", "p0800"),
        ("P two seven seven one", "p2771"),
    ],
)
def test_a_code_is_heard_however_it_is_read_out(said: str, heard: str) -> None:
    assert pieces(f"the reader shows {said} today") == ["the", "reader", "shows", heard, "today"]


@pytest.mark.parametrize("said", ["u joint one two", "put it in P", "c 4 gears", "P one"])
def test_what_has_not_four_digits_is_no_code(said: str) -> None:
    assert pieces(said) == said.lower().split()


@pytest.mark.parametrize("code", ["P zero eight three six", "P-0836", "the reader says P 0836"])
def test_a_code_that_is_read_out_finds_its_answer(code: str) -> None:
    found = understand(OPENED.index, code, OPENED.book)
    assert found.understood[0].answer == "p0836-p0839"


@pytest.mark.parametrize(
    "asked",
    [
        "isn't it about to burst?",
        "it isn't about to burst?",
        "isn't the driveshaft about to fall off?",
        "it isn't leaking, is it?",
        "there is no leak, is there?",
        "doesn’t it leak?",
        "won't it burst?",
    ],
)
def test_a_question_denies_nothing(asked: str) -> None:
    assert not understand(OPENED.index, asked, OPENED.book).denied


@pytest.mark.parametrize(
    "said", ["won't go into low", "why won't it go into low?", "it doesn't engage, does it?"]
)
def test_what_does_not_work_stays_so_in_a_question(said: str) -> None:
    assert "not" in pieces(said)


@pytest.mark.parametrize(
    "said",
    [
        "a drone from the back left that changes in bends",
        "the hum gets louder when I swing right and goes away when I swing left",
        "it drones and the drone changes in corners",
        "droning at the front that goes when I steer left",
        "there is a rumble from the rear that changes in a curve",
        "droning that gets louder in left-handers",
    ],
)
def test_noise_that_changes_in_bends_is_a_wheel_bearing_first(said: str) -> None:
    found = understand(OPENED.index, said, OPENED.book)
    assert "wheel-growls-in-curves" in [one.id for one in found.understood[:3]]
    assert "whine-in-all-ranges" not in [one.id for one in found.ticked]


@pytest.mark.parametrize(
    "said",
    [
        "amber lamp",
        "an amber lamp is on, nobody knows which",
        "an amber lamp, a lamp nobody can name",
        "there is a lamp on the dash I can't name",
        "an orange light that nobody can tell",
    ],
)
def test_a_lamp_that_nobody_can_name_is_said_to_be_one(said: str) -> None:
    found = understand(OPENED.index, said, OPENED.book)
    assert "warning-lamp-unknown" in found.not_driveline
