"""What strangers met at a seat, as far as proof and endings go, on the shipped book."""

from __future__ import annotations

from pathlib import Path

import pytest
from proof.bench import in_pieces, named, read, shown
from sessions import screen

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, Seat, Sense
from headwater.rules.status import Status
from headwater.session.ask import Purpose
from headwater.verdict.account import Naming
from headwater.verdict.assess import Reasoner, build_reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.reach import LookState, Stand
from headwater.view.asking import Asking

ROOT = Path(__file__).resolve().parents[2]
BURNT = ("range-fork-pads", "burnt")
ROLLED = ("front-groove", "past-limit")
PROVEN = [BURNT, ("input-bearing-float", "0.045 in"), ROLLED]
CIRCUMSTANCES = [
    ("road-surface", "dry-road"),
    ("shock-asked", "yes"),
    ("towed-lately", "in-gear"),
    ("heavy-use", "yes"),
    ("seals-ever-done", "never"),
    ("stood-long", "yes"),
    ("water-asked", "deep"),
    ("low-on-the-move", "yes"),
]


@pytest.mark.parametrize(("check", "answer"), CIRCUMSTANCES)
def test_a_circumstance_without_damage_names_and_settles_nothing(
    reasoner: Reasoner, check: str, answer: str
) -> None:
    verdict = in_pieces(reasoner, (check, answer)).verdict
    assert verdict.origins == {}
    assert verdict.ending is not Ending.SETTLED


def test_all_circumstances_together_settle_nothing(reasoner: Reasoner) -> None:
    verdict = in_pieces(reasoner, *CIRCUMSTANCES).verdict
    assert verdict.origins == {}
    assert verdict.ending is not Ending.SETTLED


def test_one_reading_releases_no_costly_part(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ("input-bearing-float", "0.045 in"))
    assert session.released == frozenset()
    assert session.verdict.origins == {}


def test_one_look_at_the_groove_releases_no_costly_part(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ROLLED)
    assert session.released == frozenset()


def test_two_burnt_forks_leave_looks_to_make_and_both_held(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ("mode-fork-pads", "burnt"))
    assert session.verdict.ending is Ending.OPEN
    assert session.held >= {"range-fork", "mode-fork"}
    assert session.next()


def test_a_burnt_fork_centre_with_sound_pads_is_no_dead_end(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, ("mode-fork-pads", "sound"), ("mode-fork-centre", "burnt"))
    before = session.verdict.ending
    assert before is Ending.OPEN
    assert "mode-fork-centre" in {one.check for one in session.verdict.loose}
    assert "mode-fork-centre" in {item.check for item in session.next()}
    assert session.back() is session.book.checks["mode-fork-centre"]
    session.answer("mode-fork-centre", "sound")
    assert session.verdict.ending is Ending.SOUND


def test_no_bad_answer_vanishes(reasoner: Reasoner) -> None:
    """Each bad answer of every sixth look at a unit in pieces: found, or listed."""
    lost = []
    looks = [check for check in reasoner.book.checks.values() if not check.reading]
    for check in [reasoner.book.checks["fracture-face"], *looks[::6]]:
        for word, answer in check.answers.items():
            if answer.sense is not Sense.BAD:
                continue
            verdict = in_pieces(reasoner, (check.id, str(word))).verdict
            told = [
                c for c in map(str, answer.shows) if verdict.statuses.get(c) is Status.CONFIRMED
            ]
            if not told and check.id not in {one.check for one in verdict.loose}:
                lost.append((check.id, word))
    assert lost == []


def test_a_held_part_names_the_looks_that_would_tell_with_minutes_and_seat(
    reasoner: Reasoner,
) -> None:
    text = shown(in_pieces(reasoner, BURNT))
    held = text[text.index("HELD range fork") :]
    assert "(input-bearing-seat, 3 min, bench)" in held[: held.index("Check next")]


def test_unsure_once_is_offered_once_more(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ("front-groove", DONT_KNOW))
    assert session.verdict.stand.state("front-groove") is LookState.UNSURE_ONCE
    assert "front-groove" in [item.check for item in session.next()]


def test_unsure_twice_is_not_offered_and_still_left(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ("front-groove", DONT_KNOW), ("front-groove", DONT_KNOW))
    assert session.verdict.stand.state("front-groove") is LookState.UNSURE_TWICE
    assert "front-groove" not in [item.check for item in session.next()]
    assert "front-groove" in session.verdict.accounts["range-fork-pads-burnt"].at_hand


