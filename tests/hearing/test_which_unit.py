"""Which unit somebody speaks of, what a vehicle has not got, and what is only wished for.

Met by strangers who knew a unit's truth, in their words or near them.
"""

from __future__ import annotations

import pytest
from once import index_once, load_once
from sessions import at_hoist, replay

from headwater.book.records import Book
from headwater.book.tables import DONT_KNOW, Seat
from headwater.case.read import parse_case
from headwater.hearing.answers import hear
from headwater.hearing.index import Index
from headwater.hearing.together import Ear, concept, listen
from headwater.hearing.understand import understand
from headwater.session.earlier import tells_of_work, work_told
from headwater.session.intake import Intake
from headwater.session.unit import construction_told, unit_title
from headwater.shipped import shipped_packs


@pytest.fixture(scope="module")
def vehicle() -> Book:
    return load_once(shipped_packs())


@pytest.fixture(scope="module")
def index(vehicle: Book) -> Index:
    return index_once(vehicle)


@pytest.mark.parametrize(
    "words",
    [
        "the oil of the axle is milky",
        "milky oil in the back axle",
        "Back axle howls. Somebody changed the oil, it was like milk coffee.",
    ],
)
def test_what_is_found_in_one_unit_is_not_taken_down_for_another(index: Index, words: str) -> None:
    ticked = {one.id for one in understand(index, words).ticked}
    assert "water-in-oil" not in ticked


def test_the_unit_that_nothing_is_said_against_stays_the_usual_one(index: Index) -> None:
    for words in ("milky oil in the transfer case", "the oil is milky"):
        assert "water-in-oil" in {one.id for one in understand(index, words).ticked}


def test_a_complaint_is_put_down_to_whatever_unit(index: Index) -> None:
    """Who says that the axle hops has only felt it there: it may come from the case."""
    offered = {one.id for one in understand(index, "the front axle hops in tight turns").understood}
    assert any("hop" in one for one in offered)


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("Back axle howls from fifty up, the oil was like milk coffee.", "drive axle"),
        ("rear diff oil looks like milk", "drive axle"),
        ("milky oil in the transfer case", ""),
        ("oil everywhere", ""),
        ("shudder when turning tight, warm, gone when I switch the front axle off", ""),
    ],
)
def test_the_unit_is_the_one_that_the_words_name(vehicle: Book, words: str, unit: str) -> None:
    session = at_hoist(vehicle, {})
    Intake(session).hear(words)
    assert unit_title(session) == unit


def test_an_answer_of_another_unit_is_not_lost_for_a_word(vehicle: Book) -> None:
    session = at_hoist(vehicle, {}, magnet_paste="paste")
    Intake(session).hear("back axle howls a bit")
    assert unit_title(session) in ("", "the whole vehicle, looked at together")
    assert "magnet-paste" in session.answers


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("this car has no low range", DONT_KNOW),
        ("it hasn't got a low range", DONT_KNOW),
        ("no, my truck doesn't have any low range", DONT_KNOW),
        ("dunno. never tried it", DONT_KNOW),
        ("don't know: nobody drove it", DONT_KNOW),
        ("no", "no"),
        ("it does not", "no"),
        ("yes, it jumps out", "yes"),
    ],
)
def test_what_a_vehicle_has_not_got_says_nothing_of_how_it_is(
    vehicle: Book, index: Index, words: str, answer: str
) -> None:
    assert hear(index, vehicle, vehicle.checks["jumps-out-of-low"], words).answer == answer


@pytest.mark.parametrize(
    ("check", "words", "answers"),
    [
        ("vibration-in-four-wheel-drive", "No difference. I drive in 2H.", {"no"}),
        ("shudder-on-engagement", "No shudder or groan; a soft tock in tight bends", {"no"}),
        ("shudder-on-engagement", "it shudders when it comes in", {"yes"}),
        ("one-wheel-told", "It spins no wheel, both pull.", {"both"}),
        (
            "one-wheel-told",
            "On wet grass both rear wheels pull, in two tracks.",
            {"both", None},
        ),
        ("one-wheel-told", "only one turns, the other does nothing", {"spins"}),
        ("oil-spots-under-vehicle", "None, I keep a clean floor", {"no"}),
        ("engaged-on-the-move", "There is nothing to put in, all four always drive", {DONT_KNOW}),
    ],
)
def test_no_answer_is_turned_round(
    vehicle: Book, index: Index, check: str, words: str, answers: set[str | None]
) -> None:
    """Callers' own words: each was once taken down as the opposite."""
    assert hear(index, vehicle, vehicle.checks[check], words).answer in answers


def test_no_oil_and_no_noise_are_no_missing_parts(vehicle: Book, index: Index) -> None:
    for words in ("there is no oil", "there's no noise"):
        assert hear(index, vehicle, vehicle.checks["rear-seal-wet"], words).answer != DONT_KNOW


@pytest.mark.parametrize(
    "words",
    [
        "Do pinion bearings and a pinion seal",
        "please replace the rear seal",
        "can you fit a new pinion seal?",
        "I want a new rear seal",
        "Put them in, and a new screen",
    ],
)
def test_a_wish_is_no_work_that_was_done(vehicle: Book, words: str) -> None:
    assert not tells_of_work(words)
    assert not work_told(vehicle, f"It howls. {words}").done


def test_work_that_was_done_is_still_heard_beside_a_wish(vehicle: Book) -> None:
    told = work_told(vehicle, "The rear seal was replaced two months ago. Do the bearings, too.")
    assert [str(one.on) for one in told.done] == ["rear-output-seal"]
    assert told.ago == "two months"


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("Service nine weeks ago, all drive oils renewed", "oil"),
        ("pinion seal renewed", "pinion-seal"),
    ],
)
def test_what_was_renewed_is_what_the_last_word_names(vehicle: Book, words: str, part: str) -> None:
    assert [str(done.on) for done in work_told(vehicle, words).done] == [part]


def test_what_a_unit_needs_is_a_wish() -> None:
    assert not tells_of_work("It needs a rebuilt case, I say.")


def test_work_that_is_over_is_no_trouble_elsewhere(vehicle: Book) -> None:
    """A spring that was done is mended; a spring that is broken is trouble."""
    for words, ticked in (
        ("The spring was done before Christmas, a new leaf spring on the right.", False),
        ("A leaf spring is broken.", True),
    ):
        intake = Intake(at_hoist(vehicle, {}))
        intake.hear(words)
        assert [(one.id, one.ticked) for one in intake.asides] == [("suspension", ticked)]


def test_where_a_concept_is_said_is_not_taken_for_another(vehicle: Book) -> None:
    """Concepts that are made for one look are gone after it, and their ids are given again."""
    ear = Ear(listen("the axle howls when I accelerate"))
    ways = ["axle", *(f"word{number}" for number in range(50))]
    said = [ear.places(concept((way,))) for way in ways]
    assert said == [[1], *([] for _ in ways[1:])]
    session = at_hoist(vehicle, {})
    assert construction_told(session, ["the axle howls when I accelerate"]) == {}


def test_a_caller_who_names_another_unit_may_be_wrong_about_it(vehicle: Book) -> None:
    """All of the vehicle is looked at then; at the hoist the unit lies there to be seen."""
    words = "my back axle acts up"
    for seat, unit in ((Seat.CALL, "both"), (Seat.HOIST, "drive-axle")):
        text = f"case: ridge-40\nseat: {seat}\nunit: {{family: {{}}}}\nfindings:\n"
        session = replay(vehicle, parse_case(text, "ridge-40.yaml"))
        Intake(session).hear(words)
        assert session.case.family.get("unit") == unit
