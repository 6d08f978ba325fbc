"""What answers come to before the rules: likelihoods, surprise, repeats, and what disagrees."""

from __future__ import annotations

from dataclasses import replace

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.claimed import claimed
from strategies import Situation, answer_of, answered, check, condition, look, make_book, situations

from headwater.book.model import Conflict
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Nature, Seat
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark
from headwater.rules.evidence import NEUTRAL, REPEATS, Evidence, likelihoods, settle, weigh
from headwater.verdict.assess import build_reasoner
from headwater.verdict.reach import Stand

BURNT = Fact("burnt", Mark.SHOWN)
NOT_BURNT = Fact("burnt", Mark.DENIED)
SEEN = (0.98, 0.002)
"""P(a decisive 'yes' | present), P(it | absent): the table, honest slips in it."""
NOT_SEEN = (0.02, 0.998)


@pytest.fixture
def bench() -> Book:
    """worn -usually-> burnt -usually-> hum, each with a look; burnt with a second and a feel."""
    book = make_book(
        [
            condition("worn", origin=True, common="common"),
            condition("burnt"),
            condition("hum", kind=Nature.COMPLAINT),
        ],
        {("worn", "burnt"): "usually", ("burnt", "hum"): "usually"},
        [
            look("worn"),
            look("burnt"),
            look("hum"),
            check(
                "second", {"yes": ({"burnt": "decisive"}, {}), "no": ({}, {"burnt": "decisive"})}
            ),
            check("feel", {"yes": ({"burnt": "strong"}, {}), "no": ({}, {"burnt": "weak"})}),
        ],
    )
    because = "what burns, hums"
    answers = {Ref("look-burnt"): "yes", Ref("look-hum"): "no"}
    book.conflicts["hums"] = Conflict(id="hums", answers=answers, because=because)
    return book


def told(book: Book, *given: str) -> list[Judged]:
    """Return answers written as 'check: word', in order."""
    pairs = (one.split(": ") for one in given)
    return [answer_of(book.checks[name], word) for name, word in pairs]


def believed(book: Book, findings: list[Judged]) -> Evidence:
    """Return the evidence as a verdict has it: belief is asked."""
    return build_reasoner(book, {}).know(findings, Stand())[0]


def product(*pairs: tuple[float, float]) -> tuple[float, float]:
    there = not_there = 1.0
    for one, other in pairs:
        there, not_there = there * one, not_there * other
    return there, not_there


def test_a_reading_too_close_to_call_is_never_decisive(bench: Book) -> None:
    close = Judged("look-burnt", "0.020 in", (("yes", 0.75), ("no", 0.25)))
    evidence = claimed(bench, [close])
    assert evidence.facts == frozenset()
    # The shares of the bands mix the likelihoods: 0.75 * 0.98 + 0.25 * 0.02, and the other way.
    assert evidence.factors["burnt"] == pytest.approx((0.74, 0.251))


def test_findings_multiply(bench: Book) -> None:
    evidence = claimed(bench, answered(bench, look_burnt="yes", feel="yes"))
    assert evidence.factors["burnt"] == pytest.approx(product(SEEN, (0.9, 0.1)))
    assert evidence.basis == {BURNT: ("look-burnt",)}


def test_an_answer_to_a_check_the_book_lost_is_left_aside(bench: Book) -> None:
    assert claimed(bench, [Judged("no-such", "yes", (("yes", 1.0),), "yes")]) == claimed(bench, [])


def test_an_answer_says_nothing_of_what_it_does_not_name(bench: Book) -> None:
    answer = next(iter(bench.checks["look-burnt"].answers.values()))
    assert likelihoods(answer, "hum") == (NEUTRAL, NEUTRAL)


# --- surprise ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("chance", "fact"), [(0.90, True), (0.8999, False)])
def test_a_claim_is_a_fact_from_nine_in_ten(bench: Book, chance: float, fact: bool) -> None:
    weighed = weigh(bench, told(bench, "look-burnt: yes"))
    evidence = settle(bench, weighed, lambda _: chance)
    assert (BURNT in evidence.facts) is fact
    assert evidence.surprising == ({} if fact else {BURNT: ("look-burnt",)})
    assert evidence.factors["burnt"] == SEEN  # belief had it all the same


