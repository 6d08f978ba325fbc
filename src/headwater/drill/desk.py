"""What an apprentice sees as an exercise runs: the unit, what is known, what a check costs."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.drill.exercise import Exercise, Order, Run, telling
from headwater.drill.truth import LEVEL_WORDS
from headwater.view.answers import word_words
from headwater.view.paper import Entries, Entry, Paper, Section, Tone, Words, listed, say
from headwater.view.words import minutes_words

HOW = "Order checks by words or id; each costs minutes. 'help' lists the rest."
UNIT = "It lies on the bench, unopened; its driver can be asked. What is known:"
NONE_FITS = "No check on this bench fits these words; try others."


@dataclass(frozen=True, slots=True)
class Sitting:
    """An exercise with the orders so far; the checks that were offered, or the order just made."""

    exercise: Exercise
    run: Run
    offered: tuple[str, ...] = ()
    made: Order | None = None


def exercise_paper(sitting: Sitting) -> Paper:
    """Return what is known of the unit at the start."""
    exercise = sitting.exercise
    family = ", ".join(f"{name} {value}" for name, value in telling(exercise).items())
    unit = (say(Words(f"Unit: {family}", Tone.QUIET)),) if family else ()
    return Paper(
        f"Exercise, level {exercise.level}, seed {exercise.seed}",
        (say(f"{LEVEL_WORDS[exercise.level]}."), *unit),
        (Section(UNIT, (_known(sitting),)), Section("", (say(Words(HOW, Tone.QUIET)),))),
    )


def known_paper(sitting: Sitting) -> Paper:
    """Return what is known so far."""
    return Paper("", (_known(sitting),), ())


def _known(sitting: Sitting) -> Entries:
    book = sitting.exercise.book
    orders = ((order.check, order.answer) for order in sitting.run.orders)
    told = [*sitting.exercise.unit.opening.items(), *orders]
    return listed([f"{book.checks[c].ask} {word_words(book, c, word)} [{c}]" for c, word in told])


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
    answer = word_words(book, order.check, order.answer)
    told = say(Words(f"{book.checks[order.check].ask} {answer}", Tone.STRONG))
    cost = say(Words(f"{minutes_words(order.minutes)}, {order.answer}", Tone.QUIET))
    return Paper("", (*first, told, cost), ())