def test_what_could_not_be_checked_is_answered_later_like_any_look(reasoner: Reasoner) -> None:
    late = in_pieces(reasoner, ("front-groove", CANNOT_CHECK), *PROVEN)
    assert late.verdict.ending is in_pieces(reasoner, *PROVEN).verdict.ending is Ending.SETTLED


def test_cannot_check_uses_no_look_up(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT, ("front-groove", CANNOT_CHECK))
    assert session.verdict.stand.state("front-groove") is LookState.NOT_NOW
    assert "front-groove" in session.verdict.accounts["range-fork-pads-burnt"].at_hand


def test_the_rest_is_gone_leaves_no_look_at_once(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT)
    session.rest_is_gone()
    at_bench = [
        c.id for c in session.book.checks.values() if {s.value for s in c.seats} != {"call"}
    ]
    states = {session.verdict.stand.state(c) for c in at_bench}
    assert states == {LookState.GONE, LookState.TOLD}


def test_back_takes_the_rest_back_before_any_answer(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, BURNT)
    session.rest_is_gone()
    session.back()
    assert list(session.answers) == ["range-fork-pads"]
    assert session.verdict.stand.state("front-groove") is LookState.UNASKED


def test_a_settled_case_takes_a_further_answer(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *PROVEN)
    assert session.settled
    session.answer("mode-fork-pads", "burnt")
    assert not session.settled
    assert "mode-fork" in session.held
    assert named(session, "range-fork-pads-burnt") == {"front-bore-worn": Naming.PROVEN}


def test_a_settled_case_can_be_taken_back_to_its_first_answer(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *PROVEN)
    for _ in PROVEN:
        assert session.back() is not None
    assert session.answers == {}
    assert session.verdict.accounts == {}


def test_a_withdrawn_release_names_the_answer_and_the_rival(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *PROVEN)
    released = session.released
    session.answer("front-groove", "square")
    session.answer("front-groove", "square")
    assert "range-fork" in session.held & released
    asking = Asking(session, "front-groove", frozenset(), released)
    text = screen("effect", asking)
    assert "NO LONGER RELEASED: range fork" in text
    assert session.book.checks["front-groove"].ask in text
    assert "input bearing snap ring not seated in its groove (" in text


def test_the_sweep_is_five_looks_and_ten_minutes_at_most(reasoner: Reasoner) -> None:
    sweep = in_pieces(reasoner, *PROVEN).next()
    assert {item.purpose for item in sweep} == {Purpose.SWEEP}
    assert len(sweep) <= 5
    assert sum(item.minutes for item in sweep) <= 10.0


def test_the_sweep_opens_nothing_more(reasoner: Reasoner) -> None:
    assert all(item.opens == () for item in in_pieces(reasoner, *PROVEN).next())


def test_the_sweep_is_counted(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, *PROVEN)
    sweep = session.next()
    assert session.swept == (0, len(sweep))
    session.answer(sweep[0].check, DONT_KNOW)
    session.next()
    assert session.swept == (1, len(sweep))


def test_a_check_twice_in_a_file_is_disputed(book: Book, reasoner: Reasoner) -> None:
    session = read(
        book,
        reasoner,
        "check: range-fork-pads, answer: burnt",
        "check: range-fork-pads, answer: sound",
    )
    assert session.verdict.ending is Ending.DISPUTED
    assert session.verdict.evidence.disputed == ("range-fork-pads",)


def test_a_correction_in_a_file_replaces_and_stays_readable(book: Book, reasoner: Reasoner) -> None:
    session = read(
        book,
        reasoner,
        "check: range-fork-pads, answer: burnt",
        "check: range-fork-pads, answer: sound, corrects: 1",
    )
    assert session.verdict.ending is Ending.SOUND
    assert [finding.judged.settled for finding in session.findings] == ["burnt", "sound"]


def test_answers_declared_to_conflict_are_disputed(reasoner: Reasoner) -> None:
    session = in_pieces(
        reasoner, ("planetary-pit-place", "none"), ("planetary-teeth", "gear-progressive-pitting")
    )
    assert session.verdict.ending is Ending.DISPUTED
    assert {item.check for item in session.next()} == {"planetary-pit-place", "planetary-teeth"}


def test_a_healthy_case_says_that_nothing_abnormal_was_found(reasoner: Reasoner) -> None:
    assert "Nothing abnormal was found." in shown(in_pieces(reasoner, ("range-fork-pads", "sound")))


def test_an_empty_case_does_not_say_that_something_is_unexplained(reasoner: Reasoner) -> None:
    assert "something is not explained" not in shown(in_pieces(reasoner))


