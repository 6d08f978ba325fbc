"""What an apprentice sees as an exercise runs: the unit, what is known, what a check costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.book.records import Book
from headwater.drill.exercise import Exercise
from headwater.drill.run import TOO_CLOSE, Order, Run
from headwater.drill.score import RULES
from headwater.drill.truth import LEVEL_WORDS
from headwater.measure.answer import Judged, limit_of
from headwater.units import show
from headwater.view.answers import answer_words, limit_words
from headwater.view.paper import (
    Block,
    Entries,
    Entry,
    Facts,
    Paper,
    Section,
    Tone,
    Words,
    listed,
    say,
)
from headwater.view.words import minutes_words, plain_word

HOW = "Order checks by words or id; each costs minutes. 'help' lists the rest."
UNIT = "It lies on the bench, closed; its driver can be asked. What is known:"
SCORED = "How it is scored"
CLOSED = (
    "When the trainer closes the lesson, what you have named by then is what counts. "
    "A unit that you had before is not counted again."
)
NONE_FITS = "No check on this bench fits these words; try others."


@dataclass(frozen=True, slots=True)
class Sitting:
    """An exercise with the orders so far; the checks that were offered, or the order just made."""

    exercise: Exercise
    run: Run
    offered: tuple[str, ...] = ()
    made: Order | None = None


def exercise_paper(sitting: Sitting) -> Paper:
    """Return what is known of the unit at the start, and how it will be scored."""
    exercise = sitting.exercise
    return Paper(
        f"Exercise, level {exercise.level}, seed {exercise.seed}",
        _unit(exercise),
        (
            Section(SCORED, (listed(RULES),)),
            Section(UNIT, (_known(sitting),)),
            Section("", (say(Words(HOW, Tone.QUIET)),)),
        ),
    )


def served_paper(sitting: Sitting) -> Paper:
    """Return the same for a class: without its number, which says where the unit comes from."""
    sections = (Section(UNIT, (_known(sitting),)), Section(SCORED, (listed((*RULES, CLOSED)),)))
    return Paper("", _unit(sitting.exercise), sections)


def _unit(exercise: Exercise) -> tuple[Block, ...]:
    return say(f"{LEVEL_WORDS[exercise.level]}."), *_attributes(exercise)


def _attributes(exercise: Exercise) -> Iterator[Block]:
    """Yield every attribute of the unit, whether or not it matters."""
    declared = exercise.book.attributes
    rows = tuple(
        (plain_word(name), declared[name].values.get(value, value) if name in declared else value)
        for name, value in sorted(exercise.family.items(), key=lambda one: one[0] != "unit")
    )
    if rows:
        yield Facts(rows, Tone.QUIET)


def known_paper(sitting: Sitting) -> Paper:
    """Return what is known so far."""
    return Paper("", (_known(sitting),), ())


def _known(sitting: Sitting) -> Entries:
    run, book = sitting.run, sitting.exercise.book
    first = len(run.known) - len(run.orders)
    entries = []
    for number, judged in enumerate(run.known):
        own = run.judgements.get(number - first)
        said = f", judged {judgement_words(own)}" if own else ""
        text = f"{book.checks[judged.check].ask} {seen_words(book, judged)}{said} [{judged.check}]"
        entries.append(Entry((Words(text),), tuple(_measure(book, judged)), quiet=True))
    return Entries(tuple(entries))


def _measure(book: Book, judged: Judged) -> Iterator[str]:
    """Yield what a figure was read with, and the limit that it is to be judged against."""
    limit, reading = limit_of(book, judged.check), book.checks[judged.check].reading
    if judged.quantity is None or limit is None or reading is None:
        return
    if reading.gauge and (gauge := book.gauges.get(reading.gauge)):
        yield f"read with: {gauge.title}, standard uncertainty {gauge.u}"
    yield f"limit: {limit_words(limit)}"


def seen_words(book: Book, judged: Judged) -> str:
    """Return an answer as it is seen: of a reading the figure, which is for others to judge."""
    limit = limit_of(book, judged.check)
    if judged.special is None and judged.quantity is not None and limit is not None:
        return show(judged.quantity, limit.unit)
    return answer_words(book, judged)


def judgement_words(word: str) -> str:
    """Return in words what a reading is judged to be."""
    return "too close to call" if word == TOO_CLOSE else plain_word(word)


def offer_paper(sitting: Sitting) -> Paper:
    """Return checks to choose from, each with what it costs now."""
    run, checks = sitting.run, sitting.exercise.book.checks
    if not sitting.offered:
        return Paper("", (say(NONE_FITS),), ())
    rows = [
        f"{checks[cid].ask} ({minutes_words(run.cost(checks[cid]))}) [{cid}]"
        for cid in sitting.offered
    ]
    entries = tuple(Entry((Words(text),)) for text in rows)
    return Paper("", (Entries(entries, numbered=True),), ())


def made_paper(sitting: Sitting) -> Paper:
    """Return a check that was made: what had to come off, its answer, its minutes."""
    book, order = sitting.exercise.book, sitting.made
    if order is None:
        return Paper("", (), ())
    opened = "; ".join(book.removals[rid].title for rid in order.opens)
    first = (say(Words(f"first: {opened}", Tone.QUIET)),) if opened else ()
    seen = seen_words(book, order.judged)
    told = say(Words(f"{book.checks[order.check].ask} {seen}", Tone.STRONG))
    cost = say(Words(minutes_words(order.minutes), Tone.QUIET))
    measure = (say(Words(text, Tone.QUIET)) for text in _measure(book, order.judged))
    return Paper("", (*first, told, cost, *measure), ())


def hint_paper(sitting: Sitting) -> Paper:
    """Return the look that is told as a hint."""
    book, cost = sitting.exercise.book, sitting.run.cost
    if not sitting.offered:
        return Paper("", (say("No hint: name the origin, or look at what you doubt."),), ())
    check = book.checks[sitting.offered[0]]
    text = f"Hint: {check.ask} ({minutes_words(cost(check))}) [{check.id}]"
    return Paper("", (say(text),), ())


def judgements_of(book: Book, order: Order) -> tuple[str, ...]:
    """Return what a reading may be judged to be: a band of its limit, or too close to call."""
    limit = limit_of(book, order.check)
    if limit is None or not order.reading:
        return ()
    return (*(str(band.name) for band in limit.bands), TOO_CLOSE)
