"""What strangers met on the telephone, each as an example of its class."""

from __future__ import annotations

import itertools
import re
from io import StringIO
from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.book.tables import LIMP_LIMITS, Drive, Nature, Seat
from headwater.cli.main import Terminal, run
from headwater.measure.answer import understand
from headwater.session.ask import next_checks
from headwater.session.triage import call_questions, first_in_shop, looks_without_tools, want_of
from headwater.shipped import open_packs, shipped_packs
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.reach import Stand
from headwater.view.advice import BENCH, CALLER, MARKS, SHOP, advice_view

SENDS = r"\b(crawl|get under|reach|climb|look (up|under|at the floor))\b"
"""What sends somebody under a vehicle, or over it."""
UNPLACED = [
    "my engine overheats",
    "the driveshaft is hanging down",
    "there is smoke coming from underneath",
    "grinding with a burning smell",
    "the wheels locked up on the motorway",
    "the flux thing wibbles",
]


@pytest.fixture(scope="session")
def whole_book() -> Book:
    """The shipped book with all its packs."""
    return open_packs(shipped_packs()).book


@pytest.fixture(scope="session")
def reasoner(whole_book: Book) -> Reasoner:
    """A reasoner for a transfer case of which nothing else is known."""
    return open_packs(shipped_packs()).compiled(whole_book.assumed)


def judge(reasoner: Reasoner, *outside: str, seat: Seat = Seat.CALL, **given: str) -> Assessment:
    """Return what answers come to, `_` standing for `-`, with words outside the driveline."""
    checks = reasoner.book.checks
    pairs = [(name.replace("_", "-"), word) for name, word in given.items()]
    judged = [understand(reasoner.book, checks[name], word) for name, word in pairs]
    return reasoner.assess(judged, Stand(seat, outside=outside))


def ring(tmp_path: Path, *typed: str, case: str = "a.yaml") -> str:
    """Type lines at the telephone and return the screen."""
    out, err = StringIO(), StringIO()
    lines = StringIO("".join(f"{line}\n" for line in typed))
    run(["call", str(tmp_path / case)], Terminal(out, err, lines, width=80))
    return out.getvalue()


@pytest.mark.parametrize("words", UNPLACED)
def test_enter_and_one_no_is_never_ok(tmp_path: Path, words: str) -> None:
    """The most dangerous thing met: words not placed, Enter, one 'no', and 'OK to drive in'."""
    out = ring(tmp_path, words, "", "", "no", "done")
    given = out.split("Drive advice given")[1].split("\n\n")[0]
    assert given.split()[0] in (MARKS[Drive.STOP], MARKS[Drive.PARKED])
    assert "Nothing abnormal" not in out


def given_last(out: str) -> Drive:
    """Return the advice that stands at the end of a call."""
    mark = out.rsplit("Drive advice given:", 1)[1].split()[0]
    return next(drive for drive, one in MARKS.items() if one == mark)


STRUCK = [
    ("the axle howls on the pull, and the nose of it is wet with oil, it yowlpers", ""),
    ("it whines at any speed and sort of frumps", ""),
    ("oil spots under it, a few, and it quirks", ""),
    ("the speedometer jumps and the thing zorks", "strike thing zorks: small talk"),
]


@pytest.mark.parametrize(("words", "strikes"), STRUCK)
def test_words_struck_and_no_to_the_rest_is_never_mild(
    tmp_path: Path, words: str, strikes: str
) -> None:
    """A complaint without a proven origin, words left aside, and every question denied."""
    out = ring(tmp_path, words, "", "", *filter(None, (strikes,)), "", *["no"] * 24)
    assert given_last(out) in (Drive.STOP, Drive.PARKED), out


def test_every_sign_of_danger_is_answered_in_three_short_sentences(whole_book: Book) -> None:
    """What burns comes first; each says what to do, and none sends anybody underneath."""
    signs = list(whole_book.emergencies.values())
    assert [sign.id for sign in signs[:2]] == ["burning-metal", "fire"]
    for sign in signs:
        assert 1 <= len(sign.now) <= 3
        assert all(len(sentence.split()) <= 26 for sentence in sign.now), sign.id
        assert len(sign.said) >= 20
        told = " ".join(sign.now).lower()
        assert not re.search(r"(?<!not )(?<!nobody )\b(crawl|lie|reach) under", told)


