"""The engine against three others: a brute-force fixpoint, CLIPS, and itself run again."""

from __future__ import annotations

import importlib
import logging
import subprocess
import sys
import types
from collections.abc import Iterable
from itertools import groupby
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import books

from headwater.book.records import Book
from headwater.case.read import raw_answer
from headwater.measure.answer import understand
from headwater.rules import engine as engine_module
from headwater.rules.compile import BANDS, Fact, Mark, Rule, compile_rules
from headwater.rules.engine import build_engine
from headwater.rules.evidence import gather
from headwater.verdict.assess import Reasoner


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


@settings(max_examples=150, deadline=None)
@given(books_and_facts())
def test_engine_draws_what_brute_force_draws(case: tuple[Book, list[set[Fact]]]) -> None:
    book, inputs = case
    rules = compile_rules(book)
    derive = build_engine(rules)
    for facts in inputs:
        derivation = derive(facts)
        assert set(derivation.firings) | derivation.given == fixpoint(rules, facts)


@settings(max_examples=60, deadline=None)
@given(books_and_facts())
def test_every_firing_rests_on_earlier_ones(case: tuple[Book, list[set[Fact]]]) -> None:
    book, inputs = case
    rules = compile_rules(book)
    derivation = build_engine(rules)(inputs[0])
    known = set(derivation.given)
    for fact, fired in derivation.firings.items():
        assert known.issuperset(fired[0].needs)
        assert all(rule.concludes == fact for rule in fired)
        known.add(fact)
    for fired in derivation.firings.values():
        for rule in fired:
            assert known.issuperset(rule.needs)
            assert known.isdisjoint(rule.unless)


@settings(max_examples=60, deadline=None)
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


def test_two_hundred_derivations_leave_no_trace(reasoner: Reasoner) -> None:
    confirmed = Fact("range-fork-pads-burnt", Mark.SHOWN)
    other = Fact("front-bore-worn", Mark.DENIED)
    first = reasoner.derive([confirmed])
    between = reasoner.derive([other, Fact("front-bore-worn", Mark.SHOWN)])
    for _ in range(99):
        reasoner.derive([other])
        again = reasoner.derive([confirmed])
        assert again == first
        assert list(again.firings) == list(first.firings)
    assert reasoner.derive([other, Fact("front-bore-worn", Mark.SHOWN)]) == between


def test_facts_of_no_rule_are_taken_and_derive_nothing() -> None:
    rule = Rule("answer-for", Fact("a", Mark.CONFIRMED), (Fact("a", Mark.SHOWN),))
    derive = build_engine([rule])
    derivation = derive([Fact("z", Mark.SHOWN)])
    assert derivation.holds("z", Mark.SHOWN)
    assert derivation.firings == {}
    assert derive([]).firings == {}
    assert derive([Fact("a", Mark.SHOWN)]).marked(Mark.CONFIRMED) == ["a"]


# --- CLIPS: an engine of another make, on the shipped book ------------------------------------


def clips_engine(rules: list[Rule]) -> Any:
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


def test_clips_concludes_the_same_on_the_shipped_book(book: Book, reasoner: Reasoner) -> None:
    derive = clips_engine(reasoner.rules)
    everywhere = [s for group in book.samples.values() for s in group]
    samples = [s for s in everywhere if book.family | s.family == book.family][::12]
    assert len(samples) >= 30
    for sample in samples:
        checks = {str(ref): reasoner.book.checks[str(ref)] for ref in sample.given}
        judged = [
            understand(reasoner.book, checks[str(ref)], raw_answer(value))
            for ref, value in sample.given.items()
        ]
        facts = gather(reasoner.book, judged).facts
        ours = reasoner.derive(facts)
        assert derive(facts) == set(ours.firings) | ours.given, sample.name


# --- The import of experta leaves nothing behind ----------------------------------------------


def test_importing_leaves_modules_and_logging_as_they_were() -> None:
    """In a fresh interpreter: no stand-in stays, no handler, and the standard library is whole."""
    script = """
import collections, collections.abc, logging, sys
handlers, level = list(logging.getLogger().handlers), logging.getLogger().level
names = set(vars(collections))
from headwater.rules.compile import Fact, Mark, Rule
from headwater.rules.engine import build_engine
rule = Rule("answer-for", Fact("a", Mark.CONFIRMED), (Fact("a", Mark.SHOWN),))
derive = build_engine([rule])
assert derive([Fact("a", Mark.SHOWN)]).holds("a", Mark.CONFIRMED)
assert "frozendict" not in sys.modules
assert "experta" in sys.modules
assert logging.getLogger().handlers == handlers, logging.getLogger().handlers
assert logging.getLogger().level == level, logging.getLogger().level
assert set(vars(collections)) == names
print("clean")
"""
    path = [str(p) for p in sys.path if p]
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", script],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": ":".join(path)},
        timeout=60,
        check=False,
    )
    assert done.stdout.strip() == "clean", done.stderr


@pytest.fixture
def no_experta(monkeypatch: pytest.MonkeyPatch) -> types.SimpleNamespace:
    """Take experta out of the loaded modules and hand over a stand-in for its import."""
    monkeypatch.delitem(sys.modules, "experta", raising=False)
    return types.SimpleNamespace(KnowledgeEngine=object)


def test_a_frozendict_of_the_user_is_put_back(
    monkeypatch: pytest.MonkeyPatch, no_experta: types.SimpleNamespace
) -> None:
    own = types.ModuleType("frozendict")
    monkeypatch.setitem(sys.modules, "frozendict", own)
    seen = []

    def importing(name: str) -> Any:
        seen.append((name, sys.modules["frozendict"] is own))
        return no_experta

    monkeypatch.setattr(importlib, "import_module", importing)
    assert engine_module._import_experta() is no_experta
    assert seen == [("experta", False)]
    assert sys.modules["frozendict"] is own


@pytest.mark.usefixtures("no_experta")
def test_a_half_imported_experta_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    handler = logging.NullHandler()

    def importing(name: str) -> Any:
        logging.getLogger().addHandler(handler)
        return types.SimpleNamespace(__name__=name)

    monkeypatch.setattr(importlib, "import_module", importing)
    with pytest.raises(ImportError, match="KnowledgeEngine"):
        engine_module._import_experta()
    assert "frozendict" not in sys.modules
    assert handler not in logging.getLogger().handlers


def test_the_stand_in_is_a_mapping_that_cannot_change() -> None:
    one = engine_module._ReadOnlyMapping({"a": 1}, b=2)
    assert dict(one) == {"a": 1, "b": 2}
    assert len(one) == 2
    assert hash(one) == hash(engine_module._ReadOnlyMapping(b=2, a=1))
    assert hash(one) == hash(one)
    assert one == engine_module._ReadOnlyMapping({"b": 2, "a": 1})
    with pytest.raises(TypeError):
        one["a"] = 3  # type: ignore[index]
