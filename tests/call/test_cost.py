"""What a call may come to cost: a range over what is still possible, and never a held part."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from occasions import forms
from sessions import as_session
from strategies import (
    Situation,
    answer_of,
    answered,
    condition,
    held_back,
    look,
    make_book,
    often,
    price_list,
    remedy,
    situations,
)

from headwater import outputs
from headwater.book.model import Action
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Nature, Seat, Verb
from headwater.book.things import Part
from headwater.measure.answer import understand
from headwater.render.data import as_json, plain
from headwater.session.call import Call
from headwater.session.pricelist import read_prices
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.options import make_options
from headwater.verdict.possible import PriceRange, price_range
from headwater.verdict.prices import Exchange, Prices
from headwater.verdict.reach import Stand
from headwater.view.call import Ringing
from headwater.view.cost import NO_OFFER, NOTHING_PRICED, ONE_SUM_ONLY, CostView, cost_view
from headwater.view.options import NOTHING_TO_REPAIR, PLANNED

from .conftest import Play, Ring

LISTS = Path(__file__).resolve().parents[2] / "examples" / "prices"
JUMPS = ["popping out of four low", "", *["no"] * 4, "done"]
LIST = Prices(
    prices="test list",
    currency="EUR",
    labour=60.0,
    parts={Ref("lever"): 100.0, Ref("hub"): 50.0, Ref("seal"): 7.0},
)


def act(cid: str, verb: Verb, minutes: float, on: str | None = None) -> tuple[Action, ...]:
    """Return the one action on a condition."""
    return (Action(action=verb, text=remedy(cid), minutes=minutes, on=Ref(on) if on else None),)


def two_ways(**changed: tuple[Action, ...]) -> Book:
    """Return a book in which a noise comes from a worn hub, and that from a lever or a setting."""
    told = {
        "bent": act("bent", Verb.REPLACE, 30.0),
        "unset": act("unset", Verb.ADJUST, 10.0),
        "worn": act("worn", Verb.REPLACE, 20.0),
    } | changed
    return make_book(
        [
            condition("bent", part="lever", origin=True, actions=told["bent"]),
            condition("unset", part="rod", origin=True, actions=told["unset"]),
            condition("worn", part="hub", actions=told["worn"]),
            condition("noise", kind=Nature.COMPLAINT),
            condition("dry", part="seal", origin=True, actions=act("dry", Verb.REPLACE, 5.0)),
            condition("drops", kind=Nature.COMPLAINT),
        ],
        {
            ("bent", "worn"): "usually",
            ("unset", "worn"): "sometimes",
            ("worn", "noise"): "usually",
            ("dry", "drops"): "usually",
        },
        [
            # Quick looks: for a complaint that holds no part they would not be worth much more.
            *(replace(look(cid), minutes=1.0) for cid in ("bent", "unset", "worn", "dry")),
            *(look(cid, seats=(Seat.CALL,)) for cid in ("noise", "drops")),
        ],
    )


def on_phone(book: Book, **given: str) -> Assessment:
    """Return the assessment of answers at the seat call."""
    return build_reasoner(book, {}).assess(answered(book, **given), Stand(Seat.CALL))


def whole_text(assessment: Assessment, prices: Prices) -> str:
    """Return everything that a call can show of a sheet."""
    ringing = Ringing(Call(as_session(assessment), lambda: 0.0), "Ended by you.", prices)
    return "\n".join(forms(outputs.BY_NAME["call-sheet"], ringing))


def cost_at(assessment: Assessment, prices: Prices, minutes: float) -> CostView:
    """Return what a call may come to cost, with the minutes of the shop's first checks."""
    return cost_view(as_session(assessment), prices, minutes)


def test_range_over_the_live_chains() -> None:
    """Each live origin with its chain, priced by hand: lever and hub, or setting and hub."""
    found = price_range(on_phone(two_ways(), look_noise="yes"), LIST)
    assert found.refused.startswith("more checks come first: ")
    # 100 + 50 for lever and hub, 30 + 20 minutes at 60 an hour; 50 for the hub, 10 + 20 minutes.
    assert (found.low, found.high) == (80.0, 200.0)
    assert (found.ways, found.live, found.materials, found.unpriced) == (2, 2, 2, 0)


def test_a_part_without_a_price_makes_it_at_least() -> None:
    """No price is made up: the sums hold what is known, and the share without a price is told."""
    few = replace(LIST, parts={Ref("hub"): 50.0})
    assessment = on_phone(two_ways(), look_noise="yes")
    found = price_range(assessment, few)
    assert (found.low, found.high, found.materials, found.unpriced) == (80.0, 100.0, 2, 1)
    words = " ".join(cost_at(assessment, few, 12.0).words)
    assert "From at least 80.00 to at least 100.00 EUR." in words
    assert "no price for 1 of 2 lines of material" in words
    assert "12 min x 60.00 / 60 = 12.00" in words
    assert "lever" not in words


