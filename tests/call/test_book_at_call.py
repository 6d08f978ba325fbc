"""The book as a caller meets it: every question can be answered, none needs a tool."""

from __future__ import annotations

import re

from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.hearing.answers import hear, read_out
from headwater.hearing.index import build_index
from headwater.hearing.understand import understand as understand_words
from headwater.measure.answer import understand

TOOLS = r"\b(gauge|wrench|spanner|multimeter|scope|micrometer|feeler|torque|lift it up)\b"


def test_every_call_question_is_answerable_without_a_tool(caller_book: Book) -> None:
    """No tool, no disassembly, and a wording to read aloud; each answer read back is understood."""
    asked = [c for c in caller_book.checks.values() if Seat.CALL in c.seats]
    assert len(asked) > 60
    index = build_index(caller_book)
    for check in asked:
        assert check.say.endswith("?") or "?" in check.say, check.id
        assert check.tool == "", check.id
        assert check.after == (), check.id
        assert not re.search(TOOLS, check.say), check.id
        assert len(check.say.split()) <= 40, check.id
        if check.reading:
            limit = caller_book.limits[check.reading.limit]
            _, figure = check.reading.possible or ("", f"50000 {limit.unit}")
            assert hear(index, caller_book, check, figure).answer == figure, check.id
            continue
        for number, (word, words) in enumerate(zip(check.answers, read_out(check), strict=True), 1):
            assert understand(caller_book, check, str(word)).settled == word
            assert hear(index, caller_book, check, str(number)).answer == word
            assert hear(index, caller_book, check, words).answer == word, (check.id, words)


def test_every_complaint_opens_a_call(caller_book: Book) -> None:
    """A complaint as a customer says it leads to a question of the call; what to bring is said."""
    index = build_index(caller_book)
    for cid, record in caller_book.conditions.items():
        if record.kind != "complaint":
            continue
        said = understand_words(index, record.plain).ticked
        one = next(one for one in said if one.id == cid)
        check = caller_book.checks[one.check]
        assert Seat.CALL in check.seats, cid
        answer = check.answer(one.answer)
        assert answer is None or cid in {str(c) for c in answer.shows}
        assert record.bring, cid


def test_what_happened_before_is_asked_once(caller_book: Book) -> None:
    """One question about earlier work, one about height, one about water; the old ids resolve."""
    asked = [c for c in caller_book.checks.values() if Seat.CALL in c.seats]
    for words, most in ((r"opened|work(ed)? on", 3), (r"raised|lifted", 1), (r"deep water", 1)):
        assert 1 <= sum(bool(re.search(words, c.say)) for c in asked) <= most, words
    for old in (
        "rear-opened-lately",
        "front-half-opened-lately",
        "springs-changed-lately",
        "vehicle-raised-asked",
        "water-and-salt",
        "deep-water",
    ):
        assert caller_book.aliases[old] in caller_book.checks
    assert [c.id for c in asked if c.first] == ["work-before-trouble"]


def test_looks_beside_the_parked_vehicle_need_no_drive(caller_book: Book) -> None:
    """What a caller is sent to look at is a question of the call, without tool or drive."""
    parked = [c for c in caller_book.checks.values() if c.parked]
    assert parked
    for check in parked:
        assert Seat.CALL in check.seats
        assert check.tool == ""
        assert not re.search(r"\bpull hard|at a steady speed|when you (turn|drive)\b", check.say)
