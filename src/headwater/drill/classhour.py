"""A lesson with a class: all have the same unit, each a run of their own, and one debrief for all.

The unit, its number and what is true of it stay here until the trainer closes the lesson. So that
no answer is quicker where somebody, or the planner, looked before, each run works everything out
for itself; and so that the time that drawing takes tells nothing, the trainer begins the lesson.
"""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from headwater.drill.debrief import debrief_paper
from headwater.drill.entered import entered, had_before
from headwater.drill.exercise import Exercise, Wish
from headwater.drill.memory import remembering
from headwater.drill.progress import Apprentice, Task, open_progress, read_progress
from headwater.drill.pupil import Pupil
from headwater.drill.result import Debriefing
from headwater.drill.run import DrillError, begin
from headwater.drill.score import score_run
from headwater.drill.shelf import Shelf
from headwater.errors import HeadwaterError
from headwater.session.openbook import OpenBook

SEEDS = 1_000_000
SIGNS = "234679CDFGHJKMNPQRTVWXY"
"""Signs of a code: none is taken for another, none makes a word."""
CODE_LONG = 5
MOST_HOURS = 20
"""Lessons that are kept, the latest ones."""
MOST_PUPILS = 60
LONGEST_NAME = 80


class Phase(StrEnum):
    """How far a lesson is."""

    DRAWING = "drawing"
    READY = "ready"
    RUNNING = "running"
    CLOSING = "closing"
    CLOSED = "closed"
    FAILED = "failed"


@dataclass(slots=True)
class ClassHour:
    """A lesson with a class, by its `code`; `joined` are names by the seat that each has.

    A seat is whatever tells one browser, or one person of the house, from another. `fault` says
    what went wrong, `kept` whether the class list took the points.
    """

    code: str
    open_book: OpenBook
    wish: Wish
    task: Task
    phase: Phase = Phase.DRAWING
    exercise: Exercise | None = None
    fault: str = ""
    kept: bool = False
    joined: dict[str, str] = field(default_factory=dict)
    pupils: dict[str, Pupil] = field(default_factory=dict)
    lock: threading.RLock = field(default_factory=threading.RLock)

    def join(self, seat: str, name: str) -> None:
        """Take somebody in, also while the others are at it. Raises DrillError."""
        name = name.strip()
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            raise DrillError(f"a name is 1 to {LONGEST_NAME} letters; write yours")
        with self.lock:
            if self.joined.get(seat) == name:
                return
            if name in self.joined.values() or seat in self.joined:
                raise DrillError(f"'{name}' is another's name here, or you have one; write yours")
            if self.phase in (Phase.CLOSING, Phase.CLOSED, Phase.FAILED):
                raise DrillError("this lesson is over; ask for the code of the next")
            if len(self.joined) >= MOST_PUPILS:
                raise DrillError(f"there are {MOST_PUPILS} in this lesson already")
            self.joined[seat] = name
            if self.phase is Phase.RUNNING:
                self._sit(seat)

    def start(self) -> None:
        """Begin: everybody sees the unit."""
        with self.lock:
            if self.phase is Phase.READY:
                self.phase = Phase.RUNNING
                for seat in self.joined:
                    self._sit(seat)

    def _sit(self, seat: str) -> None:
        assert self.exercise is not None
        run = begin(remembering(self.exercise.reasoner), self.exercise.unit, self.open_book)
        self.pupils[seat] = Pupil(self.joined[seat], run)

    def do(self, pupil: Pupil, deed: str, what: str, turn: int) -> None:
        """Do what an apprentice sent, while the lesson runs. Raises DrillError, CaseError."""
        with pupil.lock:
            if self.phase is Phase.RUNNING:
                pupil.do(deed, what, turn)

    def stop(self) -> bool:
        """Let nobody go on; say whether this was the first time."""
        with self.lock:
            if self.phase is not Phase.RUNNING:
                return False
            self.phase = Phase.CLOSING
            return True

    def reckon(self) -> None:
        """Score everybody, and have their debriefs ready, before anybody sees one."""
        assert self.exercise is not None
        for pupil in self.pupils.values():
            with pupil.lock:
                score = score_run(self.exercise, pupil.run, pupil.said)
                told = Debriefing(self.exercise, pupil.run, pupil.said, score)
                debrief_paper(told)  # what it takes is worked out now, and remembered
                pupil.told = told