def test_two_findings_are_both_put_right() -> None:
    """What one origin does not explain is explained by its own likeliest one: 7 + 5 minutes."""
    found = price_range(on_phone(two_ways(), look_noise="yes", look_drops="yes"), LIST)
    assert (found.low, found.high) == (92.0, 212.0)
    assert (found.ways, found.live) == (3, 3)


def test_the_range_reaches_the_cheapest_and_the_dearest() -> None:
    """With several findings the unlikely is possible too: a setting, and two minutes on a mount."""
    book = two_ways()
    torn = condition("torn", part="mount", origin=True, actions=act("torn", Verb.CLEAN, 2.0))
    link = replace(book.links["dry", "drops"], cause="torn", often=often("rarely"))
    wider = replace(
        book,
        parts=book.parts | {"mount": Part(id="mount", title="piece mount")},
        conditions=book.conditions | {"torn": torn},
        links=book.links | {("torn", "drops"): link},
    )
    found = price_range(on_phone(wider, look_noise="yes", look_drops="yes"), LIST)
    assert (found.low, found.high) == (82.0, 212.0)
    assert (found.ways, found.live) == (4, 4)


def test_each_origin_is_supposed_to_be_where_it_began() -> None:
    """An origin that another can cause is priced by itself too: the other is supposed away."""
    book = two_ways()
    quick = {name: replace(record, minutes=1.0) for name, record in book.checks.items()}
    book = replace(book, checks=quick)  # looks that are worth their minutes keep the case open
    link = replace(book.links["dry", "drops"], effect="bent")
    assessment = on_phone(
        replace(book, links=book.links | {("dry", "bent"): link}), look_noise="yes"
    )
    found = price_range(assessment, LIST)
    assert (found.ways, found.live) == (3, 3)
    assert (found.low, found.high) == (80.0, 212.0)


def test_what_is_ruled_out_is_not_in_the_range() -> None:
    """An answer that rules an origin out takes its way out; one way left is one sum, kept back."""
    assessment = on_phone(two_ways(), look_noise="yes", look_bent="no")
    found = price_range(assessment, LIST)
    assert (found.ways, found.live) == (1, 1)
    assert (found.low, found.high) == (None, None)
    words = cost_at(assessment, LIST, 5.0).words
    assert ONE_SUM_ONLY in words
    assert not [w for w in words if "80.00" in w]


def test_one_sum_for_a_held_part_is_kept_back() -> None:
    """Where every live chain ends in the same work on the held part, its price is not told."""
    book = two_ways(
        bent=act("bent", Verb.REPLACE, 20.0, on="hub"),
        unset=act("unset", Verb.REPLACE, 20.0, on="hub"),
    )
    assessment = on_phone(book, look_noise="yes", look_worn="yes")
    assert assessment.held == ["hub"]
    assert price_range(assessment, LIST).low is None
    told = whole_text(assessment, LIST)
    assert ONE_SUM_ONLY in told
    assert "held: piece hub" in told
    assert "50.00" not in told
    assert "70.00" not in told
    assert remedy("worn") not in told


def test_a_settled_call_costs_what_the_options_say() -> None:
    """With the origin named the plan is priced as everywhere else: one sum, and no range."""
    assessment = on_phone(two_ways(), look_noise="yes", look_worn="yes", look_bent="yes")
    assert assessment.ending is Ending.SETTLED
    planned = make_options(assessment, LIST)[0]
    found = price_range(assessment, LIST)
    assert planned.total == 200.0
    assert (found.refused, found.low, found.high) == ("", planned.total, planned.total)
    words = " ".join(cost_at(assessment, LIST, 0.0).words)
    assert f"{PLANNED}, material and labour: 200.00 EUR." in words
    assert "Finding out" not in words


def test_an_undetermined_case_ranges_over_what_is_offered() -> None:
    """With nothing left to check: from the covering set to the exchange unit."""
    book = two_ways()
    checks = {k: v for k, v in book.checks.items() if k in ("look-noise", "look-drops")}
    assessment = on_phone(replace(book, checks=checks), look_noise="yes")
    assert assessment.ending is Ending.UNDETERMINED
    unit = replace(LIST, exchange=Exchange(price=900.0, minutes=120.0))
    sums = {o.way.value: o.total for o in make_options(assessment, unit) if not o.refused}
    found = price_range(assessment, unit)
    assert sums == {"correct every candidate": 140.0, "exchange unit": 1020.0}
    assert (found.low, found.high) == (140.0, 1020.0)
    assert found.refused.startswith("no origin can be named: ")
    words = " ".join(cost_at(assessment, unit, 0.0).words)
    assert f"From 140.00 to 1020.00 EUR. {NO_OFFER} Every live origin is corrected" in words


