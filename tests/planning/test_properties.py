"""Attacks on planning with random books, findings and proposals."""

from __future__ import annotations

from dataclasses import replace

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from occasions import forms
from planning.conftest import Judge
from sessions import as_session
from strategies import Situation, covered_parts, held_back, price_list, situations

from headwater import outputs
from headwater.book.seal import unseal
from headwater.book.tables import VERB_RANK, Verb
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment, build_reasoner
from headwater.verdict.audit import Proposal, ProposedPart, audit
from headwater.verdict.comingback import open_bill
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import job_sheet
from headwater.verdict.options import make_options
from headwater.verdict.plan import Step
from headwater.verdict.prices import Prices
from headwater.view.audit import Auditing
from headwater.view.options import Pricing

quick = settings(
    max_examples=draws(30), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def judged(situation: Situation) -> Assessment:
    return build_reasoner(situation.book, {}).assess(situation.findings, situation.stand)


def proposal(data: st.DataObject, assessment: Assessment) -> Proposal:
    """Draw a proposal: part of the plan, with other things beside it."""
    items = [as_item(s) for s in assessment.plan if s.action and data.draw(st.integers(0, 3))]
    parts = st.sampled_from(list(assessment.book.parts))
    origins = st.frozensets(st.sampled_from(list(assessment.book.origins)), max_size=3)
    for _ in range(data.draw(st.integers(0, 3))):
        part = data.draw(parts)
        items.append(
            ProposedPart(part, part, data.draw(st.sampled_from(list(Verb))), data.draw(origins))
        )
    return Proposal("drawn", tuple(items))


def as_item(step: Step) -> ProposedPart:
    assert step.action is not None
    return ProposedPart(step.on, step.on, step.action, frozenset(step.corrects))


def is_corrected(assessment: Assessment, origin: str, proposed: Proposal) -> bool:
    """Say by brute force whether anything proposed could correct an origin at all.

    Some item must work on a part that the book's correction of the origin works on, as strongly;
    or, where the corrections give way to something worse, on a part that mends the worse thing.
    """
    conditions = assessment.book.conditions
    reach: list[tuple[str, int]] = []
    for cid in [origin, *conditions]:
        record = conditions[cid]
        own = record.origin.corrections if record.origin else record.dispositions
        if cid != origin:
            start = conditions[origin].origin
            assert start is not None
            gives_way = any(cid in a.unless for a in unseal(start.corrections))
            if not gives_way or assessment.statuses[cid] is not Status.CONFIRMED:
                continue
        reach += [(str(a.on or record.part), VERB_RANK[a.action]) for a in unseal(own)]
    renewed = VERB_RANK[Verb.REPLACE]
    return any(
        item.part == part and VERB_RANK[item.action] >= min(rank, renewed)
        for item in proposed.items
        for part, rank in reach
    )


@quick
@given(situations(), st.data())
def test_no_audit_passes_what_leaves_a_named_origin(
    situation: Situation, data: st.DataObject
) -> None:
    assessment = judged(situation)
    proposed = proposal(data, assessment)
    found = audit(assessment, proposed)
    if found.passed:
        assert assessment.ending is Ending.SETTLED
        assert not assessment.held
        assert all(is_corrected(assessment, o, proposed) for o in assessment.origins)
    else:
        assert found.sentence.startswith("Refused: ")


@quick
@given(situations())
def test_the_plan_passes_its_own_audit_and_none_of_its_origins_can_be_spared(
    situation: Situation,
) -> None:
    assessment = judged(situation)
    whole = [as_item(step) for step in assessment.plan if step.action]
    found = audit(assessment, Proposal("whole", tuple(whole)))
    # A drawn book may withdraw an origin's every correction; then its own plan cannot pass either.
    mended = {cid for step in assessment.plan if step.action for cid in step.corrects}
    settled = assessment.ending is Ending.SETTLED
    assert found.passed == (settled and set(assessment.origins) <= mended)
    for item in whole:
        rest = Proposal("without one", tuple(other for other in whole if other is not item))
        less = audit(assessment, rest)
        if any(not is_corrected(assessment, o, rest) for o in assessment.origins):
            assert not less.passed
        if item.action is not Verb.INSPECT and not any(o.part == item.part for o in rest.items):
            assert any(step.on == item.part for step in less.missing)


@quick
@given(situations())
def test_the_work_is_in_the_order_of_a_bench(situation: Situation) -> None:
    assessment = judged(situation)
    verbs = [step.action for step in assessment.plan if step.action not in (None, Verb.ADVISE)]
    filled = [place for place, verb in enumerate(verbs) if verb is Verb.REFILL]
    assert filled == list(range(len(verbs) - len(filled), len(verbs))), "oil last"
    inside = {p for p, record in assessment.book.parts.items() if not record.outside}
    cleaned = [s.action is Verb.CLEAN for s in assessment.plan if s.on in inside]
    assert cleaned == sorted(cleaned, reverse=True), "dirt out before anything else"
    sheet = job_sheet(assessment)
    assert [job.number for job in sheet.work] == list(range(1, len(sheet.work) + 1))
    done = [job.step for job in (*sheet.work, *sheet.looks)]
    for step in assessment.plan:
        # Where the covering set does more to the same part, that is what is done to it.
        same = [VERB_RANK[one.action] for one in done if one.action and one.on == step.on]
        assert not step.action or max(same, default=-1) >= VERB_RANK[step.action], step


@quick
@given(situations(), st.data())
def test_a_further_correction_never_raises_the_expected_cost(
    situation: Situation, data: st.DataObject
) -> None:
    outside = data.draw(st.sets(st.sampled_from(list(situation.book.parts))))
    parts = {p: replace(r, outside=p in outside) for p, r in situation.book.parts.items()}
    assessment = judged(replace(situation, book=replace(situation.book, parts=parts)))
    ledger = open_bill(assessment, price_list(data, assessment.book))
    done: set[str] = set()
    before = ledger.coming_back(done)
    before_exchange = ledger.coming_back_after_exchange(done)
    for origin in data.draw(st.permutations(list(assessment.book.origins))):
        done.add(origin)
        after, after_exchange = ledger.coming_back(done), ledger.coming_back_after_exchange(done)
        for old, new in (
            (before, after),
            (before_exchange, after_exchange),
            (after, after_exchange),
        ):
            assert old.cost is not None
            assert new.cost is not None
            assert new.chance <= old.chance + 1e-9
            assert new.cost <= old.cost + 1e-6
        before, before_exchange = after, after_exchange


@pytest.mark.parametrize("name", ["ridge-07", "plan-tyres", "plan-shared-housing", "plan-loop"])
def test_so_it_is_in_the_shipped_book(name: str, judge: Judge, prices: Prices) -> None:
    assessment = judge(name).verdict
    ledger = open_bill(assessment, prices)
    costs: list[float] = []
    done: list[str] = []
    every = list(assessment.book.origins)
    for more in ([], *([o] for o in assessment.origins), *([o] for o in every[::25]), every):
        done += more
        cost = ledger.coming_back(done).cost
        assert cost is not None
        costs.append(cost)
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < 0.2 * costs[0]


@quick
@given(situations(), st.data())
def test_nothing_names_a_remedy_of_a_held_part(situation: Situation, data: st.DataObject) -> None:
    assessment = judged(situation)
    proposed = proposal(data, assessment)
    prices = price_list(data, assessment.book)
    asked = data.draw(st.lists(st.sampled_from(list(assessment.book.parts)), max_size=2))
    held = set(assessment.held) - covered_parts(assessment)
    sheet, options = job_sheet(assessment), make_options(assessment, prices, asked)
    found = audit(assessment, proposed)
    session = as_session(assessment)
    told = [
        *forms(outputs.BY_NAME["plan"], session),
        *forms(outputs.BY_NAME["options"], Pricing(session, prices, tuple(asked))),
        *forms(outputs.BY_NAME["audit"], Auditing(session, found)),
    ]
    text = "\n".join(told)
    for remedy in held_back(assessment):
        assert remedy not in text
    for option in options:
        assert not {charge.on for charge in option.charges} & held
    assert not {job.step.on for job in (*sheet.work, *sheet.looks)} & held
    assert all(job.step.action is None for job in sheet.held)
    for one in (*found.refused, *found.held):
        assert one.part in assessment.held
