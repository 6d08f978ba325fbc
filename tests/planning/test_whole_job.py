"""What an option costs (finding C19): the whole job, for a repair and for an exchange unit."""

from __future__ import annotations

import pytest
from planning.jobs import PRICES, act, book_of, judge, wet_unit
from sessions import as_session, screen
from strategies import condition

from headwater.book.tables import Verb
from headwater.verdict.assess import Assessment
from headwater.verdict.options import Option, Way, make_options
from headwater.verdict.reach import Stand
from headwater.view.options import Pricing


def by_way(a: Assessment, prices: bool = True) -> dict[Way, Option]:
    return {o.way: o for o in make_options(a, PRICES if prices else None)}


def lines(option: Option) -> list[tuple[str, str, float | None, float | None]]:
    return [(c.on, c.what, c.minutes, c.material) for c in option.charges]


def worn_shaft(stand: Stand | None = None) -> Assessment:
    """Judge a unit whose shaft is worn, and has rubbed through a seal."""
    book = book_of(
        [condition("worn", part="shaft", origin=True), condition("torn", part="seal")],
        {("worn", "torn"): "usually"},
        {"worn": "shaft-out", "torn": "cover"},
    )
    return judge(book, stand, worn="yes", torn="yes")


def test_c19_opening_and_closing_once_and_what_they_use_up() -> None:
    option = by_way(worn_shaft())[Way.PLANNED]
    assert lines(option) == [
        ("drained", "opening", 5.0, 0.0),
        ("cover", "opening", 10.0, 0.0),
        ("shaft-out", "opening", 20.0, 0.0),
        ("shaft", "replace", 15.0, 100.0),
        ("seal", "replace", 15.0, 100.0),
        ("shaft-out", "closing", 20.0, 0.0),
        ("cover", "closing", 15.0, 0.0),
        ("drained", "closing", 5.0, 0.0),
        ("gasket", "renewed", 0.0, 7.0),
        ("oil", "renewed", 0.0, 30.0),
    ]
    assert option.minutes == 105.0
    assert option.total == pytest.approx(237.0 + 105.0)


def test_c19_a_unit_that_lies_in_pieces_costs_the_same_job() -> None:
    apart = Stand(removed=frozenset({"drained", "cover", "shaft-out"}))
    option, closed = (by_way(worn_shaft(s))[Way.PLANNED] for s in (apart, None))
    assert option.total == closed.total
    assert {c.what for c in option.charges} >= {"opened"}


def test_oil_that_the_plan_fills_is_not_charged_a_second_time() -> None:
    found = {"vent_low": "yes", "oil_milky": "yes", "bearing_pitted": "yes", "shaft_rusted": "yes"}
    charges = by_way(judge(wet_unit(), **found))[Way.PLANNED].charges
    assert [c.what for c in charges if c.on == "oil" and c.material] == ["refill"]


def test_c19_an_exchange_unit_gets_its_oil_and_says_what_stays_on_the_vehicle() -> None:
    found = {"vent_low": "yes", "oil_milky": "yes", "bearing_pitted": "yes", "shaft_rusted": "yes"}
    ways = by_way(judge(wet_unit(), **found))
    bare, more = ways[Way.EXCHANGE], ways[Way.EXCHANGE_AND_OUTSIDE]
    assert lines(bare) == [("unit", "exchange", 120.0, 900.0), ("oil", "renewed", 0.0, 30.0)]
    assert bare.leaves == ("vent-low",)
    assert more.leaves == ()
    assert ("vent", "adjust", 10.0, 0.0) in lines(more)


def test_c19_an_exchange_unit_without_a_price_list_does_not_take_0_minutes() -> None:
    a = worn_shaft()
    exchange = by_way(a, prices=False)[Way.EXCHANGE]
    assert exchange.minutes is None
    told = screen("options", Pricing(as_session(a)))
    assert "0 min" not in [word for line in told.splitlines() for word in line.split(", ")]
    assert "another unit: exchange; its time and price stand in a price list" in told


def test_c19_a_proven_origin_that_is_corrected_seldom_comes_back() -> None:
    """Six other origins are common and do damage elsewhere: that is none of this repair."""
    others = [condition(f"other{n}", part=f"q{n}", origin=True, common="common") for n in range(6)]
    harm = [condition(f"harm{n}", part=f"r{n}") for n in range(6)]
    book = book_of(
        [
            condition("worn", part="shaft", origin=True),
            condition("torn", part="seal"),
            *others,
            *harm,
        ],
        {("worn", "torn"): "usually"}
        | {(f"other{n}", f"harm{n}"): "always" for n in range(6)}
        | {(f"other{n}", "torn"): "rarely" for n in range(6)},
        {},
    )
    a = judge(book, worn="yes", torn="yes")
    again = by_way(a)[Way.PLANNED].again
    assert again is not None
    assert again.chance < 0.05


def test_c19_what_comes_back_is_said_in_a_line_for_each_way() -> None:
    book = book_of(
        [
            condition("vent-low", part="vent", origin=True, actions=act(Verb.ADJUST, "Lead up.")),
            condition("rusty", part="shaft"),
        ],
        {("vent-low", "rusty"): "usually"},
        {},
    )
    a = judge(book, vent_low="yes", rusty="yes")
    again = by_way(a)[Way.EXCHANGE].again
    assert again is not None
    assert again.left[0][0] == "vent-low"
    assert again.left[0][1] == pytest.approx(again.chance, abs=0.01)
    told = screen("options", Pricing(as_session(a)))
    assert "comes back (over 99 %) by what may stay: state vent-low (over 99 %)" in told


def test_an_undetermined_case_says_which_candidates_an_exchange_unit_leaves() -> None:
    book = book_of(
        [
            condition("vent-low", part="vent", origin=True, actions=act(Verb.ADJUST, "Lead up.")),
            condition("worn", part="bearing", origin=True),
            condition("rusty", part="shaft"),
        ],
        {("vent-low", "rusty"): "usually", ("worn", "rusty"): "usually"},
        {},
    )
    del book.checks["look-vent-low"], book.checks["look-worn"]
    ways = by_way(judge(book, rusty="yes"))
    assert [cid for cid, _ in ways[Way.EXCHANGE].may_leave] == ["vent-low"]
    assert ways[Way.EXCHANGE_AND_OUTSIDE].may_leave == ()
    assert ways[Way.COVERING].may_leave == ()