def test_an_exchange_unit_that_leaves_an_origin_is_no_way() -> None:
    """What lies outside the unit is done beside it: 10 + 10 minutes, and 7 + 5 for the seal."""
    book = two_ways()
    parts = book.parts | {"seal": replace(book.parts["seal"], outside=True)}
    checks = {k: v for k, v in book.checks.items() if k in ("look-noise", "look-drops", "look-dry")}
    told = {"look_noise": "yes", "look_drops": "yes", "look_dry": "yes"}
    assessment = on_phone(replace(book, parts=parts, checks=checks), **told)
    assert assessment.ending is Ending.UNDETERMINED
    unit = replace(LIST, exchange=Exchange(price=10.0, minutes=10.0))
    found = price_range(assessment, unit)
    assert (found.low, found.high, found.ways) == (32.0, 152.0, 2)


def test_nothing_found_and_nothing_wrong() -> None:
    """Before anything is told there is no range; where all is sound there is nothing to repair."""
    book = two_ways()
    assert NOTHING_PRICED in cost_at(on_phone(book), LIST, 0.0).words
    sound = on_phone(book, look_noise="no", look_drops="no")
    assert sound.ending is Ending.SOUND
    assert price_range(sound, LIST) == PriceRange()
    assert cost_at(sound, LIST, 0.0).words[-1] == NOTHING_TO_REPAIR


def test_a_supposition_is_no_finding() -> None:
    """Supposing leaves the case as it was, and cannot talk a finding away."""
    book = two_ways()
    reasoner = build_reasoner(book, {})
    judged = answered(book, look_noise="yes", look_bent="no")
    assessment = reasoner.assess(judged, Stand(Seat.CALL))
    before = dict(assessment.statuses)
    supposed = reasoner.suppose(assessment, {"bent", "worn", "noise"}, set())
    assert supposed.disputed == ["bent"]
    assert supposed.ending is Ending.DISPUTED
    assert assessment.statuses == before
    again = reasoner.assess(judged, Stand(Seat.CALL))
    assert again.plan == assessment.plan
    assert again.posterior.probability("bent") == assessment.posterior.probability("bent")


