"""The examples of the design on the shipped book: what is named, what is held, what comes next."""

from __future__ import annotations

from proof.bench import in_pieces, named

from headwater.book.tables import Verb
from headwater.rules.status import Status
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.reach import Stand

BURNT = ("range-fork-pads", "burnt")
RING_SEATED = ("input-snap-ring", "seated")
FLOATS = ("input-bearing-float", "0.038 in")
ROLLED = ("front-groove", "past-limit")
BESIDE_SQUARE_GROOVE = [
    BURNT,
    ("input-bearing-float", "0.045 in"),
    ("input-snap-ring", "never-seated"),
    ("front-groove", "square"),
]
LEAKS = [("rear-seal-wet", "lip"), ("rear-seal-lip", "seal-cut-lip")]


def test_ring_in_its_groove_and_a_large_float_let_the_bore_lead_but_prove_nothing(
    reasoner: Reasoner,
) -> None:
    session = in_pieces(reasoner, BURNT, RING_SEATED, FLOATS)
    verdict = session.verdict
    assert verdict.ending is Ending.OPEN
    assert verdict.accounts["range-fork-pads-burnt"].candidates[0].origin == "front-bore-worn"
    assert verdict.origins == {}
    assert "range-fork" in session.held


def test_the_groove_is_among_the_first_two_looks_to_come_next(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, RING_SEATED, FLOATS)
    assert "front-groove" in [item.check for item in session.next()[:2]]


def test_a_rolled_groove_proves_the_bore(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, RING_SEATED, FLOATS, ROLLED)
    assert session.verdict.ending is Ending.SETTLED
    assert named(session, "range-fork-pads-burnt") == {"front-bore-worn": Naming.PROVEN}


def test_a_ring_beside_a_square_groove_leads_and_scraps_nothing(reasoner: Reasoner) -> None:
    verdict = in_pieces(reasoner, *BESIDE_SQUARE_GROOVE).verdict
    account = verdict.accounts["range-fork-pads-burnt"]
    assert account.candidates[0].origin == "input-snap-ring-unseated"
    assert "front-housing" not in verdict.decisions
    assert Verb.SCRAP not in [decision.action for decision in verdict.decisions.values()]


def test_marks_on_the_ring_prove_it_by_a_second_look(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *BESIDE_SQUARE_GROOVE, ("input-snap-ring-marks", "part-only"))
    assert session.verdict.ending is Ending.SETTLED
    assert session.verdict.origins == {"input-snap-ring-unseated": Naming.PROVEN}
    assert "front-housing" not in session.verdict.decisions


def test_a_cut_lip_on_an_opened_unit_is_renewed_and_its_origin_still_sought(
    reasoner: Reasoner,
) -> None:
    session = in_pieces(reasoner, *LEAKS)
    decision = session.verdict.decisions["rear-output-seal"]
    assert decision.renewed
    assert decision.action is Verb.REPLACE
    assert session.verdict.unexplained
    assert session.verdict.ending is Ending.OPEN


def test_a_cut_lip_on_a_closed_unit_is_held(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *LEAKS, stand=Stand())
    decision = session.verdict.decisions["rear-output-seal"]
    assert decision.held
    assert decision.action is None


def test_what_comes_after_a_cut_lip_looks_at_bushing_or_shaft(reasoner: Reasoner) -> None:
    asked = {item.check for item in in_pieces(reasoner, *LEAKS).next()[:8]}
    assert asked & {"output-bushing-look", "output-bushing-clearance", "rear-joints"}


def test_towed_without_a_trace_is_told_and_stands_in_the_plan(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, ("towed-lately", "in-gear"))
    verdict = session.verdict
    assert verdict.statuses["towed-in-gear"] is Status.CONFIRMED
    assert [step.action for step in verdict.plan] == [Verb.ADVISE]
    assert verdict.origins == {}
    assert not verdict.settled


def test_towed_with_burnt_parts_and_nothing_left_is_undetermined_with_its_advice(
    reasoner: Reasoner,
) -> None:
    session = in_pieces(reasoner, BURNT, ("towed-lately", "in-gear"))
    session.rest_is_gone()
    verdict = session.verdict
    assert verdict.ending is Ending.UNDETERMINED
    assert "towed-in-gear" not in verdict.origins
    assert Verb.ADVISE in [step.action for step in verdict.plan]
    assert "range-fork" in session.held
