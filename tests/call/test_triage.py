"""Which questions a call puts, what it tells meanwhile, when it ends, and the drive advice."""

from __future__ import annotations

import pytest
from sessions import open_at

from headwater.book.records import Book
from headwater.book.tables import LIMP_LIMITS, Drive, Seat
from headwater.case.model import Case
from headwater.measure.answer import understand
from headwater.rules.status import Status
from headwater.session.ask import next_checks
from headwater.session.call import Call
from headwater.session.triage import (
    call_questions,
    first_in_shop,
    live_chains,
    looks_without_tools,
    not_to_buy,
    phone_steps,
    want_of,
)
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.drive import Chances, worst_danger
from headwater.verdict.reach import Stand
from headwater.view.advice import CALLER, caller_words
from headwater.view.call import not_yet_words


def judge(reasoner: Reasoner, given: dict[str, str]) -> Assessment:
    """Return the assessment of answers at the seat call."""
    checks = reasoner.book.checks
    judged = [understand(reasoner.book, checks[c], word) for c, word in given.items()]
    return reasoner.assess(judged, Stand(Seat.CALL))


def test_only_questions_of_the_call(caller_reasoner: Reasoner) -> None:
    """Questions are the caller's own; the first is since when; what the shop does is not asked."""
    found = judge(caller_reasoner, {"jumps-out-of-low": "yes"})
    asked = [caller_reasoner.book.checks[q.check] for q in call_questions(found)]
    assert asked[0].id == "work-before-trouble"
    assert all(Seat.CALL in check.seats and not check.tool for check in asked)
    at_hoist = caller_reasoner.assess(found.findings, Stand(Seat.HOIST))
    assert first_in_shop(found) == next_checks(at_hoist)[:3], "the sheet promises what comes"


def test_what_was_not_known_comes_back_as_a_look(caller_reasoner: Reasoner) -> None:
    """A look that the caller could not make from memory is suggested beside the parked vehicle."""
    given = {"hop-on-tight-turns": "yes", "tyres-asked": "cannot-check"}
    found = judge(caller_reasoner, given)
    assert "tyres-asked" not in [q.check for q in call_questions(found)]
    assert "tyres-asked" in [check.id for check in looks_without_tools(found)]


def test_nothing_known_is_not_ok(caller_reasoner: Reasoner) -> None:
    """Before anything is told the vehicle stays parked, also after 'not sure'."""
    for told in ({}, {"hot-oil-smell": "dont-know"}, {"hop-on-tight-turns": "no"}):
        assert caller_words(judge(caller_reasoner, told)).startswith(CALLER[Drive.PARKED])


@pytest.mark.parametrize(
    ("given", "advice"),
    [
        ({"jumps-out-of-low": "yes"}, Drive.STOP),
        ({"rolls-in-park": "yes"}, Drive.STOP),
        ({"wheels-locked": "yes"}, Drive.STOP),
        ({"oil-spots-under-vehicle": "puddle"}, Drive.STOP),
        ({"oil-spots-under-vehicle": "puddle", "whine-when": "none"}, Drive.STOP),
        ({"comes-free-on-reversing": "yes", "road-surface": "dry-road"}, Drive.LIMP),
        ({"plastic-crumbs-in-oil": "yes", "whine-when": "none"}, Drive.LIMP),
        # Bearings without oil are likely, but under 0.40: within limits.
        ({"speedometer": "jumps"}, Drive.LIMP),
        # A walking main shaft rubs the sensor too: not before its own signs are denied as well.
        ({"speedometer": "jumps", "whine-when": "none", "bump-when-stopping": "no"}, Drive.LIMP),
        # Nothing is placed: 'no' to a question nobody told of acquits nothing.
        ({"speedometer": "steady"}, Drive.PARKED),
    ],
)
def test_drive_advice(caller_reasoner: Reasoner, given: dict[str, str], advice: Drive) -> None:
    """The caller's safety: stop while a danger is found or likely, ease when it is asked away."""
    assert judge(caller_reasoner, given).drive.advice is advice


def test_likely_stop_limps_below_two_in_five(caller_book: Book) -> None:
    """A danger to stop for stops from 0.40 and when found, limps from 0.20, never is ignored."""

    def advice(chance: float, status: Status = Status.UNKNOWN) -> Drive | None:
        given = Chances({"rear-bearing-failed": chance}, {})
        told = worst_danger(caller_book, {"rear-bearing-failed": status}, given)
        if told and told.advice is Drive.LIMP:
            assert told.limits == LIMP_LIMITS
            assert not told.sure
        return told.advice if told else None

    assert advice(0.41) is Drive.STOP
    assert advice(0.39) is Drive.LIMP
    assert advice(0.21) is Drive.LIMP
    assert advice(0.19) is None
    assert advice(0.0, Status.CONFIRMED) is Drive.STOP
    assert advice(0.0, Status.DISPUTED) is Drive.STOP
    assert advice(0.9, Status.RULED_OUT) is None


def test_a_found_limp_does_not_hide_a_likely_stop(caller_book: Book) -> None:
    """The worse advice wins over the surer one."""
    statuses = {"plastic-crumbs-in-oil": Status.CONFIRMED}
    told = worst_danger(caller_book, statuses, Chances({"screen-blocked": 0.5}, {}))
    assert told is not None
    assert told.advice is Drive.STOP
    assert told.condition == "screen-blocked"


def test_wants(caller_reasoner: Reasoner) -> None:
    """Parts are meant by plain words, and none of them is recommended."""
    found = judge(caller_reasoner, {"plastic-crumbs-in-oil": "yes", "whine-when": "none"})
    meant = {"the pads": ("range-fork", "mode-fork"), "a sensor": ("speed-sensor",)}
    for words, parts in meant.items():
        want = want_of(found, words)
        assert want.part in parts
        assert not_yet_words(found, want).startswith("Please do not buy anything for the ")
    assert want_of(found, "zebra").part is None
    assert "range-fork" in not_to_buy(found)


def test_live_chains_end_in_what_was_told(caller_reasoner: Reasoner) -> None:
    """Chains run from an origin down to the complaint, likeliest first, one for each origin."""
    found = judge(caller_reasoner, {"jumps-out-of-low": "yes"})
    chains = live_chains(found, 9)
    assert {chain.path[-1] for chain in chains} == {"jumps-out-of-low"}
    assert [c.share for c in chains] == sorted((c.share for c in chains), reverse=True)
    assert len({c.path[0] for c in chains}) == len(chains)
    assert all(c.path[0] in caller_reasoner.book.origins for c in chains)


def test_no_part_is_acted_on_from_the_phone(caller_reasoner: Reasoner) -> None:
    """An origin named on the phone whose correction is a part leaves the sheet without it."""
    given = {"oil-spots-under-vehicle": "yes", "seals-ever-done": "never"}
    assert phone_steps(judge(caller_reasoner, given)) == []
    wound = {"comes-free-on-reversing": "yes", "road-surface": "dry-road"}
    steps = phone_steps(judge(caller_reasoner, wound))
    assert {step.action.value for step in steps if step.action} <= {"advise", "inspect"}


def test_four_minutes_end_a_call(caller_reasoner: Reasoner) -> None:
    """The clock ends a call as surely as the eighth question."""
    ticks = [0.0]
    session = open_at(Case(case="t"), caller_reasoner, Stand(Seat.CALL))
    call = Call(session, lambda: ticks[0])
    assert call.next() is not None
    ticks[0] = 239.0
    assert call.over() == ""
    ticks[0] = 241.0
    assert call.next() is None
    assert call.over().startswith("4 minutes are up")