def test_what_surprises_becomes_a_fact_when_looked_at_again(bench: Book) -> None:
    """By hand: a rare origin seen once has 490 * 0.005 / 0.995 = 2.5 to one; twice, 1200 to one."""
    bench.conditions["worn"] = condition("worn", origin=True, common="rare")
    worn = Fact("worn", Mark.SHOWN)
    once = believed(bench, told(bench, "look-worn: yes"))
    assert once.surprising == {worn: ("look-worn",)}
    assert worn not in once.facts
    twice = believed(bench, told(bench, "look-worn: yes", "look-worn: yes"))
    assert twice.surprising == {}
    assert worn in twice.facts


def test_the_complaint_that_the_vehicle_was_brought_for_never_surprises(bench: Book) -> None:
    weighed = weigh(bench, told(bench, "look-hum: yes"))
    evidence = settle(bench, weighed, lambda _: 0.1)
    assert Fact("hum", Mark.SHOWN) in evidence.facts
    denied = settle(bench, weigh(bench, told(bench, "look-hum: no")), lambda _: 0.1)
    assert denied.facts == frozenset()


# --- repeats ----------------------------------------------------------------------------------


@pytest.mark.parametrize("times", [1, 2, 3, 4, 9])
def test_one_look_weighs_three_times_at_most(bench: Book, times: int) -> None:
    """A repeat is the same answer in one of twenty cases whatever is true: 0.981 and 0.0519."""
    factors = claimed(bench, told(bench, *["look-burnt: yes"] * times)).factors
    repeats = [(0.981, 0.0519)] * (min(times, REPEATS) - 1)
    assert factors["burnt"] == pytest.approx(product(SEEN, *repeats))


def test_a_look_that_disagrees_with_itself_is_disputed_and_both_answers_weigh(bench: Book) -> None:
    evidence = claimed(bench, told(bench, "look-burnt: yes", "look-burnt: no"))
    assert evidence.facts == frozenset()
    assert (evidence.disputed, evidence.neutral) == (("look-burnt",), ())
    assert evidence.factors["burnt"] == pytest.approx(product(SEEN, NOT_SEEN))


@pytest.mark.parametrize(("third", "fact"), [("yes", BURNT), ("no", NOT_BURNT)])
def test_a_third_look_settles_it(bench: Book, third: str, fact: Fact) -> None:
    found = told(bench, "look-burnt: yes", "look-burnt: no", f"look-burnt: {third}")
    evidence = claimed(bench, found)
    assert evidence.facts == {fact}
    assert (evidence.disputed, evidence.neutral) == ((), ())


def test_what_a_third_look_does_not_settle_is_neutral_and_weighs_nothing(bench: Book) -> None:
    bench.checks["shade"] = check(
        "shade",
        {
            "dark": ({"burnt": "decisive"}, {}),
            "pale": ({}, {"burnt": "decisive"}),
            "odd": ({"worn": "weak"}, {}),
        },
    )
    evidence = claimed(bench, told(bench, "shade: dark", "shade: pale", "shade: odd"))
    assert (evidence.facts, evidence.factors) == (frozenset(), {})
    assert (evidence.disputed, evidence.neutral) == ((), ("shade",))


def test_not_knowing_is_no_look(bench: Book) -> None:
    once = claimed(bench, told(bench, "look-burnt: yes"))
    words = ("look-burnt: dont-know", "look-burnt: yes", "look-burnt: gone")
    assert claimed(bench, told(bench, *words)) == once


# --- different checks that disagree -----------------------------------------------------------


def test_two_checks_that_disagree_are_disputed_and_both_are_facts(bench: Book) -> None:
    evidence = claimed(bench, told(bench, "look-burnt: yes", "second: no"))
    assert evidence.facts == {BURNT, NOT_BURNT}
    assert evidence.disputed == ("look-burnt", "second")