@settings(max_examples=draws(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(situations(), st.data())
def test_no_sheet_names_an_action_on_a_held_part(situation: Situation, data: st.DataObject) -> None:
    """Random books, findings and lists: no remedy of a held part in any form of the sheet."""
    stand = Stand(Seat.CALL, situation.stand.removed)
    checks = st.sampled_from(list(situation.book.checks.values()))
    few = st.lists(checks, min_size=1, max_size=2, unique_by=lambda check: check.id)
    # One or two things told leave the most open; what is drawn with the book settles more.
    told_of = situation.findings if data.draw(st.booleans()) else None
    judged = told_of or [answer_of(check, "yes") for check in data.draw(few)]
    assessment = build_reasoner(situation.book, {}).assess(judged, stand)
    prices = price_list(data, assessment.book, exchange=data.draw(st.booleans()))
    told = whole_text(assessment, prices)
    for text in held_back(assessment):
        assert text not in told
    cost = cost_at(assessment, prices, 10.0)
    span = price_range(assessment, prices)
    about = " ".join(cost.words)
    for said in (span.refused, PLANNED, NOTHING_TO_REPAIR):
        about = about.replace(said, "")
    assert not re.search(rf"\b({'|'.join(Verb)})\b", about)
    assert not [part for part in assessment.book.parts if f"piece {part}" in about]
    if span.low is not None and span.high is not None:
        assert 0.0 <= span.low <= span.high
        assert span.unpriced <= span.materials
    if assessment.ending is Ending.OPEN:
        assert span.refused
        assert NO_OFFER in about or span.low is None
        assert span.low is None or span.high is None or span.high - span.low >= 0.005
    assert json.loads(as_json(cost)) == plain(cost)


@pytest.mark.parametrize(
    "given_answers",
    [
        {"range-fork-pads": "burnt"},
        {"mode-fork-pads": "burnt", "jumps-out-of-low": "yes"},
    ],
    ids=lambda answers: "+".join(answers),
)
def test_the_shipped_book_prices_no_held_part(
    given_answers: dict[str, str], caller_reasoner: Reasoner
) -> None:
    """A range from the winter list, and neither remedy nor price of any part that is held."""
    book = caller_reasoner.book
    prices = read_prices(LISTS / "winter-list.yaml", book)
    judged = [understand(book, book.checks[c], word) for c, word in given_answers.items()]
    assessment = caller_reasoner.assess(judged, Stand(Seat.CALL))
    assert assessment.ending is Ending.OPEN
    assert assessment.held
    told = whole_text(assessment, prices)
    assert NO_OFFER in told
    for text in held_back(assessment):
        assert text not in told
    for part in assessment.held:
        assert not re.search(rf"\b{prices.parts[Ref(part)]:.2f}\b", told)


def cost_part(out: str) -> str:
    """Return the section of a sheet on screen."""
    return "What it may cost" + out.split("What it may cost")[1].split("\n\n")[0]


@pytest.mark.parametrize("name", ["winter-list", "short-list"])
def test_on_the_screen(name: str, play: Play) -> None:
    """The section of the sheet with a full list and with one of few lines, in every form."""
    words = ("call", "c.yaml", "--prices", str(LISTS / f"{name}.yaml"), "--sheet", "c.md")
    status, out, err = play(*words, typed=JUMPS)
    assert (status, err) == (1, "")
    assert max(len(line) for line in out.splitlines()) <= 80
    _, data, _ = play(*words, "--json", typed=["done"])
    cost = json.loads(data)["cost"]
    flat = " ".join(out.split())
    sheet = Path("c.md").read_text(encoding="utf-8")
    for line in cost["words"]:
        assert line in flat
        assert line in sheet
    assert f"{cost['low']:.2f} to " in flat
    assert f"{cost['high']:.2f} EUR" in flat
    assert cost["at_least"] is (name == "short-list")
    assert f"= {cost['finding_out']['cost']:.2f}." in flat


def test_a_call_that_one_person_told_is_a_range(play: Play, ring: Ring) -> None:
    """Wind-up on a dry road: one person's word plans nothing, so `options` refuses it, too."""
    prices = str(LISTS / "winter-list.yaml")
    status, out, _ = play("call", "w.yaml", "--prices", prices, caller=ring("wind-up-dry-road"))
    assert status == 1
    _, options, _ = play("options", "w.yaml", "--prices", prices, "--json")
    (planned,) = json.loads(options)["options"]
    assert planned["total"] is None
    told = " ".join(cost_part(out).split())
    assert f"{planned['refused']}." in told
    assert f"{PLANNED}, material" not in told


def test_a_resumed_call_has_the_same_cost(play: Play) -> None:
    """Broken off and gone on with, with the list named only then: as if it was one sitting."""
    play("call", "r.yaml", typed=JUMPS[:4])
    prices = ("--prices", str(LISTS / "winter-list.yaml"))
    _, again, _ = play("call", "r.yaml", *prices, typed=JUMPS[4:])
    _, whole, _ = play("call", "whole.yaml", *prices, typed=JUMPS)
    assert cost_part(again) == cost_part(whole)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (None, "no such file"),
        ("prices: x\ncurrency: EUR\nparts: {}\n", "'labour' is missing in this price list"),
        ("prices: x\ncurrency: EUR\nlabour: 60\nparts: {chian: 1}\n", "did you mean 'chain' ("),
        ("prices: x\ncurrency: ''\nlabour: 60\nparts: {}\n", "the currency is empty"),
        (f"prices: x\ncurrency: EUR\nlabour: 1{'0' * 300}.0\nparts: {{}}\n", "at most"),
        ("prices: [\n", "not readable as YAML"),
    ],
)
def test_a_bad_list_is_refused_before_the_first_word(
    text: str | None, fault: str, play: Play
) -> None:
    """One clear line and status 2, the line that `report` has; no case is begun, none is spoilt."""
    if text is not None:
        Path("list.yaml").write_text(text, encoding="utf-8")
    status, out, err = play("call", "new.yaml", "--prices", "list.yaml", typed=JUMPS)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert fault in err
    assert not Path("new.yaml").exists()
    case = LISTS.parent / "ridge-07.yaml"
    assert play("report", str(case), "-o", "r.md", "--prices", "list.yaml") == (2, "", err)


def test_a_hostile_list_stays_text(play: Play) -> None:
    """What a list calls itself is shown as it is, and is no markup in Markdown."""
    text = 'prices: "<b>[x](http://y)</b> *z*"\ncurrency: "<i>"\nlabour: 60\nparts: {}\n'
    Path("list.yaml").write_text(text, encoding="utf-8")
    status, out, _ = play("call", "h.yaml", "--prices", "list.yaml", "--sheet", "h.md", typed=JUMPS)
    assert status == 1
    assert "<b>[x](http://y)</b> *z*, in <i>." in out
    mark, sheet = Path("h.md").read_text(encoding="utf-8").split("\n", 1)
    assert mark == "<!-- Headwater report -->", "which the program knows its own pages by"
    assert "<" not in sheet
    assert "[x](" not in sheet
