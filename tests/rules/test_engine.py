"""The engine against a brute-force fixpoint, CLIPS, and itself: on all rules, and in threads."""

from __future__ import annotations

import gc
import logging
import subprocess
import sys
import threading
import types
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import groupby
from typing import Any

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.claimed import claimed
from strategies import books

from headwater.book.files import Sample
from headwater.book.records import Book
from headwater.case.read import raw_answer
from headwater.measure.answer import understand
from headwater.rules import engine
from headwater.rules.compile import BANDS, Fact, Mark, Rule, compile_rules
from headwater.rules.derivation import RuleSet
from headwater.verdict.assess import Reasoner

ANSWER_FOR_A = Rule("answer-for", Fact("a", Mark.CONFIRMED), (Fact("a", Mark.SHOWN),))


def fixpoint(rules: Iterable[Rule], given: Iterable[Fact]) -> set[Fact]:
    """Return all that follows: stratum by stratum, each rule until nothing changes."""
    known = set(given)
    for _, stratum in groupby(rules, key=lambda rule: rule.kind):
        band = list(stratum)
        while (
            new := {
                rule.concludes
                for rule in band
                if known.issuperset(rule.needs) and known.isdisjoint(rule.unless)
            }
            - known
        ):
            known |= new
    return known


@st.composite
def books_and_facts(draw: st.DrawFn) -> tuple[Book, list[set[Fact]]]:
    """Draw a book and several sets of answers to it, contradictions included."""
    book = draw(books(8))
    fact = st.builds(
        Fact, st.sampled_from(list(book.conditions)), st.sampled_from([Mark.SHOWN, Mark.DENIED])
    )
    return book, draw(st.lists(st.sets(fact), min_size=1, max_size=4))


@settings(max_examples=draws(150), deadline=None)
@given(books_and_facts())
def test_engine_draws_what_brute_force_draws(case: tuple[Book, list[set[Fact]]]) -> None:
    book, inputs = case
    rules = RuleSet(compile_rules(book))
    for facts in inputs:
        derivation = rules.derive(facts)
        assert set(derivation.firings) | derivation.given == fixpoint(rules, facts)


@settings(max_examples=draws(150), deadline=None)
@given(books_and_facts())
def test_rules_out_of_touch_are_those_that_could_never_fire(
    case: tuple[Book, list[set[Fact]]],
) -> None:
    book, inputs = case
    rules = RuleSet(compile_rules(book))
    for facts in inputs:
        reach = fixpoint([replace(rule, kind="any", unless=()) for rule in rules], facts)
        touched = {i: rule for i, rule in enumerate(rules) if reach.issuperset(rule.needs)}
        assert rules.touched(facts) == touched
        assert list(rules.touched(facts)) == sorted(touched)


@settings(max_examples=draws(60), deadline=None)
@given(books_and_facts())
def test_the_touched_rules_fire_as_all_rules_do(case: tuple[Book, list[set[Fact]]]) -> None:
    """The same firings, in the same order."""
    book, inputs = case
    rules = RuleSet(compile_rules(book))
    for facts in inputs:
        everything = engine.run(dict(enumerate(rules)), facts)
        assert list(rules.derive(facts).firings.items()) == list(everything.items())


@settings(max_examples=draws(60), deadline=None)
@given(books_and_facts())
def test_every_firing_rests_on_earlier_ones(case: tuple[Book, list[set[Fact]]]) -> None:
    book, inputs = case
    derivation = RuleSet(compile_rules(book)).derive(inputs[0])
    known = set(derivation.given)
    for fact, fired in derivation.firings.items():
        assert known.issuperset(fired[0].needs)
        assert all(rule.concludes == fact for rule in fired)
        known.add(fact)
    for fired in derivation.firings.values():
        for rule in fired:
            assert known.issuperset(rule.needs)
            assert known.isdisjoint(rule.unless)


