"""Looks that are refused, gone, opened, reordered, written and taken back, on small drawn units."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from proof.drawn import units
from sessions import opened_with
from strategies import Situation, answer_of

from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE, Seat
from headwater.case.model import Case
from headwater.case.read import parse_case
from headwater.case.store import entry_line, new_case_text
from headwater.measure.answer import Judged
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, open_session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, Reasoner, build_reasoner
from headwater.verdict.reach import Stand

attack = settings(max_examples=60, print_blob=False)


def namings(a: Assessment) -> dict[tuple[str, str], Naming]:
    return {(c, chain.origin): chain.naming for c in a.accounts for chain in a.accounts[c].chains}


def released(a: Assessment) -> set[str]:
    return {d.part for d in a.decisions.values() if d.conditions and d.released}


def left(case: Situation) -> list[str]:
    done = {judged.check for judged in case.findings}
    return [check for check in case.book.checks if check not in done]


def judged_twice(
    case: Situation, more: list[Judged], stand: Stand | None = None
) -> tuple[Assessment, Assessment]:
    """Return the verdict without and with some further answers."""
    reasoner = build_reasoner(case.book, {})
    before = reasoner.assess(case.findings, case.stand)
    return before, reasoner.assess([*case.findings, *more], stand or case.stand)


@attack
@given(units(), st.integers(1, 3), st.data())
def test_refusing_any_number_of_times_changes_no_verdict(
    case: Situation, times: int, data: st.DataObject
) -> None:
    words = st.sampled_from([DONT_KNOW, CANNOT_CHECK])
    refused = [
        answer_of(case.book.checks[k], data.draw(words)) for k in left(case) for _ in range(times)
    ]
    before, after = judged_twice(case, refused)
    assert released(after) == released(before)
    assert namings(after) == namings(before)
    assert after.ending is before.ending


@attack
@given(units(), st.data())
def test_what_is_gone_proves_nothing(case: Situation, data: st.DataObject) -> None:
    away = data.draw(st.sets(st.sampled_from(left(case)))) if left(case) else set()
    gone = [answer_of(case.book.checks[k], GONE) for k in sorted(away)]
    before, after = judged_twice(case, gone, replace(case.stand, removed=frozenset({"lid"})))
    proven = {key for key, naming in namings(after).items() if naming is Naming.PROVEN}
    assert proven <= {key for key, n in namings(before).items() if n is Naming.PROVEN}


@attack
@given(units(), st.randoms(use_true_random=False))
def test_the_order_of_different_checks_is_nothing(case: Situation, random: Random) -> None:
    reasoner, shuffled = build_reasoner(case.book, {}), list(case.findings)
    random.shuffle(shuffled)
    one, two = (reasoner.assess(found, case.stand) for found in (case.findings, shuffled))
    assert summary(one) == summary(two)


def summary(a: Assessment) -> tuple[object, ...]:
    """Return what a verdict comes to, for comparing two."""
    decisions = {part: (d.disposition, d.action) for part, d in a.decisions.items()}
    return a.ending, namings(a), dict(a.statuses), decisions, a.posterior.marginals


def session_of(case: Situation, reasoner: Reasoner) -> Session:
    """Return a session without a word, closed, on a book that is compiled already."""
    return Session(OpenBook(case.book), Case(case="drawn"), {}, reasoner, Stand(), [])


@attack
@given(units())
def test_a_case_written_and_read_again_comes_to_the_same(case: Situation) -> None:
    reasoner = build_reasoner(case.book, {})
    session = session_of(case, reasoner)
    for judged in case.findings:
        session.answer(judged.check, str(judged.given))
    text = new_case_text("drawn", case.book, {}, Seat.BENCH, removed=[])
    text += "".join(map(entry_line, session.case.findings))
    if not session.case.findings:
        text = text.replace("findings:\n", "findings: []\n")
    opened = opened_with(case.book, {}, reasoner)
    again = open_session(opened, parse_case(text, "drawn.yaml"))
    assert again.stand == session.stand
    assert summary(again.verdict) == summary(session.verdict)


@attack
@given(units())
def test_taken_back_to_the_first_it_is_the_empty_case(case: Situation) -> None:
    reasoner = build_reasoner(case.book, {})
    session = session_of(case, reasoner)
    for judged in case.findings:
        session.answer(judged.check, str(judged.given))
    taken = [session.back() for _ in case.findings]
    assert [check.id for check in taken if check] == [j.check for j in case.findings[::-1]]
    assert session.back() is None
    empty = reasoner.assess([], session.stand)
    assert summary(session.verdict) == summary(empty)


@attack
@given(units())
def test_the_rest_gone_and_taken_back_is_as_before(case: Situation) -> None:
    reasoner = build_reasoner(case.book, {})
    session = session_of(case, reasoner)
    for judged in case.findings:
        session.answer(judged.check, str(judged.given))
    before = summary(session.verdict)
    session.rest_is_gone()
    if any(finding.rest for finding in session.findings):
        session.back()
    assert summary(session.verdict) == before