def test_more_looks_overrule_fewer(bench: Book) -> None:
    """A third look breaks the tie; belief, asked, leaves the claim of the fewer aside."""
    found = told(bench, "look-burnt: yes", "second: no", "look-burnt: yes")
    evidence = believed(bench, found)
    assert evidence.facts == {BURNT}
    assert evidence.overruled == {NOT_BURNT: ("second",)}
    assert (evidence.disputed, evidence.neutral) == ((), ())


def test_checks_that_disagree_after_a_repeat_of_each_are_neutral(bench: Book) -> None:
    found = told(bench, *["look-burnt: yes", "second: no"] * 2)
    evidence = believed(bench, found)
    assert evidence.facts == frozenset()
    assert (evidence.disputed, evidence.neutral) == ((), ("look-burnt", "second"))
    assert "burnt" not in evidence.factors  # neutral: neither tells anything any more


def test_a_declared_conflict_gives_no_facts_until_one_is_repeated(bench: Book) -> None:
    found = told(bench, "look-burnt: yes", "look-hum: no")
    evidence = claimed(bench, found)
    assert evidence.facts == frozenset()
    assert evidence.disputed == ("look-burnt", "look-hum")
    assert evidence.factors["burnt"] == SEEN
    assert evidence.factors["hum"] == pytest.approx(NOT_SEEN)


def test_a_declared_conflict_that_outlives_one_repeat_is_neutral(bench: Book) -> None:
    found = told(bench, "look-burnt: yes", "look-hum: no", "look-burnt: yes")
    evidence = claimed(bench, found)
    assert (evidence.facts, evidence.factors) == (frozenset(), {})
    assert (evidence.disputed, evidence.neutral) == ((), ("look-burnt", "look-hum"))


@pytest.mark.parametrize(
    "given",
    [
        ("look-burnt: yes", "look-burnt: no"),
        ("look-burnt: yes", "second: no"),
        ("look-burnt: yes", "look-hum: no"),
    ],
    ids=["one look", "two looks", "declared"],
)
def test_what_nobody_can_look_at_again_is_at_odds_for_good(
    bench: Book, given: tuple[str, ...]
) -> None:
    found = told(bench, *given)
    open_still = settle(bench, weigh(bench, found), lambda _: 1.0)
    assert open_still.disputed
    done = settle(bench, weigh(bench, found, final={j.check for j in found}), lambda _: 1.0)
    assert done.disputed == ()
    assert done.neutral == open_still.disputed
    assert (done.facts, done.factors) == (frozenset(), {})


def test_a_conflict_of_which_one_answer_was_given_is_none(bench: Book) -> None:
    evidence = claimed(bench, told(bench, "look-burnt: yes", "look-hum: yes"))
    assert evidence.disputed == ()
    assert BURNT in evidence.facts


# --- whatever the book ------------------------------------------------------------------------


@settings(max_examples=draws(60))
@given(situations(), st.randoms(use_true_random=False))
def test_the_order_of_different_checks_means_nothing(case: Situation, random: object) -> None:
    found = list(case.findings)
    random.shuffle(found)  # type: ignore[attr-defined]
    assert weigh(case.book, found) == weigh(case.book, case.findings)
    assert claimed(case.book, found) == claimed(case.book, case.findings)


@settings(max_examples=draws(60))
@given(situations(), st.data())
def test_taking_a_look_away_leaves_the_others_as_they_were(
    case: Situation, data: st.DataObject
) -> None:
    weighed = weigh(case.book, case.findings)
    if not weighed.pairs:
        return
    away = data.draw(st.sampled_from(sorted(weighed.pairs)))
    rest = [judged for judged in case.findings if judged.check != away]
    assert weighed.without([away]) == weigh(case.book, rest).factors


@settings(max_examples=draws(60))
@given(situations(), st.sampled_from(list(Seat)))
def test_where_an_answer_was_given_changes_no_likelihood(case: Situation, seat: Seat) -> None:
    elsewhere = [replace(judged, seat=seat) for judged in case.findings]
    assert weigh(case.book, elsewhere).pairs == weigh(case.book, case.findings).pairs