@settings(max_examples=draws(60), deadline=None)
@given(books())
def test_strata_are_settled_before_they_are_denied(book: Book) -> None:
    """What a rule's `unless` names is given, or concluded by an earlier band only."""
    rules = compile_rules(book)
    bands = [BANDS.index(rule.kind) for rule in rules]
    assert bands == sorted(bands)
    last = {rule.concludes: BANDS.index(rule.kind) for rule in rules}
    for rule in rules:
        for fact in rule.unless:
            assert last.get(fact, -1) < BANDS.index(rule.kind)


def test_facts_of_no_rule_are_taken_and_derive_nothing() -> None:
    rules = RuleSet((ANSWER_FOR_A,))
    derivation = rules.derive([Fact("z", Mark.SHOWN)])
    assert derivation.holds("z", Mark.SHOWN)
    assert derivation.firings == {}
    assert rules.derive([]).firings == {}
    both = rules.derive([Fact("z", Mark.SHOWN), Fact("a", Mark.SHOWN)])
    assert both.marked(Mark.CONFIRMED) == ["a"]


def test_a_derivation_leaves_nothing_to_the_garbage_collector(reasoner: Reasoner) -> None:
    """Else looking for it costs more than deriving, in a program that holds a large book."""
    facts = [Fact("range-fork-pads-burnt", Mark.SHOWN)]
    reasoner.rules.derive(facts)
    gc.collect()
    gc.disable()
    try:
        for _ in range(3):
            assert len(reasoner.rules.derive(facts).firings) > 50
        assert gc.collect() == 0
    finally:
        gc.enable()


@pytest.fixture(scope="module")
def stored(book: Book, reasoner: Reasoner) -> list[frozenset[Fact]]:
    """What a part of the stored cases of the shipped book gives the rules."""
    everywhere = [s for group in book.samples.values() for s in group]
    samples = [s for s in everywhere if book.family | s.family == book.family][::12]
    checks = reasoner.book.checks

    def facts(sample: Sample) -> frozenset[Fact]:
        judged = [
            understand(reasoner.book, checks[str(ref)], raw_answer(value))
            for ref, value in sample.given.items()
        ]
        return claimed(reasoner.book, judged).facts

    assert len(samples) >= 30
    return [facts(sample) for sample in samples]


def test_threads_that_share_a_rule_set_derive_what_one_alone_does(
    reasoner: Reasoner, stored: list[frozenset[Fact]]
) -> None:
    def firings(facts: frozenset[Fact]) -> list[Any]:
        return list(reasoner.rules.derive(facts).firings.items())

    by_size = sorted(stored, key=lambda facts: len(reasoner.rules.touched(facts)))
    cases = by_size[::3] + by_size[:20]
    alone = [firings(facts) for facts in cases]
    threads, turns_each = 16, draws(64)
    together = threading.Barrier(threads)

    def all_from(start: int) -> list[bool]:
        together.wait()
        turns = [(start * 5 + step) % len(cases) for step in range(turns_each)]
        return [firings(cases[turn]) == alone[turn] for turn in turns]

    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-4)
    try:
        with ThreadPoolExecutor(threads) as pool:
            same = [each for part in pool.map(all_from, range(threads)) for each in part]
    finally:
        sys.setswitchinterval(before)
    assert same == [True] * (turns_each * threads), same.count(False)


# --- CLIPS: an engine of another make, on the shipped book ------------------------------------


def clips_engine(rules: Iterable[Rule]) -> Any:
    """Return a function from given facts to all facts, run by CLIPS (test-only library)."""
    clips = pytest.importorskip("clips")
    environment = clips.Environment()
    environment.build("(deftemplate m (slot c (type SYMBOL)) (slot k (type SYMBOL)))")

    def pattern(fact: Fact) -> str:
        return f"(m (c {fact.condition}) (k {fact.mark.value}))"

    for index, rule in enumerate(rules):
        needs = " ".join(pattern(fact) for fact in rule.needs)
        unless = " ".join(f"(not {pattern(fact)})" for fact in rule.unless)
        # One salience for each band: inside a band CLIPS takes its own order.
        salience = 10 * (len(BANDS) - BANDS.index(rule.kind))
        environment.build(
            f"(defrule r{index} (declare (salience {salience})) {needs} {unless}"
            f" => (assert {pattern(rule.concludes)}))"
        )

    def derive(facts: Iterable[Fact]) -> set[Fact]:
        environment.reset()
        for fact in facts:
            environment.assert_string(pattern(fact))
        environment.run()
        return {
            Fact(str(f["c"]), Mark(str(f["k"])))
            for f in environment.facts()
            if f.template.name == "m"
        }

    return derive