LOOSE_NUT = [
    ("clunk-on-take-up", "yes"),
    ("pinion-nut-mark", "loose"),
    ("pinion-flange-pull", "moves"),
    ("pinion-nut-undoing", "lightly"),
    ("pinion-seal-place", "splines"),
]


def test_the_usual_lash_is_not_named_beside_a_fault_that_clunks() -> None:
    whole = load_book([ROOT / "knowledge" / "driveline"])
    both = build_reasoner(whole, whole.assumed | {"unit": "both"})
    session = in_pieces(both, *LOOSE_NUT, ("clunk-comparison", "same"))
    session.rest_is_gone()
    assert session.verdict.origins == {"pinion-nut-loose": Naming.PROVEN}
    assert named(session, "clunk-on-take-up") == {"pinion-nut-loose": Naming.PROBABLE}


def test_the_usual_lash_alone_is_named(reasoner: Reasoner) -> None:
    lash = [("clunk-on-take-up", "yes"), ("clunk-comparison", "same")]
    session = in_pieces(reasoner, *lash, ("clunk-how-often", "once"), ("rear-output-lash", "2 °"))
    session.rest_is_gone()
    assert set(session.verdict.origins) == {"usual-lash"}


WOUND_UP = [
    ("hard-to-leave-four-wheel-drive", "yes"),
    ("comes-free-on-reversing", "yes"),
    ("road-surface", "dry-road"),
    ("skip-marks-asked", "yes"),
]


def test_dry_road_is_not_proven_before_the_tyres_were_asked_about(reasoner: Reasoner) -> None:
    before = in_pieces(reasoner, *WOUND_UP)
    assert before.verdict.origins == {}
    assert "tyres-asked" in [item.check for item in before.next()]
    after = in_pieces(reasoner, *WOUND_UP, ("tyres-asked", "alike"))
    assert after.verdict.origins == {"driven-on-hard-surface": Naming.PROVEN}


@pytest.mark.parametrize("word", ["needles", "loose-piece"])
def test_what_the_magnet_holds_is_asked_once(reasoner: Reasoner, word: str) -> None:
    asked = [item.check for item in in_pieces(reasoner, ("magnet-paste", word)).next()]
    assert asked
    assert "magnet-find" not in asked


def test_grains_on_the_magnet_are_looked_at_closely(reasoner: Reasoner) -> None:
    asked = [item.check for item in in_pieces(reasoner, ("magnet-paste", "slivers")).next()]
    assert "magnet-find" in asked


def test_a_unit_whose_evidence_is_gone_cannot_be_told_and_says_so(reasoner: Reasoner) -> None:
    """The owner is asked first, and once more; who never knows leaves nothing to be told from."""
    session = in_pieces(reasoner, ("magnet-paste", "slivers"))
    session.rest_is_gone()
    assert not session.verdict.ending.covers
    while left := session.next():
        assert not session.verdict.ending.covers, "there is somebody to ask yet"
        session.answer(left[0].check, DONT_KNOW)
    assert session.verdict.ending is Ending.UNDETERMINED
    assert "it cannot be told any more" in shown(session)


def test_ordinary_paste_is_sound(reasoner: Reasoner) -> None:
    session = in_pieces(reasoner, ("magnet-paste", "paste"))
    assert session.verdict.ending is Ending.SOUND


UNLIKE_TYRES = [
    ("bang-under-load-in-four-wheel-drive", "yes"),
    ("comes-free-on-reversing", "yes"),
    ("tyres-asked", "unlike"),
    ("drops-out-of-four-wheel-drive", "holds"),
    ("chain-distance", "young"),
    ("road-surface", "loose-only"),
    ("four-wheel-drive-lamp", "right"),
    ("will-not-engage-four-wheel-drive", "engages"),
]


def test_the_hoist_ends_where_an_origin_stands_and_no_look_there_tells(reasoner: Reasoner) -> None:
    """A complaint is left that the bench settles: on the hoist only its own looks are asked yet."""
    session = in_pieces(reasoner, *UNLIKE_TYRES, stand=Stand(seat=Seat.HOIST))
    assert session.verdict.origins == {"tyre-mismatch": Naming.PROVEN}
    asked = session.next()
    assert len(asked) <= 12
    checks = reasoner.book.checks
    assert all(i.gain >= 0.05 or Seat.BENCH not in checks[i.check].seats for i in asked)
    for item in asked:
        session.answer(item.check, DONT_KNOW)
    assert session.answers.keys() >= {item.check for item in session.next()}
    told = screen("end", session)
    assert "An origin stands. What is left is for the bench:" in told
    assert "bench)" in told
