"""The audit of proposed repairs, on cases of the shipped book."""

from __future__ import annotations

import json

import pytest
from planning.conftest import Judge, Play

from headwater.book.tables import Verb
from headwater.session.proposal import proposal_of_words
from headwater.verdict.assess import Reasoner
from headwater.verdict.audit import Audit, Proposal, ProposedPart, audit

WHOLE = (
    ("front-housing", Verb.SCRAP),
    ("input-bearing", Verb.REPLACE),
    ("range-fork", Verb.REPLACE),
)


def of(judge: Judge, name: str, words: str) -> Audit:
    assessment = judge(name).verdict
    return audit(assessment, proposal_of_words(words, assessment.book))


def steps(*pairs: tuple[str, Verb]) -> Proposal:
    return Proposal("steps", tuple(ProposedPart(part, part, verb) for part, verb in pairs))


def test_the_bare_fork_leaves_the_bore_and_fails_again_by_its_chain(judge: Judge) -> None:
    found = of(judge, "ridge-07", "range fork")
    assert not found.passed
    (left,) = found.left
    assert left.origin == "front-bore-worn"
    ((part, path),) = left.again
    assert part == "range-fork"
    assert (path[0], path[-1]) == ("front-bore-worn", "range-fork-pads-burnt")
    assert {step.on for step in found.missing} >= {"front-housing", "input-bearing"}


def test_what_lies_on_no_chain_is_said_and_does_not_fail_a_whole_repair(judge: Judge) -> None:
    found = of(judge, "ridge-07", "front housing half, input bearing, range fork, chain, flux gate")
    assert found.passed
    assert [item.part for item in found.idle] == ["chain"]
    assert [item.words for item in found.unknown] == ["flux gate"]


@pytest.mark.parametrize("left_out", range(len(WHOLE)))
def test_whatever_is_left_out_of_a_chain_is_refused(left_out: int, judge: Judge) -> None:
    assessment = judge("ridge-07").verdict
    assert audit(assessment, steps(*WHOLE)).passed
    kept = [pair for index, pair in enumerate(WHOLE) if index != left_out]
    found = audit(assessment, steps(*kept))
    assert not found.passed
    assert WHOLE[left_out][0] in {step.on for step in found.missing}


def test_a_weaker_action_on_the_right_part_corrects_nothing(judge: Judge) -> None:
    weak = steps(("front-housing", Verb.CLEAN), *WHOLE[1:])
    found = audit(judge("ridge-07").verdict, weak)
    assert [left.origin for left in found.left] == ["front-bore-worn"]
    assert [(o.item.part, o.planned) for o in found.other] == [("front-housing", Verb.SCRAP)]


def test_a_claim_on_the_wrong_part_corrects_nothing(judge: Judge) -> None:
    claims = frozenset({"front-bore-worn"})
    items = (
        ProposedPart("chain", "chain", Verb.SCRAP, claims),
        ProposedPart("driver", "driver", Verb.ADVISE, claims),
    )
    found = audit(judge("ridge-07").verdict, Proposal("claims", items))
    assert [left.origin for left in found.left] == ["front-bore-worn"]


def test_a_held_part_is_refused_without_any_action(judge: Judge, play: Play) -> None:
    found = of(judge, "plan-float-at", "range fork")
    assert [one.part for one in found.refused] == ["range-fork"]
    assert found.sentence.startswith("Refused: the range fork with its pads is held")
    assert not found.missing
    status, text, _ = play(
        "audit", "examples/plan-float-at.yaml", "--parts", "range fork", "--json"
    )
    data = json.loads(text)["audit"]
    assert status == 1
    assert data["refused"][0]["action"] is None
    assert "input-bearing-seat" in data["refused"][0]["next_checks"]
    assert "replace" not in text


def test_one_housing_serves_two_origins(judge: Judge) -> None:
    assessment = judge("plan-shared-housing").verdict
    assert set(assessment.origins) == {"front-bore-worn", "front-output-bore-worn"}
    assert [step.on for step in assessment.plan].count("front-housing") == 1
    found = audit(assessment, steps(("front-housing", Verb.REPLACE)))
    assert not found.left
    assert not found.passed


def test_an_exchange_unit_leaves_what_lies_outside_it(judge: Judge) -> None:
    found = of(judge, "plan-tyres", "exchange unit")
    assert [left.origin for left in found.left] == ["tyre-mismatch"]
    assert [part for part, _ in found.left[0].again] == ["chain"]
    assert [step.on for step in found.missing] == ["tyres"]
    assert of(judge, "plan-tyres", "exchange unit, tyres").passed
    assert of(judge, "ridge-07", "exchange unit").passed


def test_nothing_found_means_nothing_can_be_said(reasoner: Reasoner) -> None:
    found = audit(reasoner.assess([]), steps(*WHOLE))
    assert (
        found.sentence == "Refused: nothing was found yet, so nothing can be said for any repair."
    )


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ((), "name a proposed repair: --plan FILE or --parts LIST"),
        (("--parts", "fork"), "'fork' may mean"),
        (("--plan", "examples/nowhere.yaml"), "no such file"),
        (("--plan", "examples/plans/bare-fork.yaml", "--parts", "chain"), "not allowed with"),
    ],
)
def test_what_cannot_be_audited_is_one_line(more: tuple[str, ...], fault: str, play: Play) -> None:
    status, screen, told = play("audit", "examples/ridge-07.yaml", *more)
    assert (status, screen) == (2, "")
    assert fault in told
    assert told.count("\n") == 1
