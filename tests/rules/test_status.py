"""Each status of design section 3 by itself, and the record it is explained from."""

from __future__ import annotations

import pytest
from draws import draws
from hypothesis import given, settings
from rules.claimed import claimed
from strategies import Situation, answer_of, answered, check, condition, look, make_book, situations

from headwater.book.records import Book
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark, compile_rules
from headwater.rules.derivation import Derivation, RuleSet
from headwater.rules.evidence import Evidence
from headwater.rules.status import Explanation, Status, mark_of, status_of, why, why_not


def derive(book: Book, findings: list[Judged]) -> tuple[Evidence, Derivation]:
    evidence = claimed(book, findings)
    return evidence, RuleSet(compile_rules(book)).derive(evidence.facts)


def statuses(book: Book, **given: str) -> dict[str, str]:
    _, derivation = derive(book, answered(book, **given))
    return {cid: status_of(derivation, cid).value for cid in book.conditions}


@pytest.fixture
def bench() -> Book:
    """Two origins of one damage, one of them over a middle that it always makes, and an end.

    worn -always-> moved -usually-> burnt -sometimes-> dust -rarely-> stain
    bent -usually----------------/             dust -usually-> grit -usually-> hum
    """
    ids = {"worn": True, "bent": True}
    rest = ["moved", "burnt", "dust", "stain", "grit", "hum"]
    return make_book(
        [condition(c, origin=True) for c in ids] + [condition(c) for c in rest],
        {
            ("worn", "moved"): "always",
            ("moved", "burnt"): "usually",
            ("bent", "burnt"): "usually",
            ("burnt", "dust"): "sometimes",
            ("dust", "stain"): "rarely",
            ("dust", "grit"): "usually",
            ("grit", "hum"): "sometimes",
        },
        [look(c) for c in (*ids, *rest)]
        + [check("again-burnt", {"no": ({}, {"burnt": "decisive"})})]
        + [check("feel-burnt", {"yes": ({"burnt": "strong"}, {}), "no": ({}, {"burnt": "weak"})})],
    )


def test_nothing_is_known_before_anything_is_found(bench: Book) -> None:
    assert set(statuses(bench).values()) == {"unknown"}


def test_confirmed_comes_from_a_decisive_answer_only(bench: Book) -> None:
    assert statuses(bench, look_burnt="yes")["burnt"] == "confirmed"
    assert statuses(bench, feel_burnt="yes")["burnt"] == "unknown"


def test_ruled_out_comes_from_a_decisive_answer_only(bench: Book) -> None:
    assert statuses(bench, look_burnt="no")["burnt"] == "ruled-out"
    assert statuses(bench, feel_burnt="no")["burnt"] == "unknown"


def test_modus_tollens_runs_over_always_and_nothing_else(bench: Book) -> None:
    told = statuses(bench, look_moved="no")
    assert told["worn"] == "ruled-out"
    told = statuses(bench, look_burnt="no")
    assert told["moved"] == told["bent"] == told["worn"] == "unknown"


def test_disputed_where_two_decisive_answers_disagree(bench: Book) -> None:
    told = statuses(bench, look_burnt="yes", again_burnt="no")
    assert told["burnt"] == "disputed"
    assert told["worn"] == told["bent"] == "unknown"  # nothing is built on a disputed finding
    assert told["dust"] == "unknown"


def test_disputed_where_a_cause_is_seen_and_what_it_always_makes_is_not(bench: Book) -> None:
    told = statuses(bench, look_worn="yes", look_moved="no")
    assert told["worn"] == "disputed"
    assert told["moved"] == "ruled-out"


def test_a_disputed_effect_does_not_rule_its_cause_out(bench: Book) -> None:
    bench.checks["again-moved"] = check("again-moved", {"no": ({}, {"moved": "decisive"})})
    told = statuses(bench, look_moved="yes", again_moved="no")
    assert told["moved"] == "disputed"
    assert told["worn"] == "unknown"


def test_elimination_goes_to_probable_and_no_further(bench: Book) -> None:
    told = statuses(bench, look_burnt="yes", look_bent="no")
    assert told["moved"] == "probable"
    assert told["worn"] == "probable"  # the only cause of the only cause left


def test_no_elimination_where_the_effect_can_start_by_itself(bench: Book) -> None:
    bench.conditions["burnt"] = condition("burnt", origin=True)
    told = statuses(bench, look_burnt="yes", look_bent="no")
    assert told["moved"] == told["worn"] == "suspected"


def test_suspected_is_everything_upstream_not_ruled_out(bench: Book) -> None:
    told = statuses(bench, look_burnt="yes")
    assert told["moved"] == told["worn"] == told["bent"] == "suspected"
    told = statuses(bench, look_burnt="yes", look_moved="no")
    assert told["worn"] == "ruled-out"
    assert told["bent"] == "probable"