def test_trouble_elsewhere_says_who_should_look(whole_book: Book) -> None:
    """Each has plenty of words; a trouble says that it is not the driveline, a wish does not."""
    assert 25 <= sum(not one.wish for one in whole_book.elsewhere.values()) <= 40
    assert sum(one.wish for one in whole_book.elsewhere.values()) >= 3
    for one in whole_book.elsewhere.values():
        assert len(one.said) >= 14, one.id
        assert one.advice is not Drive.STOP or one.caution, one.id
        assert one.tell.endswith((".", "?"))
    phrases = [p.lower() for one in whole_book.elsewhere.values() for p in one.said]
    phrases += [p.lower() for one in whole_book.emergencies.values() for p in one.said]
    assert len(phrases) == len(set(phrases)), "one phrase means one thing"


@pytest.mark.parametrize(
    ("given", "advice"),
    [
        ({"oil_spots_under_vehicle": "yes"}, Drive.LIMP),
        ({"oil_spots_under_vehicle": "yes-no-telling-how-much"}, Drive.PARKED),
        ({"oil_spots_under_vehicle": "puddle"}, Drive.STOP),
        ({"oil_spots_under_vehicle": "puddle", "whine_when": "none"}, Drive.STOP),
        ({"oil_spots_under_vehicle": "yes", "exhaust_wet": "wet"}, Drive.STOP),
    ],
)
def test_a_leak_is_judged_by_how_much_and_where(
    reasoner: Reasoner, given: dict[str, str], advice: Drive
) -> None:
    assert judge(reasoner, seat=Seat.CALL, **given).drive.advice is advice


def test_a_leak_of_unknown_size_is_not_ok_after_two_noes(reasoner: Reasoner) -> None:
    size = "yes-no-telling-how-much"
    told = judge(reasoner, oil_spots_under_vehicle=size, hot_oil_smell="no", wheels_locked="no")
    assert told.drive.advice is not Drive.OK


def test_spots_alone_ask_for_the_level(reasoner: Reasoner) -> None:
    assert "level checked" in judge(reasoner, oil_spots_under_vehicle="yes").drive.limits


def test_a_whine_alone_is_no_stop(reasoner: Reasoner) -> None:
    advice = judge(reasoner, whine_when="all-ranges").drive.advice
    assert advice in (Drive.LIMP, Drive.PARKED)


def test_limits_can_be_followed_by_a_caller(whole_book: Book) -> None:
    """Nobody on a telephone takes a shaft out or looks at forks."""
    limits = [c.danger.limits for c in whole_book.conditions.values() if c.danger]
    for text in (*limits, LIMP_LIMITS):
        assert not re.search(r"shaft out|forks|remove|disconnect|drain|jack", text), text


def test_no_look_of_a_caller_is_under_or_over_the_vehicle(whole_book: Book) -> None:
    """What a caller looks at is seen from beside it, engine off and cold."""
    for check in whole_book.checks.values():
        if not check.parked or Seat.CALL not in check.seats:
            continue
        text = check.say or check.ask
        sends = re.search(SENDS, text)
        assert not sends or "do not reach" in text, check.id
        if re.search(r"exhaust|back of the case|top of the transfer|across the floor", text):
            assert re.search(r"engine off and cold", text), check.id


def test_no_drive_test_while_it_is_to_stand(reasoner: Reasoner) -> None:
    """Neither on the phone nor at the hoist, under a stop or while it is parked."""
    for given in ({"jumps_out_of_low": "yes"}, {"wheels_locked": "yes"}):
        for seat in (Seat.CALL, Seat.HOIST):
            verdict = judge(reasoner, seat=seat, **given)
            assert verdict.drive.advice in (Drive.STOP, Drive.PARKED)
            asked = [*next_checks(verdict), *call_questions(verdict)]
            assert not any(reasoner.book.checks[item.check].driving for item in asked)


