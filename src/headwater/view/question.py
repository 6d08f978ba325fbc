"""A question as a page puts it, and those that it carries for when the network is gone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.hearing.answers import read_out
from headwater.measure.answer import asked_inputs, limit_of
from headwater.measure.registry import WORKS
from headwater.measure.work import Input
from headwater.session.ahead import checks_ahead
from headwater.session.ask import Purpose
from headwater.session.atseat import AtSeat
from headwater.session.findings import numbered
from headwater.session.triage import MOST_QUESTIONS
from headwater.units import units_of
from headwater.view.answers import answer_words, limit_words
from headwater.view.asking import Asking, look_blocks
from headwater.view.choice import Choice
from headwater.view.paper import Block
from headwater.view.words import plain_word

SWEEP = "Every finding is explained. Quick looks for fellow origins, while it is apart:"


@dataclass(frozen=True, slots=True)
class ReadingField:
    """A reading to be typed; `units` stand beside it, `unit` first. `choices` are words instead."""

    name: str
    ask: str
    unit: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuestionPage:
    """One question. `number` is that of the answer that is looked at again, `was` the answer."""

    check: str
    ask: str
    lead: str
    about: tuple[Block, ...]
    choices: tuple[Choice, ...]
    reading: ReadingField | None
    inputs: tuple[ReadingField, ...]
    limit: str
    means: str
    number: int | None
    was: str


def question_page(at: AtSeat, check: Check) -> QuestionPage:
    """Return the question that is put now."""
    session, book = at.session, at.session.book
    number = at.again[1] if at.again else None
    found = dict(numbered(session.findings)).get(number) if number else None
    limit = limit_of(book, check.id)
    return QuestionPage(
        check=check.id,
        ask=check.say or check.ask if at.call else check.ask,
        lead=_lead(at),
        about=() if at.call else tuple(look_blocks(Asking(session, check.id))),
        choices=tuple(_choices(at, check)),
        reading=_reading(book, check),
        inputs=tuple(_inputs(check)),
        limit=limit_words(limit) if limit else "",
        means=check.means,
        number=number,
        was=answer_words(book, found.judged) if found else "",
    )


def pages_ahead(at: AtSeat, check: Check) -> Iterator[QuestionPage]:
    """Yield the questions that may be answered after this one without its answer.

    A caller is asked nothing that nobody weighs at once: it may be dangerous to drive on.
    """
    if at.call:
        return
    for ahead in checks_ahead(at.session, check.id, at.put_off | at.unknown):
        page = question_page(at, at.session.book.checks[ahead])
        yield replace(page, lead="", number=None, was="")


def _lead(at: AtSeat) -> str:
    """Return which question of how many it is, where they are counted."""
    if at.call:
        return f"{min(at.call.asked + 1, MOST_QUESTIONS)} of {MOST_QUESTIONS}"
    sweeps = not at.again and at.item is not None and at.item.purpose is Purpose.SWEEP
    done, of = at.session.swept
    return f"{SWEEP} {done + 1} of {of}" if sweeps else ""


def _choices(at: AtSeat, check: Check) -> Iterator[Choice]:
    if at.call:
        texts = read_out(check)
        yield from (Choice(str(w), text) for w, text in zip(check.answers, texts, strict=True))
        return
    for word, answer in check.answers.items():
        says = answer.says if answer.says != plain_word(word) else ""
        yield Choice(str(word), plain_word(word), says)


def _reading(book: Book, check: Check) -> ReadingField | None:
    limit = limit_of(book, check.id)
    if limit is None:
        return None
    return ReadingField("reading", limit.title, limit.unit, _units(limit.dimension, limit.unit))


def _inputs(check: Check) -> Iterator[ReadingField]:
    """Yield what bench arithmetic asks for; a single input is the reading itself."""
    if check.reading is None or check.reading.work is None:
        return
    names = asked_inputs(check)
    if len(names) < 2:
        return
    wanted = {item.name: item for item in WORKS[check.reading.work].inputs}
    yield from (_input(wanted[name]) for name in names)


def _input(item: Input) -> ReadingField:
    if item.choices:
        return ReadingField(item.name, item.ask, choices=item.choices)
    units = units_of(item.dimension)
    return ReadingField(item.name, item.ask, units[0], _units(item.dimension, units[0]))


def _units(dimension: str, first: str) -> tuple[str, ...]:
    """Return the units that a reading may have, the usual one first; none where it has none."""
    return tuple(filter(None, dict.fromkeys((first, *units_of(dimension)))))
