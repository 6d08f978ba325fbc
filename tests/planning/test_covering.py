"""The covering plan (finding C18): live candidates, likeliest first, then the damaged parts."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from planning.jobs import PRICES, act, after, book_of, judge
from sessions import as_session, screen
from strategies import answered, condition, look

from headwater.book.chances import Common
from headwater.book.model import Condition
from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.verdict.assess import build_reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import job_sheet
from headwater.verdict.options import Way, make_options


def origin(cid: str, part: str, p: float, verb: Verb = Verb.REPLACE) -> Condition:
    """Return an origin of a given starting chance, corrected on a part."""
    told = condition(cid, part=part, origin=True, actions=act(verb, f"Correct {cid}."))
    assert told.origin is not None
    return replace(told, origin=replace(told.origin, common=Common(p, "drawn")))


def unit(*more: Condition) -> Book:
    """Return a burnt fork with a rare and a common origin that nobody can look at."""
    found = [origin("rare-one", "bearing", 0.004), origin("likely-one", "shaft", 0.05), *more]
    book = book_of(
        [*found, condition("burnt", part="fork")],
        {(c.id, "burnt"): "usually" for c in found},
        {"burnt": "cover"},
    )
    for gone in found:
        del book.checks[f"look-{gone.id}"]
    return book


def test_c18_likeliest_first_and_then_the_burnt_fork() -> None:
    a = judge(unit(), burnt="yes")
    assert a.ending is Ending.UNDETERMINED
    assert a.cover is not None
    assert [(s.on, s.corrects) for s in a.cover] == [
        ("shaft", ("likely-one",)),
        ("bearing", ("rare-one",)),
        ("fork", ("burnt",)),
    ]
    assert a.held == ["fork"]
    assert a.decisions["fork"].action is None
    assert "fork" not in {step.on for step in a.plan if step.action}


def percent(because: str) -> float:
    """Return the share that a covering step is told with."""
    found = re.match(r"may be the origin, (\d+) %", because)
    assert found, because
    return float(found[1])


def test_c18_each_step_says_which_candidate_it_covers_and_at_what_share() -> None:
    sheet = job_sheet(judge(unit(), burnt="yes"))
    shaft, bearing, fork = sheet.covering
    # 0.05 x 0.8 reaches the fork by the likely one, 0.004 x 0.8 by the rare one, 0.002 by neither;
    # a look says so in 0.98 of the cases, and in 0.002 where nothing is: 0.0392 and 0.0031 / 0.0460
    assert percent(shaft.because) == pytest.approx(85.2, abs=2)
    assert percent(bearing.because) == pytest.approx(6.8, abs=2)
    assert fork.because == "found: state burnt"
    assert sheet.uncovered == ()


def test_c18_a_candidate_that_no_correction_covers_is_said() -> None:
    """One candidate is the fork's own flaw: the held part is the only thing to be mended."""
    a = judge(unit(origin("flaw", "fork", 0.03)), burnt="yes")
    assert a.cover is None
    sheet = job_sheet(a)
    assert [cid for cid, _ in sheet.uncovered] == ["flaw"]
    told = screen("plan", as_session(a))
    assert "No correction meets these: only another unit does" in told
    assert "state flaw" in told
    (covering,) = (o for o in make_options(a, PRICES) if o.way is Way.COVERING)
    assert covering.refused


def test_the_bare_part_is_never_in_it_while_the_book_does_not_know_the_cause() -> None:
    """Both candidates are so rare that a cause not in the book is a rival of theirs."""
    book = unit()
    for cid in ("rare-one", "likely-one"):
        record = book.conditions[cid]
        assert record.origin is not None
        seldom = replace(record.origin, common=Common(0.0015, "drawn"))
        book.conditions[cid] = replace(record, origin=seldom)
    # So rare that one look leaves the burnt fork itself in doubt: a second one of another kind.
    book.checks["again-burnt"] = after(look("burnt", name="again"), "cover")
    a = build_reasoner(book, {}).assess(answered(book, look_burnt="yes", again_burnt="yes"))
    other = next(c.share for c in a.accounts["burnt"].candidates if c.origin is None)
    assert other >= 0.10
    assert a.cover is not None
    assert {step.on for step in a.cover} == {"shaft", "bearing"}


def test_c18_it_is_priced_beside_the_exchange_unit() -> None:
    a = judge(unit(), burnt="yes")
    ways = {o.way: o for o in make_options(a, PRICES)}
    assert "fork" in {charge.on for charge in ways[Way.COVERING].charges}
    assert ways[Way.EXCHANGE].total is not None
    assert ways[Way.PLANNED].refused


def test_what_is_damaged_on_the_way_is_mended_with_it() -> None:
    found = [origin("one", "bearing", 0.02), origin("two", "seal", 0.02)]
    book = book_of(
        [*found, condition("bent", part="shaft"), condition("burnt", part="fork")],
        {("one", "bent"): "usually", ("two", "bent"): "usually", ("bent", "burnt"): "usually"},
        {"bent": "shaft-out", "burnt": "cover"},
    )
    for gone in found:
        del book.checks[f"look-{gone.id}"]
    a = judge(book, bent="yes", burnt="yes")
    assert a.cover is not None
    assert [step.on for step in a.cover][-2:] == ["shaft", "fork"], "innermost first"
