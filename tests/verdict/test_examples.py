"""The design's own example on the shipped book: burnt pads, and the bore that burnt them."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sessions import as_session, screen
from strategies import held_back

from headwater.book.tables import Verb
from headwater.measure.answer import Judged, understand
from headwater.rules.status import Status
from headwater.session.ask import Purpose, next_checks
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.reach import Stand, torn_down

Bench = Callable[..., Assessment]


@pytest.fixture
def bench(reasoner: Reasoner) -> Bench:
    """Judge findings on a unit in pieces: `bench(range_fork_pads='burnt')`."""

    def judge(**given: str) -> Assessment:
        checks = reasoner.book.checks
        found: list[Judged] = [
            understand(reasoner.book, checks[name.replace("_", "-")], answer)
            for name, answer in given.items()
        ]
        return reasoner.assess(found, Stand(removed=torn_down(reasoner.book)))

    return judge


def shown(assessment: Assessment) -> str:
    return screen("verdict", as_session(assessment))


def test_burnt_pads_alone_hold_the_fork_and_name_the_next_checks(bench: Bench) -> None:
    a = bench(range_fork_pads="burnt")
    assert a.ending is Ending.OPEN
    assert a.held == ["range-fork"]
    assert a.decisions["range-fork"].action is None
    assert a.plan == []
    assert a.cover is None
    asked = [item.check for item in next_checks(a)]
    assert asked[0] == "input-bearing-seat"
    assert {"front-groove", "front-bore-polish"} <= set(asked)
    text = shown(a)
    assert "HELD range fork with its pads" in text
    assert "Fit a range fork" not in text
    assert not any(remedy in text for remedy in held_back(a))


def test_a_float_past_its_limit_asks_for_the_groove_before_anything_is_scrapped(
    bench: Bench,
) -> None:
    """Design, section 4: the ring in its groove, float 0.038 in: the bore leads, open, groove next.

    The float is one act; a ring that never was in its groove gives the same reading.
    """
    a = bench(range_fork_pads="burnt", input_snap_ring="seated", input_bearing_float="0.038 in")
    assert a.ending is Ending.OPEN
    account = a.accounts["range-fork-pads-burnt"]
    assert account.candidates[0].origin == "front-bore-worn"
    assert not account.named
    assert "front-groove" in [item.check for item in next_checks(a)][:3]
    assert "range-fork" in a.held
    assert Verb.SCRAP not in {step.action for step in a.plan}


def test_a_ring_beside_a_square_groove_is_the_ring_and_nothing_is_scrapped(bench: Bench) -> None:
    a = bench(
        range_fork_pads="burnt",
        input_snap_ring="never-seated",
        front_groove="square",
        input_bearing_float="0.045 in",
    )
    assert "front-bore-worn" not in a.origins
    shares = {c.origin: c.share for c in a.accounts["range-fork-pads-burnt"].candidates}
    assert max(shares, key=lambda origin: shares[origin]) == "input-snap-ring-unseated"
    assert Verb.SCRAP not in {step.action for step in a.plan}


def test_a_large_float_and_a_rolled_groove_prove_the_bore_and_order_the_plan(bench: Bench) -> None:
    a = bench(range_fork_pads="burnt", input_bearing_float="0.045 in", front_groove="past-limit")
    assert a.ending is Ending.SETTLED
    assert a.origins == {"front-bore-worn": Naming.PROVEN}
    assert [(step.on, step.action) for step in a.plan] == [
        ("oil", Verb.INSPECT),
        ("range-hub", Verb.INSPECT),
        ("front-housing", Verb.SCRAP),
        ("input-bearing", Verb.REPLACE),
        ("range-fork", Verb.REPLACE),
    ]
    (chain,) = a.accounts["range-fork-pads-burnt"].chains
    assert chain.path == (
        "front-bore-worn",
        "input-bearing-displaced",
        "range-hub-rides-fork",
        "range-fork-pads-burnt",
    )


def test_a_shimmable_float_is_shimmed_and_the_fork_stays_held(bench: Bench) -> None:
    a = bench(range_fork_pads="burnt", input_bearing_float="0.015 in")
    assert a.ending is Ending.OPEN
    assert a.decisions["input-bearing"].action is Verb.SHIM
    assert a.held == ["range-fork"]
    assert [(step.on, step.action) for step in a.plan] == [("input-bearing", Verb.SHIM)]


def test_a_worn_groove_withdraws_the_shim(bench: Bench) -> None:
    a = bench(
        input_bearing_float="0.015 in",
        front_groove="past-limit",
        front_bore_polish="polished-and-stepped",
    )
    assert a.origins["front-bore-worn"] is Naming.PROVEN
    assert Verb.SHIM not in {step.action for step in a.plan}
    assert not any(
        one.action and one.action.action is Verb.SHIM
        for d in a.decisions.values()
        for one in d.mendings
    )
    assert "Take up the float with shims" not in shown(a)


def test_a_reading_at_the_limit_decides_nothing(bench: Bench) -> None:
    a = bench(range_fork_pads="burnt", input_bearing_float="0.020 in")
    (close,) = (j for j in a.stand.answered.values() if j.too_close)
    assert close.check == "input-bearing-float"
    alone = bench(range_fork_pads="burnt")
    assert a.statuses == alone.statuses
    assert a.origins == {}
    assert a.held == ["range-fork"]
    assert "too close to call" in shown(a)


def test_two_independent_origins_are_both_named(bench: Bench) -> None:
    a = bench(
        range_fork_pads="burnt",
        input_bearing_float="0.045 in",
        front_groove="past-limit",
        rear_bearing_feel="rough",
        rear_bearing_tracks="subsurface-fatigue",
        rear_bearing_spall="deep-steep",
        input_bearing_age="long",
        rear_bearing_life="ran-its-life",
    )
    assert a.ending is Ending.SETTLED
    assert a.origins["front-bore-worn"] is Naming.PROVEN
    assert a.origins["rear-bearing-fatigued"] is Naming.PROVEN
    assert a.held == []
    assert {"front-housing", "rear-bearing", "range-fork"} <= {step.on for step in a.plan}


def test_one_finding_left_unexplained_keeps_the_case_open(bench: Bench) -> None:
    a = bench(
        range_fork_pads="burnt",
        input_bearing_float="0.045 in",
        front_groove="past-limit",
        rear_bearing_feel="rough",
    )
    assert a.ending is Ending.OPEN
    assert a.unexplained == ["rear-bearing-failed"]
    assert a.held == ["rear-bearing"]
    assert a.decisions["range-fork"].released
    assert next_checks(a)


def test_findings_that_disagree_are_asked_again(bench: Bench) -> None:
    a = bench(input_bearing_seat="in-place", input_bearing_float="0.045 in")
    assert a.statuses["input-bearing-displaced"] is Status.DISPUTED
    assert a.ending is Ending.DISPUTED
    assert "input-bearing" in a.held
    again = next_checks(a)
    assert {item.check for item in again} == {"input-bearing-seat", "input-bearing-float"}
    assert {item.purpose for item in again} == {Purpose.SETTLE}


def test_evidence_that_is_gone_leaves_the_case_undetermined(reasoner: Reasoner) -> None:
    """Burnt pads with all else thrown away: candidates, and their cheapest cover."""
    book = reasoner.book
    found = [understand(book, book.checks["range-fork-pads"], "burnt")]
    found += [
        understand(book, check, "gone")
        for check in book.checks.values()
        if check.id != found[0].check
    ]
    a = reasoner.assess(found, Stand(removed=torn_down(book)))
    assert a.ending is Ending.UNDETERMINED
    assert a.held == ["range-fork"]
    live = {
        c.origin for c in a.accounts["range-fork-pads-burnt"].candidates if c.origin is not None
    }
    assert "front-bore-worn" in live
    assert next_checks(a) == []
    assert "Or fit an exchange unit." in shown(a)
    assert "range-fork" not in {step.on for step in a.plan}
    assert a.cover is not None
    corrected = {cid for step in a.cover for cid in step.corrects}
    assert corrected == live | {"range-fork-pads-burnt"}, "a burnt fork goes not back in"
    acts = {step.on: step.action for step in a.cover}
    assert [*acts][-1] == "range-fork"
    assert acts["front-housing"] is Verb.SCRAP
    assert a.decisions["range-fork"].action is None


def test_advice_not_to_drive_stands_while_everything_is_held(bench: Bench) -> None:
    a = bench(rear_bearing_feel="rough")
    assert a.held == ["rear-bearing"]
    danger = a.book.conditions["rear-bearing-failed"].danger
    assert danger is not None
    assert a.drive.advice is danger.advice
    assert a.drive.sure
