"""What is told by things that are named together, by named sentences and by the shipped book."""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.hearing.danger import dangers_in
from headwater.hearing.index import Index
from headwater.hearing.together import Ear, concept, ears, listen, sign
from headwater.hearing.understand import understand

WHEEL = sign(
    "loose",
    ["wheel off"],
    ["spare"],
    {"wheel": concept(["wheel*", "rim"]), "off": concept(["came off", "not tight"])},
)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("the wheel came off", True),
        ("it came off, the whole wheel", True),
        ("my wheels are not tight", True),
        ("the rim isn't tight", True),
        ("the wheel is tight", False),
        ("the wheel never came off", False),
        ("no wheel, but the mirror came off", False),
        ("the spare wheel came off", False),
        ("the wheel turned a b c d e f g and the lid came off", False),
        ("came, off the wheel", False),
    ],
)
def test_things_tell_when_they_stand_together_and_are_not_denied(said: str, told: bool) -> None:
    assert bool(Ear(listen(said)).told(WHEEL)) is told


def test_a_slip_of_the_pen_is_mended_where_it_makes_a_difference() -> None:
    mended = ears("the whel came off", {"whel": "wheel"}.get)
    assert [bool(ear.told(WHEEL)) for ear in mended] == [False, True]
    assert len(ears("the wheel came off", {"whel": "wheel"}.get)) == 1


def test_every_hint_names_something_and_speaks_of_things_that_are_named(book: Book) -> None:
    answers = {f"{c.id}: {word}" for c in book.checks.values() for word in c.answers}
    known = {str(name) for name in (*book.conditions, *book.elsewhere)} | answers
    strange = [hint.id for hint in book.hints.values() if (hint.answer or hint.id) not in known]
    assert len(book.hints) > 150
    assert strange == []


def test_every_concept_is_spoken_of(book: Book) -> None:
    used = {
        name for hint in book.hints.values() for together in hint.told for name in together.split()
    }
    kinds = {
        f"{n}-is-{no}{value}"
        for n, one in book.attributes.items()
        for value in one.values
        for no in ("", "not-")
    }
    assert set(map(str, book.concepts)) - kinds <= used
    for one in book.emergencies.values():
        told = {name for together in (*one.told, *one.sure) for name in together.split()}
        assert set(one.words) <= told, one.id


@pytest.mark.parametrize(
    ("said", "sign_of"),
    [
        ("there are flames by the gearbox", "fire"),
        ("smoke is pouring out of the floor", "smoke-from-below"),
        ("I left it in gear and it rolled into the fence", "rolling-away"),
        ("the back wheels jammed and we skidded", "locked-up-while-driving"),
        ("the shaft is dangling under the floor", "hanging-shaft"),
        ("two of the wheel nuts are gone", "loose-wheel"),
        ("the pedal goes to the floor", "brakes-gone"),
        ("I turn the wheel and it goes straight on", "steering-gone"),
        ("stuck on the level crossing with no drive", "stranded-in-traffic"),
    ],
)
def test_danger_is_heard(index: Index, said: str, sign_of: str) -> None:
    assert sign_of in dangers_in(index.dangers, ears(said, index.mended_word))


@pytest.mark.parametrize(
    "said",
    [
        "it drives well",
        "no smoke and no flames, it only whines",
        "the spare wheel came off its carrier",
        "false alarm, there was smoke but it was dust",
        "the steering wheel has a new cover",
        "can you balance the front shaft",
        "the brake pads squeak when cold",
        "we were stuck in traffic, I will be late for my appointment",
        "it hops in tight turns on the road",
        "the engine misfires and then it fires straight away",
    ],
)
def test_what_is_no_danger_raises_no_alarm(index: Index, said: str) -> None:
    assert understand(index, said).emergency is None


def test_what_is_only_hinted_at_is_offered_and_not_ticked(index: Index) -> None:
    found = understand(index, "something moans with the front in and shuts up without")
    assert "noise-in-four-wheel-drive-only" in {one.id for one in found.understood}
    assert "noise-in-four-wheel-drive-only" not in {one.id for one in found.ticked}