@dataclass(slots=True)
class ClassRoom:
    """The lessons of a house. `progress` is the class list, `shelf` has units drawn ahead.

    `spawn` runs what takes long beside the pages, `fault` takes an error that nobody foresaw,
    `ahead` has the next unit of a level drawn.
    """

    progress: Path | None = None
    shelf: Shelf = field(default_factory=lambda: Shelf(None))
    clock: Callable[[], datetime] = lambda: datetime.now(UTC)
    spawn: Callable[[Callable[[], None]], None] = lambda work: _beside(work)
    fault: Callable[[Exception], None] = lambda _: None
    ahead: Callable[[int], None] = lambda _: None
    hours: dict[str, ClassHour] = field(default_factory=dict)
    _last: str = ""
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def tasks(self) -> list[tuple[Task, tuple[str, ...]]]:
        """Return what is assigned in the class list, and to whom. Raises DrillError, TextError."""
        found: dict[Task, list[str]] = {}
        for name, one in sorted(self._people().items()):
            for task in one.assigned:
                found.setdefault(task, []).append(name)
        return [(task, tuple(dict.fromkeys(names))) for task, names in found.items()]

    def _people(self) -> Mapping[str, Apprentice]:
        return read_progress(self.progress) if self.progress and self.progress.exists() else {}

    def open(self, open_book: OpenBook, task: Task, number: int | None = None) -> ClassHour:
        """Open a lesson on a unit of a level, of a chosen chain, or of a number; it is drawn now.

        The number is that of an exercise sheet.
        """
        with self._lock:
            wish = self._wish(task, number)
            code = _code(self.hours)
            hour = self.hours[code] = ClassHour(code, open_book, wish, task)
            over = [one.code for one in self.hours.values() if one.phase is Phase.CLOSED]
            for old in (*over, *self.hours)[: max(0, len(self.hours) - MOST_HOURS)]:
                del self.hours[old]
        self._run(hour, lambda: self._draw(hour))
        return hour

    def _wish(self, task: Task, number: int | None) -> Wish:
        near, seed = (task.chain,) if task.chain else (), secrets.randbelow(SEEDS)
        if number is not None or near:
            return Wish(task.level, seed if number is None else number, near, chosen=bool(near))
        return self.shelf.next(task.level, (), self._last) or Wish(task.level, seed, (), self._last)

    def _draw(self, hour: ClassHour) -> None:
        hour.exercise = self.shelf.exercise(hour.open_book, hour.wish)
        self._last = str(hour.exercise.unit.chains[0].chain)
        hour.phase = Phase.READY

    def close(self, hour: ClassHour) -> None:
        """End a lesson: everybody is scored, and then everybody is told, all at once."""
        if hour.stop():
            self._run(hour, lambda: self._close(hour))

    def _close(self, hour: ClassHour) -> None:
        hour.reckon()
        try:
            for pupil in hour.pupils.values():
                self._keep(hour, pupil)
            hour.kept = self.progress is not None
        except HeadwaterError as error:
            hour.fault = "; ".join(error.lines)
        hour.phase = Phase.CLOSED
        self.ahead(hour.wish.level)

    def _keep(self, hour: ClassHour, pupil: Pupil) -> None:
        """Enter what somebody did; who did nothing is not counted, nor a unit had before."""
        told = pupil.told
        if self.progress is None or told is None or not pupil.took_part:
            return
        progress = open_progress(self.progress, pupil.name)
        record, counted = progress.record, not had_before(progress.record, told)
        record = entered(record, told, self.clock(), served=True)
        if hour.task in record.assigned:
            left = list(record.assigned)
            left.remove(hour.task)
            record = replace(record, assigned=tuple(left))
        progress.keep(record)
        pupil.counted = counted

    def _run(self, hour: ClassHour, work: Callable[[], None]) -> None:
        def safely() -> None:
            try:
                work()
            except HeadwaterError as error:
                hour.fault, hour.phase = "; ".join(error.lines), Phase.FAILED
            except Exception as error:
                hour.phase = Phase.FAILED
                with suppress(Exception):
                    self.fault(error)

        self.spawn(safely)


def _code(taken: Mapping[str, ClassHour]) -> str:
    while True:
        code = "".join(secrets.choice(SIGNS) for _ in range(CODE_LONG))
        if code not in taken:
            return code


def _beside(work: Callable[[], None]) -> None:
    threading.Thread(target=work, daemon=True).start()
