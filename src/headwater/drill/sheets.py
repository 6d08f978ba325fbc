"""An exercise on paper: the sheet that an apprentice fills in, and the trainer's answers to it.

Whoever holds the answer sheet is the unit: he is asked for looks, and reads out what each tells.
"""

from __future__ import annotations

from collections.abc import Iterator

from headwater.book.model import Check
from headwater.drill.desk import UNIT, Sitting, exercise_paper
from headwater.drill.exercise import Exercise
from headwater.drill.run import is_work
from headwater.drill.score import RULES
from headwater.drill.truth import LEVEL_WORDS, answer
from headwater.graph.causal import causes_of
from headwater.session.findings import find_out
from headwater.verdict.reach import still_to_open, within_reach
from headwater.view.answers import answer_words
from headwater.view.paper import (
    Block,
    Entries,
    Entry,
    Grid,
    Paper,
    Section,
    Tone,
    Words,
    cell,
    listed,
    say,
)
from headwater.view.words import minutes_words, part_title, title

EMPTY_ROWS = 14
"""Rows to write looks into."""
LINE = "_" * 40


def sheet_paper(exercise: Exercise) -> Paper:
    """Return the sheet of an exercise: the unit, what is known, and room to write."""
    shown = exercise_paper(Sitting(exercise, exercise.begin()))
    known = next(section for section in shown.sections if section.heading == UNIT)
    head = ("Look", "What it told", "Minutes")
    empty = tuple((cell(" "), cell(" "), cell(" ")) for _ in range(EMPTY_ROWS))
    asked = ("Where it began", "The steps between", "The looks that prove it", "The parts, all")
    return Paper(
        f"Exercise sheet, level {exercise.level}, number {exercise.seed}",
        (say(f"{LEVEL_WORDS[exercise.level]}."), say(f"Name: {LINE}"), *shown.blocks[1:]),
        (
            known,
            Section("Your looks, in their order", (Grid(head, empty),)),
            Section("What you say", tuple(say(f"{name}: {LINE}") for name in asked)),
            Section("How it is scored", (listed(RULES),)),
        ),
    )


def answers_paper(exercise: Exercise) -> Paper:
    """Return the trainer's sheet: what is true, a good order, and what each look tells."""
    book, planner = exercise.book, exercise.planner
    order = (f"{book.checks[o.check].ask} {answer_words(book, o.judged)}" for o in planner.orders)
    looks = tuple(_look(exercise, check) for check in _askable(exercise))
    head = ("Look", "What it tells", "Minutes")
    good = f"A good order: {len(planner.orders)}, {minutes_words(planner.minutes)}"
    return Paper(
        f"Answer sheet, level {exercise.level}, number {exercise.seed}",
        (say("For the trainer. Who is asked for a look reads out what stands beside it."),),
        (
            Section("What is true", (*_truth(exercise),)),
            Section(good, (Entries(tuple(Entry((Words(t),)) for t in order), numbered=True),)),
            Section("Parts that the plan acts on", (listed(_parts(exercise)),)),
            Section("What each look tells, openings not counted", (Grid(head, looks),)),
        ),
    )


def _truth(exercise: Exercise) -> Iterator[Block]:
    book, unit = exercise.book, exercise.unit
    for way in unit.ways:
        yield say(Words(" → ".join(title(book, cid) for cid in way), Tone.STRONG))
    for check, words in ((unit.herring, "points elsewhere"), (unit.mistaken, "is mistaken")):
        if check:
            yield say(f"This {words}: {book.checks[check].ask}")


def _parts(exercise: Exercise) -> list[str]:
    steps = exercise.planner.work()
    worked = dict.fromkeys(step.on for step in steps if step.action and is_work(step.action))
    return [part_title(exercise.book, part) for part in worked]


def _askable(exercise: Exercise) -> list[Check]:
    """Return the looks that tell of what may be behind what the unit came in with, quick first."""
    reasoner, unit = exercise.reasoner, exercise.unit
    stand = exercise.begin().session.stand
    behind = causes_of(reasoner.graph, *unit.ends) | set(unit.ends)
    telling = {check for cid in behind for check in reasoner.touching.get(cid, ())}
    looks = telling | {order.check for order in exercise.planner.orders}
    able = [c for c in exercise.book.checks.values() if c.id in looks and within_reach(c, stand)]
    return sorted(able, key=lambda check: (check.minutes, check.id))


def _look(exercise: Exercise, check: Check) -> tuple[tuple[Words, ...], ...]:
    book, unit = exercise.book, exercise.unit
    told = find_out(book, check.id, answer(book, unit, check, 1 + (check.id in unit.opening)))
    off = exercise.begin().session.stand.removed
    opens = "; ".join(book.removals[r].title for r in still_to_open(book, check, off))
    first = Words(f"first: {opens}", Tone.QUIET) if opens else ""
    tells = cell(answer_words(book, told.judged))
    return cell(check.ask, first), tells, cell(minutes_words(check.minutes))