def test_clips_concludes_the_same_on_the_shipped_book(
    reasoner: Reasoner, stored: list[frozenset[Fact]]
) -> None:
    derive = clips_engine(reasoner.rules)
    for facts in stored:
        ours = reasoner.rules.derive(facts)
        assert derive(facts) == set(ours.firings) | ours.given, facts


# --- The import of experta: late, once, and nothing left behind --------------------------------


def in_a_fresh_interpreter(script: str) -> None:
    """Run a script that has a rule set of one rule at hand; it must end by itself."""
    preface = """
import logging, sys, threading
from headwater.rules.compile import Fact, Mark, Rule
from headwater.rules.derivation import RuleSet
shown = [Fact("a", Mark.SHOWN)]
rules = RuleSet((Rule("answer-for", Fact("a", Mark.CONFIRMED), tuple(shown)),))
"""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", preface + script + "print('to the end')"],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": ":".join(str(p) for p in sys.path if p)},
        timeout=60,
        check=False,
    )
    assert (done.stdout, done.stderr) == ("to the end\n", "")


def test_importing_leaves_modules_and_logging_as_they_were() -> None:
    in_a_fresh_interpreter("""
import collections
handlers, level = list(logging.getLogger().handlers), logging.getLogger().level
names = set(vars(collections))
assert rules.derive(shown).holds("a", Mark.CONFIRMED)
assert "frozendict" not in sys.modules
assert "experta" in sys.modules
assert logging.getLogger().handlers == handlers, logging.getLogger().handlers
assert logging.getLogger().level == level, logging.getLogger().level
assert set(vars(collections)) == names
""")


def test_experta_is_not_imported_before_a_rule_can_fire() -> None:
    in_a_fresh_interpreter("""
rules.derive([Fact("a", Mark.DENIED)])
assert "experta" not in sys.modules
rules.derive(shown)
assert "experta" in sys.modules
""")


def test_threads_may_import_experta_first_all_at_once() -> None:
    in_a_fresh_interpreter("""
sys.setswitchinterval(1e-5)
together, held = threading.Barrier(8), []
def first():
    together.wait()
    held.append(rules.derive(shown).holds("a", Mark.CONFIRMED))
threads = [threading.Thread(target=first) for _ in range(8)]
for thread in threads: thread.start()
for thread in threads: thread.join()
assert held == [True] * 8, held
assert "frozendict" not in sys.modules
assert logging.getLogger().handlers == []
""")


def test_an_experta_that_cannot_be_imported_says_why_and_leaves_nothing() -> None:
    in_a_fresh_interpreter("""
sys.modules["schema"] = None
try:
    rules.derive(shown)
except ImportError as error:
    assert "schema" in str(error), error
else:
    raise AssertionError("derived without experta")
assert "frozendict" not in sys.modules
assert logging.getLogger().handlers == []
""")


def test_a_frozendict_and_log_handlers_of_others_stay_theirs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    own = types.ModuleType("frozendict")
    monkeypatch.setitem(sys.modules, "frozendict", own)
    root = logging.getLogger()
    monkeypatch.setattr(root, "handlers", [])
    others = logging.NullHandler()
    with engine._ready_for_experta():
        assert sys.modules["frozendict"] is not own
        logging.basicConfig()  # what experta does
        root.addHandler(others)
    assert sys.modules["frozendict"] is own
    assert root.handlers == [others]


def test_the_stand_in_is_a_mapping_that_cannot_change() -> None:
    one = engine._ReadOnlyMapping({"a": 1}, b=2)
    assert dict(one) == {"a": 1, "b": 2}
    assert len(one) == 2
    assert hash(one) == hash(engine._ReadOnlyMapping(b=2, a=1))
    assert one == engine._ReadOnlyMapping({"b": 2, "a": 1})
    with pytest.raises(TypeError):
        one["a"] = 3  # type: ignore[index]