def test_expected_downstream_fades_along_unlikely_links(bench: Book) -> None:
    told = statuses(bench, look_burnt="yes")
    assert told["dust"] == "expected"  # sometimes, straight from what was found
    assert told["grit"] == "expected"  # usually, onward from something expected
    assert told["stain"] == "unknown"  # rarely
    assert told["hum"] == "unknown"  # sometimes, onward from something expected
    assert statuses(bench, look_burnt="yes", look_dust="no")["grit"] == "unknown"


def test_a_loop_supports_nothing_by_itself() -> None:
    """Each member's only cause besides the way in is the other: finding one never confirms both."""
    loop = make_book(
        [condition("way-in", origin=True), condition("a"), condition("b")],
        {("way-in", "a"): "usually", ("a", "b"): "usually", ("b", "a"): "usually"},
        [look("a"), look("b"), look("way-in")],
    )
    told = statuses(loop, look_a="yes")
    assert told == {"way-in": "suspected", "a": "confirmed", "b": "suspected"}
    told = statuses(loop, look_a="yes", look_way_in="no")
    assert told["b"] == "probable"  # all the book has left; the gate never names it: no origin
    told = statuses(loop, look_a="no")
    assert told == {"way-in": "unknown", "a": "ruled-out", "b": "unknown"}


@pytest.mark.parametrize("word", ["dont-know", "cannot-check", "gone"])
def test_answers_that_tell_nothing_give_no_evidence(bench: Book, word: str) -> None:
    evidence = claimed(bench, answered(bench, look_burnt=word))
    assert (evidence.facts, evidence.factors) == (frozenset(), {})
    assert (evidence.disputed, evidence.neutral) == ((), ())


# --- why and why not --------------------------------------------------------------------------


def leaves(step: Explanation) -> set[Fact]:
    if step.rule is None:
        return {step.fact}
    return {fact for below in step.rests_on for fact in leaves(below)}


@settings(max_examples=draws(100))
@given(situations())
def test_why_ends_in_given_answers_and_why_not_names_what_is_missing(case: Situation) -> None:
    evidence, derivation = derive(case.book, case.findings)
    for cid in case.book.conditions:
        explanation = why(derivation, cid)
        status = status_of(derivation, cid)
        assert (explanation is None) == (status is Status.UNKNOWN)
        if explanation:
            assert explanation.fact == (cid, mark_of(status))
            assert leaves(explanation)
            assert leaves(explanation) <= evidence.facts
    rules = compile_rules(case.book)
    for cid in case.book.conditions:
        for mark in (Mark.CONFIRMED, Mark.RULED_OUT, Mark.PROBABLE, Mark.SUSPECTED, Mark.EXPECTED):
            giving = [rule for rule in rules if rule.concludes == (cid, mark)]
            obstacles = why_not(derivation, rules, cid, mark)
            fired = derivation.firings.get(Fact(cid, mark), ())
            assert {o.rule for o in obstacles} == set(giving) - set(fired)
            for obstacle in obstacles:
                assert obstacle.missing or obstacle.blocked_by
                assert not any(derivation.holds(*fact) for fact in obstacle.missing)
                assert all(derivation.holds(*fact) for fact in obstacle.blocked_by)


def test_why_not_says_which_cause_still_stands(bench: Book) -> None:
    _, derivation = derive(bench, answered(bench, look_burnt="yes"))
    rules = compile_rules(bench)
    obstacles = why_not(derivation, rules, "bent", Mark.PROBABLE)
    assert Fact("moved", Mark.RULED_OUT) in obstacles[0].missing
    (only,) = why_not(derivation, rules, "worn")
    assert only.missing == (Fact("worn", Mark.SHOWN),)
    assert only.blocked_by == ()


def test_why_not_says_what_stands_in_the_way(bench: Book) -> None:
    found = answered(bench, look_burnt="yes", again_burnt="no")
    _, derivation = derive(bench, found)
    (only,) = why_not(derivation, compile_rules(bench), "burnt")
    assert only.missing == ()
    assert only.blocked_by == (Fact("burnt", Mark.DISPUTED),)


def test_a_mark_stands_behind_every_status_but_unknown() -> None:
    assert mark_of(Status.UNKNOWN) is None
    assert {mark_of(s) for s in Status} - {None} == set(Mark) - {Mark.SHOWN, Mark.DENIED}


def test_answers_are_judged_by_the_word(bench: Book) -> None:
    judged = answer_of(bench.checks["look-burnt"], "yes")
    assert judged.settled == "yes"
    assert not judged.too_close
