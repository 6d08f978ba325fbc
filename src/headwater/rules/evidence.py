"""Turns answers into evidence: given facts for the rules, likelihoods for belief.

Only an answer that is settled and declared decisive gives a fact. Every answer, settled or too
close to call, moves belief: for each condition it speaks of, the likelihoods of the possible
answers are mixed in proportion to their shares.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from headwater.book.model import Answer
from headwater.book.records import Book
from headwater.measure.answer import Judged
from headwater.rules.compile import Fact, Mark

NEUTRAL = 0.5
"""Likelihood of an answer for a condition that it says nothing about, present or absent."""


def likelihoods(answer: Answer, condition: str) -> tuple[float, float]:
    """Return P(answer | condition present) and P(answer | absent)."""
    shown = answer.shows.get(condition)  # type: ignore[call-overload]
    if shown:
        return shown.present, shown.absent
    denied = answer.rules_out.get(condition)  # type: ignore[call-overload]
    if denied:
        return denied.absent, denied.present
    return NEUTRAL, NEUTRAL


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the findings of a case say, together.

    `facts` for the rules; `basis` the checks behind each; `factors` for belief: condition ->
    (likelihood if present, if absent), multiplied over the findings.
    """

    facts: frozenset[Fact]
    basis: Mapping[Fact, tuple[str, ...]]
    factors: Mapping[str, tuple[float, float]]


def gather(book: Book, findings: Iterable[Judged]) -> Evidence:
    """Return the evidence of the findings; their order does not matter."""
    basis: dict[Fact, list[str]] = {}
    factors: dict[str, tuple[float, float]] = {}
    for judged in sorted(findings, key=lambda j: j.check):
        check = book.checks.get(judged.check)
        if check is None or judged.special:
            continue
        answers = {str(word): answer for word, answer in check.answers.items()}
        if judged.settled:
            for fact in _facts(answers[judged.settled]):
                basis.setdefault(fact, []).append(judged.check)
        for condition in _spoken(answers[word] for word, _ in judged.shares):
            present = absent = 0.0
            for word, share in judged.shares:
                pair = likelihoods(answers[word], condition)
                present, absent = present + share * pair[0], absent + share * pair[1]
            before = factors.get(condition, (1.0, 1.0))
            factors[condition] = (before[0] * present, before[1] * absent)
    known = {fact: tuple(checks) for fact, checks in basis.items()}
    return Evidence(frozenset(known), known, factors)


def _facts(answer: Answer) -> Iterable[Fact]:
    for condition, sureness in answer.shows.items():
        if sureness.decisive:
            yield Fact(str(condition), Mark.SHOWN)
    for condition, sureness in answer.rules_out.items():
        if sureness.decisive:
            yield Fact(str(condition), Mark.DENIED)


def _spoken(answers: Iterable[Answer]) -> list[str]:
    return list(dict.fromkeys(str(c) for a in answers for c in (*a.shows, *a.rules_out)))
