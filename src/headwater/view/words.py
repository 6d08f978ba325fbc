"""Sentences for what was derived: why, why not, and what an answer did."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.measure.answer import say_given
from headwater.rules.compile import Fact, Mark, Rule
from headwater.rules.status import Explanation, Obstacle
from headwater.verdict.assess import Assessment

_RULE_WORDS = {
    "answer-against": "the answer rules it out",
    "absent-effect": "its effect is always there, and it was not found",
    "answers-disagree": "decisive findings disagree",
    "answer-for": "the answer shows it",
    "only-cause-left": "the book knows no other cause still standing",
    "may-have-caused": "it may have caused what was found",
    "may-follow": "it may follow from what was found",
}


_PLAIN_VERBS = {
    Verb.REUSE: "is used again",
    Verb.ADVISE: "see the note",
    Verb.INSPECT: "is looked at",
    Verb.CLEAN: "is cleaned",
    Verb.REFILL: "is filled afresh",
    Verb.ADJUST: "is adjusted",
    Verb.SHIM: "is shimmed to its measure",
    Verb.REPAIR: "is repaired",
    Verb.MACHINE: "is machined",
    Verb.REPLACE: "is replaced",
    Verb.SCRAP: "cannot be used again",
}


def verb_in_plain(verb: Verb | None) -> str:
    """Return what is done to a part in the words of its owner."""
    return _PLAIN_VERBS[verb] if verb else "needs nothing"


def plain_word(word: str) -> str:
    """Return the short word of an answer or a band as people write it.

    >>> plain_word("past-limit")
    'past limit'
    """
    return str(word).replace("-", " ")


def title(book: Book, condition: str) -> str:
    """Return what people call a condition."""
    record = book.conditions.get(condition)
    return record.title if record else condition


def part_title(book: Book, part: str) -> str:
    """Return what people call a part."""
    record = book.parts.get(part)
    return record.title if record else part


def chain_words(book: Book, path: Iterable[str]) -> str:
    """Return a chain in words, from its origin on."""
    return " → ".join(title(book, cid) for cid in path)


def money(amount: float | Decimal | None) -> str:
    """Return an amount; a dash where it is not known."""
    return "-" if amount is None else f"{amount:.2f}"


def status_words(fact: Fact, book: Book) -> str:
    """Return a fact in words: 'front bore worn: confirmed'."""
    return f"{title(book, fact.condition)}: {fact.mark.value.replace('-', ' ')}"


def answer_words(assessment: Assessment, fact: Fact) -> list[str]:
    """Return the answers that gave a fact: 'range-fork-pads answered burnt'."""
    words = []
    for check_id in assessment.evidence.basis.get(fact, ()):
        judged = assessment.stand.answered[check_id]
        check = assessment.book.checks[check_id]
        limit = assessment.book.limits.get(check.reading.limit) if check.reading else None
        words.append(f"{check_id}: {say_given(judged, limit)}")
    return words


def why_lines(assessment: Assessment, explanation: Explanation | None) -> list[str]:
    """Return an explanation from the record of firings, indented by depth, each fact once."""
    lines: list[str] = []
    told: set[Fact] = set()

    def tell(step: Explanation, depth: int) -> None:
        pad = "  " * depth
        if step.rule is None:
            answers = answer_words(assessment, step.fact) or ["given"]
            lines.extend(f"{pad}answer {answer}" for answer in answers)
            return
        repeated = step.fact in told
        told.add(step.fact)
        tail = " (see above)" if repeated else f", because {_because(step.rule, assessment.book)}"
        lines.append(f"{pad}{status_words(step.fact, assessment.book)}{tail}")
        for below in () if repeated else step.rests_on:
            tell(below, depth + 1)

    if explanation:
        tell(explanation, 0)
    return lines


def _because(rule: Rule, book: Book) -> str:
    words = _RULE_WORDS[rule.kind]
    if rule.link and rule.kind in ("may-have-caused", "may-follow"):
        return f"{words}: {book.links[rule.link].how}"
    return words


def why_not_lines(book: Book, obstacles: Iterable[Obstacle]) -> list[str]:
    """Return what kept each rule from giving a mark, in words."""
    lines = []
    for obstacle in obstacles:
        parts = [_missing(fact, book) for fact in obstacle.missing]
        parts += [f"it stands that {status_words(f, book)}" for f in obstacle.blocked_by]
        lines.append("; ".join(parts))
    return lines


def _missing(fact: Fact, book: Book) -> str:
    if fact.mark is Mark.SHOWN:
        return "no decisive answer shows it"
    return f"it is not known that {status_words(fact, book)}"


def counted(number: int, thing: str) -> str:
    """Return a number of things in words.

    >>> counted(1, "case"), counted(3, "case")
    ('1 case', '3 cases')
    """
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def percent(p: float) -> str:
    """Return a probability for people; never 0 or 100, which the book cannot know.

    >>> percent(0.999), percent(0.2), percent(0.001)
    ('over 99 %', '20 %', 'under 1 %')
    """
    if p > 0.99:
        return "over 99 %"
    if p < 0.01:
        return "under 1 %"
    return f"{p * 100:.0f} %"


def minutes_words(minutes: float) -> str:
    """Return minutes for people.

    >>> minutes_words(95), minutes_words(4)
    ('1 h 35 min', '4 min')
    """
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    return f"{whole // 60} h {whole % 60:02d} min" if whole % 60 else f"{whole // 60} h"
