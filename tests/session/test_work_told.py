"""Work that was done before: told by itself, answered to, or only a word of it in passing."""

from __future__ import annotations

import pytest

from headwater import api
from headwater.book.tables import Seat
from headwater.session.before import take_earlier
from headwater.session.earlier import surely_tells_of_work, was_opened, work_told

BOOK = api.open_book()


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("you put a new chain in two weeks ago, it hops", True),
        ("rebuilt last month and it hops", True),
        ("the oil was changed in May", True),
        ("Locked, no. Once last week it gave a little tug coming down", False),
        ("The wheel nuts are tight, I put the bar on them.", False),
        ("it began last spring", False),
    ],
)
def test_a_word_of_work_in_passing_tells_of_none(said: str, told: bool) -> None:
    assert surely_tells_of_work(BOOK.book, said) is told


@pytest.mark.parametrize(
    ("said", "parts"),
    [
        ("It was done new a year ago. The oil is up to the hole, I check it", []),
        ("the exhaust was renewed two years ago", []),  # not the shield beside it
        ("Last year I changed the gearbox oil and both axle oils myself", []),
        ("new chain and pump last month", ["chain", "oil-pump"]),
        ("the chain was replaced a year ago, the pump as well", ["chain", "oil-pump"]),
    ],
)
def test_a_verb_of_work_is_carried_through_a_list_only(said: str, parts: list[str]) -> None:
    assert [str(one.on) for one in work_told(BOOK.book, said).done] == parts


def test_a_time_that_is_denied_is_not_when_it_was_done() -> None:
    told = "Nobody else has worked on it for nine years. Three months ago the oil was changed"
    assert work_told(BOOK.book, told).ago.lower() == "three months"


def test_done_new_is_the_whole_unit() -> None:
    work = work_told(BOOK.book, "it was done new fourteen months ago")
    assert was_opened(work)
    assert work.ago == "fourteen months"


def test_what_is_denied_is_not_heard_without_its_no() -> None:
    """Met by a stranger: 'No, nobody has been at that box' stood as 'has been at that box'."""
    session = api.open_session(BOOK, api.new_case("a", {}, Seat.CALL), Seat.CALL)
    rest = take_earlier(session, "No, nobody has been at that box, I do the engine oil myself")
    assert not rest.startswith("has been")
    assert take_earlier(session, "no, it whines in all ranges").startswith("it whines")


@pytest.mark.parametrize(
    ("said", "ago", "parts"),
    [
        (
            "chain renewed two years ago, rear seal three weeks ago",
            "three weeks",
            ["rear-output-seal"],
        ),
        ("a seal renewed in May, two years ago the chain was renewed", "two years", ["chain"]),
        (
            "26 months ago a new chain; the pump was replaced, 3 weeks ago",
            "3 weeks",
            ["oil-pump"],
        ),
        (
            "flange wet with oil. A year ago the detent ball was replaced",
            "A year",
            [],
        ),
        (
            "two years ago the clutch replaced, gearbox and case lowered",
            "two years",
            [],
        ),
        ("rebuilt 350 miles ago with a new chain", "350 miles", ["chain"]),
        ("chain renewed 350 miles ago, rear seal two years ago", "350 miles", ["chain"]),
    ],
)
def test_what_was_done_goes_with_its_own_time(said: str, ago: str, parts: list[str]) -> None:
    """Of several times the latest counts, with what was done then and nothing else."""
    work = work_told(BOOK.book, said)
    assert work.ago == ago
    assert [str(done.on) for done in work.done] == parts
    assert work.told == said
