"""The rules of the book about what mends a condition, and that nothing else says so."""

from __future__ import annotations

import re

from headwater.book.check_records import decided, no_remedy
from headwater.book.model import Action, Check, Condition
from headwater.book.problem import Faults
from headwater.book.records import COMMON_PRACTICE, Book
from headwater.book.seal import unseal
from headwater.book.tables import Nature, Seat

FIGURE = re.compile(
    r"\d\s*(mm|µm|in|inch|thou|Nm|N·m|lbf|°C|°F|rpm|Hz|bar|psi|kPa|litres?|ml|%|percent)(?![\w-])"
)


def origins_complete(book: Book) -> Faults:
    """Every origin has a correction, and a check that decides it or a reason why none can."""
    known = decided(book)
    for condition in book.origins.values():
        assert condition.origin is not None
        if not condition.origin.corrections:
            yield condition.place, f"origin '{condition.id}' has no correction"
        if condition.id not in known and not condition.unobservable:
            yield (
                condition.place,
                f"no check decides origin '{condition.id}'; add one, or say 'unobservable:' why",
            )
        if condition.id in known and condition.unobservable:
            yield (
                condition.place,
                f"'{condition.id}' is called unobservable, yet check "
                f"'{known[condition.id]}' decides it",
            )


def damage_has_disposition(book: Book) -> Faults:
    """Every damaged part has a disposition; only damage has one; damage is on a part."""
    for condition in book.conditions.values():
        damage = condition.kind is Nature.DAMAGE
        if damage and not condition.part:
            yield condition.place, f"damage '{condition.id}' names no part"
        if damage and not condition.dispositions and not condition.origin:
            yield condition.place, f"damage '{condition.id}' has no disposition for its part"
        if not damage and condition.dispositions:
            yield condition.place, f"'{condition.id}' is no damage, so it has no disposition"
        for action in actions_of(condition):
            if not action.on and not condition.part:
                yield action.place, "says no part; add 'on:'"


def actions_of(condition: Condition) -> tuple[Action, ...]:
    """Return the actions that mend a condition, dispositions first."""
    corrections = unseal(condition.origin.corrections) if condition.origin else ()
    return (*unseal(condition.dispositions), *corrections)


def figures_have_sources(book: Book) -> Faults:
    """Every figure has a source or the mark common-practice."""
    for check in book.checks.values():
        text = " ".join((check.ask, check.how, check.good, check.bad, check.means))
        if FIGURE.search(text) and not check.source and not check.reading:
            yield (
                check.place,
                f"check '{check.id}' gives a figure without 'source:' "
                f"(write {COMMON_PRACTICE} if the trade merely knows it)",
            )
    for place, text in _unsourced(book):
        if found := FIGURE.search(text):
            yield place, f"'{found.group()}' can name no source here; give the figure in a check"
    for chain in book.chains.values():
        for step in chain.because:
            if FIGURE.search(step.said.how) and not step.said.source:
                yield step.cause.place, "a figure in 'how' needs a 'source:'"
            often = step.said.often
            if often and often.word[0].isdigit() and not step.said.source:
                yield step.cause.place, "a number in 'often' needs a 'source:'"
    for condition in book.origins.values():
        assert condition.origin is not None
        if condition.origin.common.word[0].isdigit() and not condition.origin.source:
            yield condition.origin.place, "a number in 'common' needs a 'source:'"


def _unsourced(book: Book) -> Faults:
    """Yield the texts that have no field for a source."""
    for condition in book.conditions.values():
        yield condition.place, condition.looks
        for action in actions_of(condition):
            yield from ((action.place, text) for text in (action.text, *action.fitting))
    for caution in book.cautions.values():
        yield caution.place, caution.text


def remedies_only_in_actions(book: Book) -> Faults:
    """Only corrections and dispositions say what to do with a part: the gate can hold those."""
    for condition in book.conditions.values():
        for text in (condition.title, condition.plain, condition.looks, *condition.said):
            yield from no_remedy(condition.place, text)
        if condition.danger:
            yield from no_remedy(condition.place, condition.danger.because)
            yield from no_remedy(condition.place, condition.danger.limits)
    for check in book.checks.values():
        texts = (check.ask, check.say, check.how, check.good, check.bad, check.means, check.tool)
        answers = tuple(answer.says for answer in check.answers.values())
        for text in (*texts, *answers):
            if not _asks_history(check, text):
                yield from no_remedy(check.place, text)
    for link in book.links.values():
        yield from no_remedy(link.place, link.how)
    for chain in book.chains.values():
        yield from no_remedy(chain.chain.place, chain.title)
    for kind in ("parts", "removals", "limits"):
        for record in book.table(kind).values():
            yield from no_remedy(record.place, record.title)


def _asks_history(check: Check, text: str) -> bool:
    """A question about work done before may name it: it recommends nothing."""
    return Seat.CALL in check.seats and bool(re.search(r"replaced|renewed|rebuilt|swapped", text))
