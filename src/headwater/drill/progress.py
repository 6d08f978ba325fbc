"""The progress file: for each apprentice the chains missed, and the exercise that is open.

A small YAML file, strict and readable by hand. Of an open exercise it keeps the level, the seed,
the book's digest and what was ordered: never the answer.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from headwater.book.records import Book
from headwater.book.shape import read_whole
from headwater.drill.exercise import Wish
from headwater.drill.recall import ANYTHING_EVERY, is_review, reviewed, weak_chains
from headwater.drill.run import DrillError
from headwater.drill.truth import LEVELS
from headwater.errors import HeadwaterError, Place
from headwater.files import MAX_BYTES, NameTakenError, ReadError, WriteError, refused
from headwater.watched import WatchedFile, make_watched
from headwater.yamltext import Table, parse, quote, read_file, text_of


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenExercise:
    """An exercise that was not finished.

    `near` are the chains that it was drawn from, none for the whole book, and where one was
    `chosen` that one alone; `not_again` is the one that it was not to be. `judged` has readings by
    the number of their order. Among the orders stands what was taken back (`run.BACK`).
    """

    level: int
    seed: int
    book: str
    orders: tuple[str, ...] = ()
    judged: dict[str, str] = field(default_factory=dict)
    hints: int = 0
    near: tuple[str, ...] = ()
    not_again: str = ""
    chosen: bool = False

    @property
    def wish(self) -> Wish:
        """What it was drawn for."""
        return Wish(self.level, self.seed, self.near, self.not_again, self.chosen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """An exercise that is over: when, its level and points, its chains and kinds of mistake.

    `unit` is the mark of the unit, where that was kept; `served` says that it was one of a class on
    the pages, where nobody could look it up.
    """

    at: str
    level: int
    points: int
    chains: tuple[str, ...] = ()
    mistakes: tuple[str, ...] = ()
    unit: str = ""
    served: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What a trainer has set: a level, and the chain where one was chosen."""

    level: int
    chain: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apprentice:
    """What one apprentice has done. `missed` counts the times each chain is still to be solved.

    `reviews` says by card how well it was known and when (`drill.recall`), `last` is the chain of
    the last exercise, `history` are the latest exercises, `assigned` what is to be done next.
    """

    done: int = 0
    points: int = 0
    missed: dict[str, int] = field(default_factory=dict)
    reviews: dict[str, tuple[str, ...]] = field(default_factory=dict)
    last: str = ""
    history: tuple[Lesson, ...] = ()
    assigned: tuple[Task, ...] = ()
    open: OpenExercise | None = None

    def after_lesson(self, lesson: Lesson, missed: bool) -> Apprentice:
        """Return the record after an exercise, with what became of it."""
        record = self.after(lesson.points, lesson.chains, missed)
        return replace(record, history=(*self.history, lesson)[-HISTORY:])

    def had(self, unit: str) -> bool:
        """Say whether a unit, by its mark, was an exercise before; it does not count again."""
        return any(one.unit == unit for one in self.history)

    def after(self, points: int, chains: tuple[str, ...], missed: bool) -> Apprentice:
        """Return the record after an exercise: missed chains count up, solved ones down."""
        counts, last = self._counted(chains, missed), chains[0] if chains else self.last
        done, points = self.done + 1, self.points + points
        return replace(self, done=done, points=points, missed=counts, last=last, open=None)

    def after_reviews(self, rated: Mapping[str, str], now: datetime) -> Apprentice:
        """Return the record after some cards were reviewed."""
        told = reviewed(self.reviews, rated, now)
        return replace(self, reviews={name: tuple(lines) for name, lines in told.items()})

    def next_from(self, book: Book, now: datetime) -> tuple[str, ...]:
        """Return the chains that the next exercise is drawn from; none for the whole book.

        They are the weakest, else those that were missed; now and then it is anything.
        """
        if self.done % ANYTHING_EVERY == ANYTHING_EVERY - 1:
            return ()
        weak = weak_chains(book, self.reviews, now, self.last)
        missed = [chain for chain in sorted(self.missed) if chain in book.chains]
        other = [chain for chain in missed if chain != self.last]
        return tuple(weak or other or missed)

    def after_order(self, chain: str, missed: bool) -> Apprentice:
        """Return the record after a chain was explained back."""
        return replace(self, missed=self._counted((chain,), missed))

    def _counted(self, chains: tuple[str, ...], missed: bool) -> dict[str, int]:
        counts = dict(self.missed)
        for chain in chains:
            counts[chain] = counts.get(chain, 0) + (1 if missed else -1)
        return {chain: count for chain, count in counts.items() if count > 0}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressFile:
    """The file."""

    called: ClassVar[str] = "progress file"

    apprentices: dict[str, Apprentice] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Progress:
    """The progress file of one apprentice; `path` None keeps nothing."""

    path: Path | None = None
    who: str = ""
    record: Apprentice = field(default_factory=Apprentice)

    def keep(self, record: Apprentice) -> Progress:
        """Return the progress with a new record, on disk if there is a file.

        Raises DrillError or TextError where it cannot be kept; the file is left as it was then.
        """
        if self.path:
            try:
                _keep(self.path, self.who, record)
            except OSError as error:
                raise refused(self.path, error, DrillError) from None
            except (ReadError, WriteError) as error:
                raise DrillError(error.message, Place(str(self.path))) from None
        return replace(self, record=record)


