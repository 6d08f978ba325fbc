"""Priced options: the arithmetic, what is refused, and what a comeback costs."""

from __future__ import annotations

import json

import pytest
from planning.conftest import Judge, Play

from headwater.verdict.comingback import open_bill
from headwater.verdict.options import Option, Way, make_options
from headwater.verdict.prices import Prices


def by_way(options: list[Option]) -> dict[Way, Option]:
    return {option.way: option for option in options}


def test_the_repair_as_planned_by_hand(judge: Judge, prices: Prices) -> None:
    option = by_way(make_options(judge("ridge-07").verdict, prices))[Way.PLANNED]
    # housing 410 + bearing 46 + fork 88, and what opening uses up; 60 + 25 + 20 min, two looks of 3
    work = [c for c in option.charges if c.what not in ("opened", "closing", "renewed")]
    assert sum(c.material or 0.0 for c in work) == pytest.approx(410 + 46 + 88)
    assert sum(c.minutes or 0.0 for c in work) == 60 + 25 + 20 + 3 + 3
    assert option.minutes == sum(c.minutes or 0.0 for c in option.charges)
    assert option.labour == pytest.approx(64 * option.minutes / 60)
    assert option.leaves == ()


def test_the_bare_fork_is_cheap_until_it_comes_back(judge: Judge, prices: Prices) -> None:
    options = by_way(make_options(judge("ridge-07").verdict, prices, ["range-fork"]))
    asked, planned = options[Way.ASKED], options[Way.PLANNED]
    assert asked.leaves == ("front-bore-worn",)
    assert asked.total is not None
    assert planned.total is not None
    assert asked.total < planned.total
    assert asked.again is not None
    assert planned.again is not None
    assert asked.again.chance > 0.98
    assert planned.again.chance < 0.10
    assert asked.with_comeback is not None
    assert planned.with_comeback is not None
    assert asked.with_comeback > planned.with_comeback


def test_the_expected_cost_is_the_sum_of_its_lines(judge: Judge, prices: Prices) -> None:
    again = open_bill(judge("ridge-07").verdict, prices).coming_back(())
    assert again.cost is not None
    lines = [*again.lines, *again.opening]
    assert again.cost == pytest.approx(sum(x.chance * (x.cost or 0.0) for x in lines))
    bore = next(x for x in again.lines if x.on == "front-housing")
    assert bore.chance == pytest.approx(1.0, abs=1e-6)
    assert bore.cost == pytest.approx(410 + 64 * 60 / 60)
    out = next(x for x in again.opening if x.on == "unit-out")
    assert out.cost == pytest.approx(64 * out.minutes / 60)
    assert out.minutes >= 90 + 90, "out and in again"


def test_no_price_is_invented(judge: Judge) -> None:
    assessment = judge("ridge-07").verdict
    for option in make_options(assessment, None, ["range-fork"]):
        assert (option.material, option.labour, option.total) == (None, None, None)
        assert option.again is not None
        assert option.again.cost is None
    few = Prices(prices="few", currency="EUR", labour=60.0, parts={})
    options = by_way(make_options(assessment, few))
    assert options[Way.PLANNED].total is None
    assert "front-housing" in options[Way.PLANNED].unpriced
    assert options[Way.PLANNED].at_least
    assert options[Way.EXCHANGE].refused == "the price file has no exchange unit"


def test_what_is_held_has_no_price(judge: Judge, prices: Prices) -> None:
    options = make_options(judge("plan-float-at").verdict, prices, ["range-fork"])
    assert [o.way for o in options] == [Way.PLANNED, Way.ASKED]
    assert all(o.refused and not o.charges and o.total is None for o in options)


def test_an_undetermined_case_has_two_ways(judge: Judge, prices: Prices) -> None:
    options = by_way(make_options(judge("plan-undetermined").verdict, prices))
    assert options[Way.PLANNED].refused
    covering = options[Way.COVERING]
    assert {"front-bore-worn", "front-bore-loose-hot", "input-snap-ring-unseated"} <= set(
        covering.corrects
    )
    assert covering.total is not None
    # An exchange unit comes dry: 36 of oil.
    assert options[Way.EXCHANGE].total == pytest.approx(2450 + 36 + 64 * 150 / 60)


def test_an_exchange_unit_does_not_change_the_tyres(judge: Judge, prices: Prices) -> None:
    options = by_way(make_options(judge("plan-tyres").verdict, prices))
    bare, more = options[Way.EXCHANGE], options[Way.EXCHANGE_AND_OUTSIDE]
    assert bare.leaves == ("tyre-mismatch",)
    assert more.leaves == ()
    assert bare.again is not None
    assert more.again is not None
    assert more.again.chance < bare.again.chance


def test_the_command_gives_the_same_as_json(play: Play) -> None:
    args = ("--prices", "examples/prices/winter-list.yaml", "--parts", "range fork", "--json")
    status, text, fault = play("options", "examples/ridge-07.yaml", *args)
    assert (status, fault) == (0, "")
    data = json.loads(text)
    assert data["prices"]["currency"] == "EUR"
    planned = data["options"][0]
    expected = planned["coming_back"]["expected_cost"]
    assert planned["together"] == pytest.approx(planned["total"] + expected)


def test_a_part_that_the_book_does_not_know_cannot_be_asked_for(play: Play) -> None:
    status, _, fault = play("options", "examples/ridge-07.yaml", "--parts", "flux gate")
    assert status == 2
    assert fault.startswith("headwater: the book knows no part 'flux gate'")
