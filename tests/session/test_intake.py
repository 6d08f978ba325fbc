"""What a person picks of what was understood is taken, or it is said why not."""

from __future__ import annotations

import pytest
from once import load_once
from sessions import at_hoist

from headwater.book.records import Book, for_family, has_checks
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.hearing.targets import Topic
from headwater.hearing.understand import Understood, understand
from headwater.session.intake import MOST_OFFERED, Intake
from headwater.session.listed import Item
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.session.unit import can_be, family_of_all, of_this_unit
from headwater.shipped import shipped_packs
from headwater.verdict.assess import Reasoner


@pytest.fixture(scope="module")
def vehicle() -> Book:
    return load_once(shipped_packs())


def test_what_no_such_unit_can_have_is_named_and_kept_as_told(
    book: Book, reasoner: Reasoner
) -> None:
    family = book.family
    assert family["low-range"] == "planetary"
    check = next(
        c for c in book.checks.values() if c.when.get("low-range") == ("sliding",) and c.answers
    )
    session = at_hoist(book, family, reasoner)
    intake = Intake(session, said=["the sliding gear is chipped"])
    one = Understood(Topic.FINDING, check.id, check.id, next(iter(check.answers)), "chipped", 1.0)
    intake.items.append(Item(one, ticked=True))
    assert intake.take() == {}
    assert intake.misfits == ("chipped",)
    assert check.id not in session.answers
    assert "the sliding gear is chipped" in session.case.told


def test_no_unit_is_made_of_words_that_an_answer_given_cannot_be_of(vehicle: Book) -> None:
    """What was answered stays: what only another unit can have is kept as told."""
    told = {"unit": "wheel-end", "axle-place": "front"}
    session = at_hoist(vehicle, told, front_play_told="rocks")
    assert can_be(session, {"unit": "wheel-end"})
    assert not can_be(session, {"unit": "propeller-shaft"})
    elsewhere = next(
        c
        for c in vehicle.checks.values()
        if vehicle.owner["checks", c.id] == "propeller-shafts" and c.answers and not c.reading
    )
    assert family_of_all(session, [elsewhere.id, elsewhere.id]) in ({}, {"unit": "both"})
    intake = Intake(session, said=["the shaft is bent"])
    word = next(iter(elsewhere.answers))
    one = Understood(Topic.FINDING, elsewhere.id, elsewhere.id, word, "bent", 1.0)
    intake.items.append(Item(one, ticked=True))
    intake.take()
    assert "front-play-told" in session.answers


def test_words_of_another_axle_end_no_session(vehicle: Book) -> None:
    """Met by a stranger: more words, of a wheel of whichever axle, beside an answer about one."""
    session = at_hoist(
        vehicle, {"unit": "wheel-end", "axle-place": "front"}, front_play_told="rocks"
    )
    intake = Intake(session)
    intake.hear("the wheel is loose and wobbles, the bearing was tightened twice")
    intake.take()
    assert "front-play-told" in session.answers
    assert any("tightened twice" in words for words in session.case.told)


def test_what_was_said_last_is_offered_though_much_was_offered_before(vehicle: Book) -> None:
    """Five offers of the first sentence left no room for those of the next."""
    intake = Intake(at_hoist(vehicle, {}))
    for check in [c for c in vehicle.checks if c.startswith("axle")][:MOST_OFFERED]:
        one = Understood(Topic.FINDING, check, check, "", "said before", 0.5)
        intake.items.append(Item(one, ticked=False))
    before = {item.one.id for item in intake.items}
    intake.hear("the lever is stiff and it jumps about")
    assert {item.one.id for item in intake.items} - before
    assert len(intake.items) >= MOST_OFFERED


def test_words_in_which_there_was_no_danger_raise_it_no_more(vehicle: Book) -> None:
    session = at_hoist(vehicle, {})
    intake = Intake(session)
    intake.hear("the wheel nuts are loose")
    assert intake.emergency
    intake.calm()
    assert intake.emergency is None
    again = Intake(session)
    again.hear("the wheel nuts are loose")
    assert again.emergency is None
    again.hear("now a wheel has come off")
    assert again.emergency


def test_the_checks_of_a_family_are_those_of_the_book_made_for_it(vehicle: Book) -> None:
    """The short way, which every listening goes, against the long one; one of each is enough."""
    asked = [*vehicle.checks, "no-such-check", next(iter(vehicle.checks))]
    kept = set()
    for name in (*vehicle.assumed, "drive", "housing"):
        for value in vehicle.attributes[name].values:
            family = {name: str(value)}
            own = for_family(vehicle, family).checks
            found = has_checks(vehicle, asked, family)
            assert found == [check for check in asked if check in own], family
            kept.add(len(found))
    assert len(kept) > 2, "families differ in what can be looked at"


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("a droning from the back when I take my foot off", "axle-howls-on-coast"),
        ("the rear wheel bearing was changed and now it hums again", "wheel-growls-in-curves"),
    ],
)
def test_what_any_unit_of_the_vehicle_can_have_is_sure_of_none(
    vehicle: Book, said: str, meant: str
) -> None:
    """A caller tells of a vehicle: a hum is not the transfer case's because that is assumed."""
    session = open_session(OpenBook(vehicle), Case(case="a"), Seat.CALL)
    intake = Intake(session)
    intake.hear(said)
    assert meant in [item.one.id for item in intake.items]
    assert not any(item.ticked for item in intake.items)
    assert len({item.one.id for item in intake.items}) == len(intake.items)
    number = [item.one.id for item in intake.items].index(meant) + 1
    intake.choose([number])
    assert {*intake.take(), *session.answers}
    assert session.case.family["unit"] != vehicle.assumed["unit"]


def test_a_smell_of_hot_metal_is_no_smell_of_oil(vehicle: Book) -> None:
    session = open_session(OpenBook(vehicle), Case(case="a"), Seat.CALL)
    intake = Intake(session)
    intake.hear("it smells of hot metal")
    assert not any(item.ticked for item in intake.items)
    intake.hear("it smells hot")
    assert [item.one.id for item in intake.items if item.ticked] == ["hot-oil-smell"]


@pytest.mark.parametrize(
    "said", ["steel splinters on the magnet, needles 1 to 4 mm", "the chain is worn"]
)
def test_words_at_the_bench_make_no_other_unit_of_the_one_that_was_told(
    vehicle: Book, said: str
) -> None:
    """Met by a stranger: splinters in an axle opened the transfer case, and the verdict with it."""
    session = open_session(OpenBook(vehicle), Case(case="a"), Seat.BENCH)
    session.describe({"unit": "drive-axle"})
    intake = Intake(session)
    intake.hear(said)
    intake.take()
    assert session.family["unit"] == "drive-axle"
    assert session.case.not_placed


def test_words_of_another_unit_are_not_placed_and_do_not_vanish(vehicle: Book) -> None:
    session = open_session(OpenBook(vehicle), Case(case="a"), Seat.BENCH)
    session.describe({"unit": "drive-axle"})
    wider = understand(session.open_book.index, "the chain is worn, the axle drips")
    assert {"chain-worn", "axle-drips"} <= {one.id for one in wider.understood}
    here = of_this_unit(session, wider)
    assert "axle-drips" in [one.id for one in here.understood]
    assert "chain-worn" not in [one.id for one in here.understood]
    assert any("chain" in words for words in here.unplaced)
