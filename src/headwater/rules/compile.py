"""Compiles the causal graph of a book into forward-chaining rules, as plain data.

The same list of rules is run by the experta engine, explained by `why`, and evaluated in the tests
by brute force and by an independent engine. The rules are stratified: a rule's `unless` names only
marks that earlier bands have settled, so the result does not depend on the order of firing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from headwater.book.records import Book
from headwater.book.tables import EXPECTED_FROM, EXPECTED_ONWARD_FROM


class Mark(StrEnum):
    """What can be said of a condition. The first two are given, the others derived."""

    SHOWN = "shown"
    DENIED = "denied"
    RULED_OUT = "ruled-out"
    DISPUTED = "disputed"
    CONFIRMED = "confirmed"
    PROBABLE = "probable"
    SUSPECTED = "suspected"
    EXPECTED = "expected"


class Fact(NamedTuple):
    """A mark on a condition."""

    condition: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Rule:
    """If all of `needs` hold and none of `unless`, then `concludes`."""

    kind: str
    concludes: Fact
    needs: tuple[Fact, ...]
    unless: tuple[Fact, ...] = ()
    link: tuple[str, str] | None = None


BANDS = (
    "answer-against",
    "absent-effect",
    "answers-disagree",
    "answer-for",
    "only-cause-left",
    "may-have-caused",
    "may-follow",
)
"""Kinds of rule, in the order of the strata."""


def compile_rules(book: Book) -> tuple[Rule, ...]:
    """Return the rules of a book, sorted by stratum and then in the order of the book."""
    rules = [rule for condition in book.conditions for rule in _condition_rules(condition)]
    for (cause, effect), link in book.links.items():
        rules += _link_rules(cause, effect, always=link.often.word == "always")
        if link.often.p >= EXPECTED_FROM:
            rules += _expected(cause, effect, onward=link.often.p >= EXPECTED_ONWARD_FROM)
    rules += _eliminations(book)
    order = {kind: index for index, kind in enumerate(BANDS)}
    return tuple(sorted(rules, key=lambda rule: order[rule.kind]))


def _condition_rules(cid: str) -> Iterable[Rule]:
    shown, denied = Fact(cid, Mark.SHOWN), Fact(cid, Mark.DENIED)
    disputed, confirmed = Fact(cid, Mark.DISPUTED), Fact(cid, Mark.CONFIRMED)
    yield Rule("answer-against", Fact(cid, Mark.RULED_OUT), (denied,), (shown,))
    yield Rule("answers-disagree", disputed, (shown, denied))
    yield Rule("answer-for", confirmed, (shown,), (disputed,))


def _link_rules(cause: str, effect: str, always: bool) -> Iterable[Rule]:
    ends = (cause, effect)
    absent = Fact(effect, Mark.RULED_OUT)
    ruled_out = Fact(cause, Mark.RULED_OUT)
    shown = Fact(cause, Mark.SHOWN)
    if always:
        yield Rule("absent-effect", ruled_out, (absent,), (shown,), ends)
        yield Rule("answers-disagree", Fact(cause, Mark.DISPUTED), (absent, shown), (), ends)
    for mark in (Mark.CONFIRMED, Mark.SUSPECTED):
        suspected = Fact(cause, Mark.SUSPECTED)
        yield Rule("may-have-caused", suspected, (Fact(effect, mark),), (ruled_out,), ends)


def _expected(cause: str, effect: str, onward: bool) -> Iterable[Rule]:
    absent = Fact(effect, Mark.RULED_OUT)
    expected = Fact(effect, Mark.EXPECTED)
    marks = (Mark.CONFIRMED, Mark.PROBABLE) + ((Mark.EXPECTED,) if onward else ())
    for mark in marks:
        yield Rule("may-follow", expected, (Fact(cause, mark),), (absent,), (cause, effect))


def _eliminations(book: Book) -> Iterable[Rule]:
    """The only cause in the book not ruled out is probable, unless the effect can start itself."""
    causes: dict[str, list[str]] = {}
    for cause, effect in book.links:
        causes.setdefault(effect, []).append(cause)
    for effect, all_causes in causes.items():
        if book.conditions[effect].origin:
            continue
        for cause in all_causes:
            others = tuple(Fact(c, Mark.RULED_OUT) for c in all_causes if c != cause)
            for mark in (Mark.CONFIRMED, Mark.PROBABLE):
                yield Rule(
                    "only-cause-left",
                    Fact(cause, Mark.PROBABLE),
                    (Fact(effect, mark), *others),
                    (Fact(cause, Mark.RULED_OUT),),
                    (cause, effect),
                )
