"""The class list: what each apprentice has done, by chain and by kind of mistake."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.book.records import Book
from headwater.drill.mistakes import Mistake
from headwater.drill.progress import Apprentice, Task
from headwater.drill.score import PASS
from headwater.drill.walk import chain_title
from headwater.view.paper import Entries, Entry, Facts, Paper, Section, Words, say
from headwater.view.words import counted


@dataclass(frozen=True, slots=True)
class ClassList:
    """The apprentices of a progress file, by name, with the book that names their chains."""

    book: Book
    people: Mapping[str, Apprentice]


@dataclass(frozen=True, slots=True)
class ChainRow:
    """What an apprentice did with units of one chain: how often, the best, and the last points."""

    chain: str
    times: int
    best: int
    last: int


@dataclass(frozen=True, slots=True)
class PupilRow:
    """One apprentice. `passed` of the exercises in `history`; mistakes by kind, all of them.

    `served` are those of a class on the pages; the others were practice, at a terminal.
    """

    name: str
    done: int
    points: int
    passed: int
    served: int
    chains: tuple[ChainRow, ...]
    mistakes: dict[str, int]
    waiting: int
    open: bool


@dataclass(frozen=True, slots=True)
class ClassView:
    """A class list as a record."""

    people: tuple[PupilRow, ...]


def class_view(told: ClassList) -> ClassView:
    """Return a class list as a record."""
    return ClassView(tuple(_row(name, one) for name, one in sorted(told.people.items())))


def _row(name: str, one: Apprentice) -> PupilRow:
    kinds = Counter(kind for lesson in one.history for kind in lesson.mistakes)
    chains = dict.fromkeys(chain for lesson in one.history for chain in lesson.chains)
    rows = tuple(_chain_row(one, chain) for chain in chains)
    passed = sum(lesson.points >= PASS for lesson in one.history)
    served = sum(lesson.served for lesson in one.history)
    mistakes = {str(kind): kinds[str(kind)] for kind in Mistake}
    return PupilRow(
        name,
        one.done,
        one.points,
        passed,
        served,
        rows,
        mistakes,
        len(one.assigned),
        one.open is not None,
    )


def _chain_row(one: Apprentice, chain: str) -> ChainRow:
    points = [lesson.points for lesson in one.history if chain in lesson.chains]
    return ChainRow(chain, len(points), max(points), points[-1])


def class_paper(told: ClassList) -> Paper:
    """Return a class list: a section for each apprentice."""
    rows = class_view(told).people
    if not rows:
        return Paper("Class list", (say("Nobody is in this file yet."),), ())
    return Paper(
        "Class list", (), tuple(Section(_head(row), (*_blocks(told, row),)) for row in rows)
    )


def _head(row: PupilRow) -> str:
    mean = f", {row.points / row.done:.0f} points on the average" if row.done else ""
    return f"{row.name}: {counted(row.done, 'exercise')}{mean}"


def _blocks(told: ClassList, row: PupilRow) -> Iterator[Facts | Entries]:
    made = [f"{mistake_words(kind)} {times}" for kind, times in row.mistakes.items() if times]
    facts = [("passed", str(row.passed))] if row.chains else []
    facts += [("in class", str(row.served))] if row.served else []
    facts += [("mistakes", ", ".join(made) or "none")] if row.chains else []
    facts += [("assigned", str(row.waiting))] if row.waiting else []
    facts += [("open", "an exercise is not finished")] if row.open else []
    yield Facts(tuple(facts))
    entries = []
    for one in row.chains:
        chain = told.book.chains.get(one.chain)
        name = chain_title(told.book, chain) if chain else one.chain
        text = f"{name}: {counted(one.times, 'time')}, best {one.best}, last {one.last}"
        entries.append(Entry((Words(text),)))
    if entries:
        yield Entries(tuple(entries))


def mistake_words(kind: str) -> str:
    """Return a kind of mistake in words."""
    return kind.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Assigned:
    """A task that was given, and to whom."""

    task: Task
    names: tuple[str, ...]


def given_view(told: Assigned) -> Assigned:
    """Return what was assigned as a record."""
    return told


def given_paper(told: Assigned) -> Paper:
    """Return what was assigned; the chain is not said, for who reads this may be to find it."""
    what = f"level {told.task.level}, "
    what += "a chosen chain" if told.task.chain else "any chain"
    begin = "Whoever has it begins with: headwater drill solve --who NAME --progress FILE"
    return Paper("", (say(f"Assigned: {what}, to {', '.join(told.names)}."), say(begin)), ())
