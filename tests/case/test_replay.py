"""Reading a case and replaying it: corrections, order, an older book, two processes."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from process import ROOT, run
from sessions import contract, replay
from small_book import change, write_book

from headwater.book.files import Sample
from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.case.read import CaseError, parse_case, raw_answer
from headwater.errors import HeadwaterError, Place
from headwater.measure.answer import understand
from headwater.session.findings import check_id
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.reach import Stand, torn_down

HEAD = "case: a\nunit: {family: {drive: chain}}\nfindings:\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


@pytest.fixture
def small(folder: Path) -> Book:
    return load_book([folder])


def replayed(book: Book, *findings: str, head: str = HEAD) -> Session:
    """Return the verdict on some findings."""
    text = head + "".join(f"  - {{{finding}}}\n" for finding in findings)
    return replay(book, parse_case(text, "a.yaml"))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "case: a\nfindigns: []\n",
            "a.yaml:2:1: a case has no 'findigns'; did you mean 'findings'?",
        ),
        ("seat: bench\n", "a.yaml:1:1: 'case' is missing in this case"),
        (HEAD + "  - {check: pads}\n", "a.yaml:4:5: a finding needs 'check' and 'answer', or "),
        (HEAD + "  - {answer: burnt}\n", "a.yaml:4:5: a finding needs 'check' and 'answer'"),
        (HEAD + "  - {check: pads, answer: burnt, removed: half}\n", "a.yaml:4:5: a finding needs"),
        (HEAD + "  - pads\n", "a.yaml:4:5: expected the lines of an entry here"),
        (
            HEAD + "  - {check: padz, answer: burnt}\n",
            "a.yaml:4:13: there is no check 'padz'; did y",
        ),
        (HEAD + "  - {check: pads, answer: brunt}\n", "did you mean 'burnt'?"),
        (
            HEAD + "  - {check: pads, answer: [burnt]}\n",
            "a.yaml:4:13: pads: one of burnt, sound is w",
        ),
        (
            HEAD + "  - {check: pads, answer: {a: {b: c}}}\n",
            "a.yaml:4:31: an answer must be a word",
        ),
        (
            HEAD + "  - {check: bore-float, answer: 0.9}\n",
            "a.yaml:4:13: bore-float: '0.9': the unit is",
        ),
        (HEAD + "  - {check: bore-float, answer: 9 Nm}\n", "a.yaml:4:13: bore-float: '9 Nm'"),
        (HEAD + "  - {check: bore-float, answer: big}\n", "a.yaml:4:13: bore-float: 'big'"),
        (HEAD + "  - {check: bore-float, answer: {a: 1 mm}}\n", "one reading in mm is wanted"),
        (
            HEAD + "  - {removed: haff}\n",
            "a.yaml:4:15: there is no removal 'haff'; did you mean 'half'?",
        ),
        (
            "case: a\nunit: {removed: [haff]}\n",
            "a.yaml:2:18: there is no removal 'haff'; did you me",
        ),
        (
            "case: a\nunit: {family: {dive: gear}}\n",
            "there is no attribute 'dive'; did you mean 'driv",
        ),
        (
            "case: a\nunit: {family: {drive: belt}}\n",
            "'drive' cannot be 'belt'; it is one of chain",
        ),
        ("case: a\nseat: bensh\n", "a.yaml:2:7: 'bensh' is not one of call, hoist, bench; did you"),
    ],
)
def test_a_case_that_cannot_be_used_says_where_and_how_to_mend_it(
    small: Book, text: str, says: str
) -> None:
    with pytest.raises(HeadwaterError) as caught:
        replay(small, parse_case(text, "a.yaml"))
    assert says in str(caught.value)
    assert str(caught.value).startswith("a.yaml:")
    assert len(str(caught.value).splitlines()) == 1


def test_a_check_of_another_family_is_told_from_a_misspelt_one(folder: Path) -> None:
    change(folder, "checks.yaml", "    ask: How do", "    when: {drive: [gear]}\n    ask: How do")
    with pytest.raises(
        CaseError, match=r"a.yaml:4:13: check 'pads' does not apply to this unit fam"
    ):
        replayed(load_book([folder]), "check: pads, answer: burnt")


BURNT, SOUND = "check: pads, answer: burnt", "check: pads, answer: sound"


def test_a_correction_replaces_the_answer_whose_number_it_gives(small: Book) -> None:
    found = replayed(small, BURNT, "check: bore-float, answer: 0.3 mm", f"{SOUND}, corrects: 1")
    assert found.answers["pads"].settled == "sound"
    assert found.verdict.statuses["pads-burnt"].value == "ruled-out"
    assert list(found.answers) == ["bore-float", "pads"]
    assert found.verdict.evidence.disputed == ()
    assert [f.judged.settled for f in found.findings if f.check == "pads"] == ["burnt", "sound"]


def test_a_bare_second_answer_is_another_look(small: Book) -> None:
    """Two that disagree are put again; a third decides, and the one that it outvotes stays told."""
    found = replayed(small, BURNT, SOUND)
    assert found.verdict.ending is Ending.DISPUTED
    assert found.verdict.evidence.disputed == ("pads",)
    assert [item.check for item in found.next()] == ["pads"]
    settled = replayed(small, BURNT, SOUND, BURNT)
    assert settled.verdict.evidence.disputed == ()
    assert settled.verdict.statuses["pads-burnt"].value == "confirmed"


def test_what_is_taken_back_is_as_if_it_had_never_been_asked(small: Book) -> None:
    for first in (BURNT, SOUND, "check: bore-float, answer: 0.9 mm"):
        check = first.split(",")[0]
        taken_back = replayed(small, first, f"{check}, answer: taken-back, corrects: 1")
        never = replayed(small)
        assert essence(taken_back.verdict) == essence(never.verdict)
        assert taken_back.next() == never.next()


def test_not_knowing_afterwards_takes_nothing_back(small: Book) -> None:
    found = replayed(small, BURNT, "check: pads, answer: dont-know")
    assert found.verdict.statuses == replayed(small, BURNT).verdict.statuses
    assert found.held == replayed(small, BURNT).held


def test_the_rest_gone_answers_every_look_at_once_and_is_taken_back_at_once(small: Book) -> None:
    gone = replayed(small, BURNT, "rest: gone")
    assert gone.next() == []
    assert gone.verdict.origins == {"bore-worn": Naming.PROBABLE}
    assert all(not account.at_hand for account in gone.verdict.accounts.values())
    again = replayed(small, BURNT, "rest: gone", "rest: not-gone")
    assert essence(again.verdict) == essence(replayed(small, BURNT).verdict)
    assert again.next() == replayed(small, BURNT).next()


def test_true_and_false_are_yes_and_no() -> None:
    case = parse_case(HEAD + "  - {check: x, answer: true}\n  - {check: y, answer: false}\n", "a")
    answers = [entry.answer for entry in case.findings]
    assert [raw_answer(answer) for answer in answers if answer] == ["yes", "no"]


def test_an_old_id_of_a_check_still_resolves(folder: Path) -> None:
    change(folder, "checks.yaml", "    ask: How do", "    replaces: [fork-pads]\n    ask: How do")
    found = replayed(load_book([folder]), "check: fork-pads, answer: burnt")
    assert found.answers["pads"].settled == "burnt"


def test_a_check_keeps_its_id_though_a_condition_once_had_it(folder: Path) -> None:
    change(folder, "conditions.yaml", "    unobservable", "    replaces: [pads]\n    unobservable")
    assert check_id(load_book([folder]), "pads", Place("x")) == "pads"


def test_a_case_made_with_another_book_is_judged_anew_and_it_is_said(
    folder: Path, small: Book
) -> None:
    stamp = f'book: {{name: small, version: "1.0", digest: "{small.digest}"}}\n'
    pads = "check: pads, answer: burnt"
    assert not replayed(small, pads, head=stamp + HEAD).stale
    assert not replayed(small, pads).stale
    change(folder, "checks.yaml", "minutes: 2", "minutes: 3")
    now = load_book([folder])
    found = replayed(now, pads, head=stamp + HEAD)
    assert found.stale
    assert found.verdict.decisions == replayed(now, pads).verdict.decisions
    case = folder.parent / "a.yaml"
    case.write_text(stamp + HEAD + f"  - {{{pads}}}\n")
    shown = run("diagnose", case, "--book", folder)
    assert shown.returncode == 1
    assert "made with another state of the book; it was judged anew" in " ".join(
        shown.stdout.split()
    )


def essence(assessment: Assessment) -> dict[str, Any]:
    """Return what a verdict says, probabilities to nine places."""
    return {
        "outcome": assessment.ending,
        "statuses": dict(sorted(assessment.statuses.items())),
        "origins": dict(sorted(assessment.origins.items())),
        "parts": {part: (d.released, d.action) for part, d in sorted(assessment.decisions.items())},
        "unexplained": sorted(assessment.unexplained),
        "plan": [(step.on, step.action) for step in assessment.plan],
        "drive": assessment.drive.advice,
    }


@settings(max_examples=draws(12), deadline=None)
@given(data=st.data())
def test_the_order_of_findings_does_not_matter(
    book: Book, reasoner: Reasoner, data: st.DataObject
) -> None:
    samples = _samples_with_several(book)
    sample = data.draw(st.sampled_from(samples), label="sample")
    shuffled = data.draw(st.permutations(list(sample.given.items())), label="order")
    assert essence(_assess(reasoner, dict(shuffled))) == essence(_assess(reasoner, sample.given))


def _samples_with_several(book: Book) -> list[Sample]:
    found = [s for samples in book.samples.values() for s in samples if len(s.given) >= 3]
    return [s for s in found if all(book.family.get(k) == v for k, v in s.family.items())]


def _assess(reasoner: Reasoner, given: Any) -> Assessment:
    judged = [
        understand(reasoner.book, reasoner.book.checks[str(ref)], raw_answer(value))
        for ref, value in given.items()
    ]
    return reasoner.assess(judged, Stand(removed=torn_down(reasoner.book)))


def test_two_processes_say_the_same_byte_for_byte() -> None:
    case = ROOT / "examples" / "ridge-07.yaml"
    pack = ROOT / "knowledge" / "transfer-case"
    said = [
        run("diagnose", case, "--json", "--book", pack, PYTHONHASHSEED=seed)
        for seed in ("0", "1", "4711")
    ]
    assert all(a.stdout == b.stdout for a, b in pairwise(said))
    assert json.loads(said[0].stdout)["case"] is not None
    assert [found.stderr for found in said] == ["", "", ""]


def test_the_same_case_and_book_give_the_same_contract(small: Book) -> None:
    findings = ("check: pads, answer: burnt", "check: bore-float, answer: 0.9 mm")
    first, second = replayed(small, *findings), replayed(small, *findings)
    assert first.verdict.ending is Ending.SETTLED
    assert json.dumps(contract(first)) == json.dumps(contract(second))
