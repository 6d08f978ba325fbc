"""The order of work (finding G38, book review 2): dirt out, innermost first, oil last and once."""

from __future__ import annotations

from dataclasses import replace

from planning.jobs import act, book_of, judge, wet_unit
from sessions import as_session, screen
from strategies import condition, remedy

from headwater.book.model import Remedies
from headwater.book.seal import unseal
from headwater.book.tables import Nature, Verb
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import job_sheet
from headwater.verdict.plan import OLD_OIL_OUT, Stage


def steps(a: Assessment) -> list[tuple[str, Verb | None]]:
    return [(step.on, step.action) for step in a.plan]


def test_g38_oil_is_filled_once_and_last_and_the_old_is_out_before_parts_go_in() -> None:
    found = {"vent_low": "yes", "oil_milky": "yes", "bearing_pitted": "yes", "shaft_rusted": "yes"}
    a = judge(wet_unit(), **found)
    assert a.ending is Ending.SETTLED
    assert steps(a) == [
        ("oil", Verb.CLEAN),
        ("shaft", Verb.REPLACE),
        ("bearing", Verb.REPLACE),
        ("vent", Verb.ADJUST),
        ("oil", Verb.REFILL),
    ]
    assert a.plan[0].text == OLD_OIL_OUT
    driven = [step.on for step in a.plan if "drive" in step.text]
    assert driven == ["oil"], "nobody drives it before the pitted bearing is out"
    assert a.plan[-1].text.startswith("Flush twice")


def test_oil_alone_is_filled_without_a_step_to_let_it_out() -> None:
    a = judge(wet_unit(), vent_low="yes", oil_milky="yes", bearing_pitted="no", shaft_rusted="no")
    assert steps(a) == [("vent", Verb.ADJUST), ("oil", Verb.REFILL)]


def test_the_sheet_says_what_began_it_first_and_numbers_the_work_as_it_is_done() -> None:
    found = {"vent_low": "yes", "oil_milky": "yes", "bearing_pitted": "yes", "shaft_rusted": "yes"}
    sheet = job_sheet(judge(wet_unit(), **found))
    (vent,) = sheet.origins
    assert (vent.step.on, vent.number, vent.stage) == ("vent", 4, Stage.VEHICLE)
    assert [job.number for job in sheet.work] == [1, 2, 3, 4, 5]
    assert [job.step.on for job in sheet.work][-1] == "oil"


def test_what_neither_stage_nor_depth_tells_apart_runs_from_the_origin_down() -> None:
    book = book_of(
        [
            condition("worn", part="sprocket", origin=True),
            condition("stretched", part="chain"),
            condition("hit", part="bearing"),
        ],
        {("worn", "stretched"): "usually", ("stretched", "hit"): "usually"},
        dict.fromkeys(("worn", "stretched", "hit"), "cover"),
    )
    a = judge(book, worn="yes", stretched="yes", hit="yes")
    assert [on for on, _ in steps(a)] == ["sprocket", "chain", "bearing"]


def test_a_housing_that_is_put_in_place_of_a_scrapped_one_comes_before_what_goes_into_it() -> None:
    book = book_of(
        [
            condition(
                "bore-worn", part="housing", origin=True, actions=act(Verb.SCRAP, "Another half.")
            ),
            condition("half-cracked", part="housing"),
            condition("burnt", part="fork"),
        ],
        {("bore-worn", "burnt"): "usually", ("bore-worn", "half-cracked"): "rarely"},
        # The bore is seen with the cover off, the rest of the half with the shaft out.
        {"bore-worn": "cover", "half-cracked": "shaft-out", "burnt": "cover"},
    )
    a = judge(book, bore_worn="yes", burnt="yes", half_cracked="no")
    assert [on for on, _ in steps(a)] == ["housing", "fork"]
    # Another half has to be had bare: it costs the shaft as well as the cover.
    assert job_sheet(a).opens == ("drained", "cover", "shaft-out")


def sprocket_with_chain() -> Assessment:
    """Judge a stretched chain whose repair takes the sprocket along; the sprocket is sound."""
    book = book_of(
        [
            condition("loaded", part="vent", origin=True, actions=act(Verb.ADJUST, "Ease it.")),
            condition("stretched", part="chain"),
            condition("hooked", part="sprocket"),
        ],
        {("loaded", "stretched"): "usually", ("stretched", "hooked"): "sometimes"},
        {},
    )
    chain = book.conditions["stretched"]
    both = (*unseal(chain.dispositions), *act(Verb.REPLACE, "A new sprocket too.", "sprocket"))
    book.conditions["stretched"] = replace(chain, dispositions=Remedies(both))
    return judge(book, loaded="yes", stretched="yes", hooked="no")


def test_a_neighbour_found_sound_stays_out_of_the_plan() -> None:
    a = sprocket_with_chain()
    assert a.ending is Ending.SETTLED
    assert [on for on, _ in steps(a)] == ["chain", "vent"]
    assert [job.step.on for job in job_sheet(a).sound] == ["sprocket"]
    assert "sprocket" not in a.decisions


def test_nobody_is_sent_to_look_for_what_cannot_be_seen() -> None:
    book = book_of(
        [
            condition("worn", part="housing", origin=True),
            replace(
                condition("presses", part="shaft", kind=Nature.STATE, actions=()),
                unobservable="only while it turns",
            ),
            condition("burnt", part="fork"),
        ],
        {("worn", "presses"): "usually", ("presses", "burnt"): "usually"},
        {},
    )
    del book.checks["look-presses"]
    a = judge(book, worn="yes", burnt="yes")
    assert steps(a) == [("housing", Verb.REPLACE), ("fork", Verb.REPLACE)]
    assert remedy("burnt") == a.plan[-1].text


def test_a_unit_that_stays_closed_is_not_opened_for_a_look_at_what_may_be_damaged_too() -> None:
    book = book_of(
        [
            condition("vent-low", part="vent", origin=True, actions=act(Verb.ADJUST, "Lead up.")),
            condition("wet", part="seal"),
            condition("rusty", part="shaft"),
        ],
        {("vent-low", "wet"): "usually", ("vent-low", "rusty"): "usually"},
        {"rusty": "shaft-out"},
    )
    a = judge(book, vent_low="yes", wet="yes")
    assert "shaft" not in {step.on for step in a.plan}
    assert job_sheet(a).opens == ()


def test_an_origin_that_is_met_by_looking_is_work_like_any_other() -> None:
    book = book_of(
        [
            condition("shaken", part="shaft", origin=True, actions=act(Verb.INSPECT, "Try it.")),
            condition("torn", part="seal"),
        ],
        {("shaken", "torn"): "usually"},
        {},
    )
    a = judge(book, shaken="yes", torn="yes")
    sheet = job_sheet(a)
    assert [(job.step.on, job.number) for job in sheet.work] == [("shaft", 1), ("seal", 2)]
    assert "Try it." in screen("plan", as_session(a))