def _keep(path: Path, who: str, record: Apprentice) -> None:
    """Put one record into the file, which is locked meanwhile. A link to it is followed."""
    real = Path(os.path.realpath(path))
    if not os.path.lexists(real):
        with suppress(NameTakenError, BlockingIOError):  # somebody else made it first
            make_watched(real, _checked_text({who: record}, path))
    with closing(_alone(real, path)) as file:
        everyone = parse_progress(text_of(file.text, str(path)), str(path))
        file.replace(_checked_text({**everyone, who: record}, path))


def _alone(real: Path, path: Path) -> WatchedFile:
    """Open the file once nobody else has it. Raises OSError, DrillError."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return WatchedFile(real)
        except BlockingIOError:
            if time.monotonic() > until:
                raise DrillError("is in use; try again later", Place(str(path))) from None
        time.sleep(0.02)


HISTORY = 100
"""Exercises of an apprentice that are kept, the latest ones."""
PATIENCE = 10.0
"""Seconds to wait for others who keep their own progress in the same file."""


def _checked_text(everyone: Mapping[str, Apprentice], path: Path) -> str:
    """Return the text of the file, of which the same is read again. Raises DrillError."""
    text, place = progress_text(everyone), Place(str(path))
    if len(text.encode()) > MAX_BYTES:
        raise DrillError("would be larger than what is read; begin another file", place)
    with suppress(HeadwaterError):
        if parse_progress(text, str(path)) == everyone:
            return text
    raise DrillError("cannot keep this: it would read back as something else", place)


def open_progress(path: Path | None, who: str) -> Progress:
    """Return the progress of an apprentice. Raises DrillError or TextError on a bad file."""
    if path is None:
        return Progress()
    everyone = read_progress(path) if os.path.lexists(path) else {}
    return Progress(path, who, everyone.get(who, Apprentice()))


def read_progress(path: Path) -> dict[str, Apprentice]:
    """Return the apprentices of a progress file."""
    return parse_progress(read_file(path), str(path))


def parse_progress(text: str, file: str) -> dict[str, Apprentice]:
    """Return the apprentices of a text; raises DrillError or TextError that names `file`."""
    tree = parse(text, file)
    if not isinstance(tree.data, Table):
        raise DrillError("is no progress file; it must start with 'apprentices:'", tree.place)
    found = read_whole(ProgressFile, tree, DrillError)
    for name, record in found.apprentices.items():
        _check(name, record, tree.place)
    return {str(name): record for name, record in found.apprentices.items()}


def _check(name: str, record: Apprentice, place: Place) -> None:
    counts = [record.done, record.points, *record.missed.values()]
    counts += [lesson.points for lesson in record.history]
    counts += [record.open.seed, record.open.hints] if record.open else []
    levels = [task.level for task in record.assigned] + [one.level for one in record.history]
    levels += [record.open.level] if record.open else []
    if not set(levels) <= set(LEVELS):
        raise DrillError(f"'{name}': a level is one of {', '.join(map(str, LEVELS))}", place)
    if not all(is_review(line) for lines in record.reviews.values() for line in lines):
        raise DrillError(f"'{name}': a review is 'date time again, hard or good'", place)
    if any(count < 0 for count in counts):
        raise DrillError(f"'{name}': counts must be whole numbers from 0 up", place)


def progress_text(everyone: Mapping[str, Apprentice]) -> str:
    """Return the progress file as text."""
    lines = ["apprentices:"]
    for name, record in sorted(everyone.items()):
        lines += [f"  {_key(name)}:", f"    done: {record.done}"]
        lines.append(f"    points: {record.points}")
        lines += ["    missed:"] if record.missed else []
        lines += [f"      {_key(chain)}: {count}" for chain, count in sorted(record.missed.items())]
        lines += ["    reviews:"] if record.reviews else []
        for card, reviews in sorted(record.reviews.items()):
            lines.append(f"      {_key(card)}: [{', '.join(map(quote, reviews))}]")
        lines += [f"    last: {quote(record.last)}"] if record.last else []
        for lesson in record.history:
            lines += ["    history:"] if lesson is record.history[0] else []
            of = f"level: {lesson.level}, points: {lesson.points}"
            chains, kinds = _list(lesson.chains), _list(lesson.mistakes)
            told = f"at: {quote(lesson.at)}, {of}, chains: {chains}, mistakes: {kinds}"
            told += f", unit: {quote(lesson.unit)}" if lesson.unit else ""
            told += ", served: true" if lesson.served else ""
            lines.append(f"      - {{{told}}}")
        for task in record.assigned:
            lines += ["    assigned:"] if task is record.assigned[0] else []
            lines.append(f"      - {{level: {task.level}, chain: {quote(task.chain)}}}")
        if record.open:
            orders = ", ".join(map(quote, record.open.orders))
            lines += [
                "    open:",
                f"      level: {record.open.level}",
                f"      seed: {record.open.seed}",
                f"      book: {quote(record.open.book)}",
                f"      orders: [{orders}]",
            ]
            lines += [f"      hints: {record.open.hints}"] if record.open.hints else []
            if record.open.near:
                lines.append(f"      near: [{', '.join(map(quote, record.open.near))}]")
            if record.open.not_again:
                lines.append(f"      not-again: {quote(record.open.not_again)}")
            lines += ["      chosen: true"] if record.open.chosen else []
            judged = record.open.judged
            lines += ["      judged:"] if judged else []
            lines += [f"        {_key(n)}: {quote(word)}" for n, word in sorted(judged.items())]
    return "\n".join(lines) + "\n"


def _list(items: Iterable[str]) -> str:
    return f"[{', '.join(map(quote, items))}]"


def _key(name: str) -> str:
    shown = quote(name)
    return shown if shown.startswith('"') else f'"{shown}"'