def test_nobody_is_sent_to_look_while_it_burns(reasoner: Reasoner) -> None:
    verdict = judge(reasoner, "smoke-from-below", oil_spots_under_vehicle="yes")
    assert looks_without_tools(verdict) == []
    assert not any(reasoner.book.checks[q.check].parked for q in call_questions(verdict))


def test_hints_of_a_danger_are_marked_as_such(reasoner: Reasoner) -> None:
    """A complaint that only may be a bearing is no danger beside what was proven to cause it.

    That the advice drops it then is tested on a small book (`verdict/test_drive.py`).
    """
    hints = [
        cid
        for cid, record in reasoner.book.conditions.items()
        if record.danger and record.danger.until_explained
    ]
    assert "whine-in-all-ranges" in hints
    assert all(reasoner.book.conditions[cid].kind is Nature.COMPLAINT for cid in hints)
    told = " ".join(reasoner.book.conditions[c].danger.because for c in hints)  # type: ignore[union-attr]
    assert "one of the causes is a bearing on its way to seizing" in told


def test_a_unit_on_the_bench_is_not_driven(reasoner: Reasoner) -> None:
    """Out of its vehicle the advice is about going back on the road."""
    for given in ({}, {"jumps_out_of_low": "yes"}, {"oil_spots_under_vehicle": "yes"}):
        words = advice_view(judge(reasoner, seat=Seat.BENCH, **given)).words
        assert words.startswith("Before it goes back on the road")
        assert "rive" not in words.split(":")[0]


def test_no_two_answers_look_alike_in_grey() -> None:
    """Words, mark and frame differ between any two of the four answers, at every seat."""
    css = Path("src/headwater/render/templates/page.css").read_text(encoding="utf-8")
    frames = {a: re.search(rf"\.boxed\.{a.value} \{{(.*?)\}}", css) for a in Drive}
    styles = {a: re.search(r"border: (\S+ \S+)", found[1]) for a, found in frames.items() if found}
    for one, other in itertools.combinations(Drive, 2):
        assert MARKS[one] != MARKS[other]
        for words in (SHOP, CALLER, BENCH):
            assert words[one] != words[other]
        first, second = styles[one], styles[other]
        assert first is not None
        assert second is not None
        assert first[1] != second[1]


def test_the_sheet_promises_what_the_hoist_asks(reasoner: Reasoner) -> None:
    told = judge(reasoner, oil_spots_under_vehicle="yes")
    there = judge(reasoner, seat=Seat.HOIST, oil_spots_under_vehicle="yes")
    assert first_in_shop(told) == next_checks(there)[:3]


@pytest.mark.parametrize(
    ("words", "part", "whole"),
    [
        ("a new transfer case", None, True),
        ("gearbox rebuild", None, True),
        ("an exchange unit", None, True),
        ("speed sensor", "speed-sensor", False),
        ("just a new sensor", "speed-sensor", False),
        ("the rear seal", "rear-output-seal", False),
        ("the flux thing", None, False),
    ],
)
def test_what_is_wanted_is_what_is_meant(
    reasoner: Reasoner, words: str, part: str | None, whole: bool
) -> None:
    want = want_of(judge(reasoner, speedometer="jumps"), words)
    assert (want.part, want.whole) == (part, whole)
    assert bool(want.tell) is (part is not None or whole)


def test_a_finished_call_takes_a_call_back(tmp_path: Path) -> None:
    """After an end there is room for what is new, and the advice may only have become stricter."""
    first = ring(tmp_path, "my engine overheats", "")
    assert "another" not in first
    again = ring(tmp_path, "and it drops out of low by itself", "", "no", "done")
    assert "This call was finished. What is new?" in again
    assert "drops out of low" in again.split("What was said")[1]
    assert "!! STOP" in again.split("Drive advice given")[1]


def test_headwater_alone_welcomes(tmp_path: Path) -> None:
    """Three seats and what to type for each, status 0, within 80 columns."""
    out, err = StringIO(), StringIO()
    assert run([], Terminal(out, err, StringIO(), width=80)) == 0
    assert err.getvalue() == ""
    for seat in ("call", "hoist", "bench"):
        assert f"headwater {seat} CASE.yaml" in out.getvalue()
    assert max(map(len, out.getvalue().splitlines())) <= 80
    assert not list(tmp_path.iterdir())
