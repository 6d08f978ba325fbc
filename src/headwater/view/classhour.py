"""A lesson with a class as pages lay it out: an apprentice's one question, the trainer's table."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.view.choice import Choice
from headwater.view.paper import Paper


@dataclass(frozen=True, slots=True)
class PupilPage:
    """What an apprentice is asked now. `deed` is what a choice does, `turn` belongs to it.

    `told` is the look just made, or a hint; `picked` what was named so far, `searched` says that
    choices are found by words. `onward` are what else can be done, each with its deed.
    """

    doing: str
    turn: int
    ask: str
    spent: str
    unit: Paper
    told: Paper | None
    deed: str
    searched: bool
    nothing: str
    choices: tuple[Choice, ...]
    picked: tuple[Choice, ...]
    onward: tuple[tuple[str, Choice], ...]


@dataclass(frozen=True, slots=True)
class HourRow:
    """An apprentice in the trainer's table, in words; `number` leads to the debrief."""

    number: int
    name: str
    where: str
    spent: str
    points: str
    mistakes: str


@dataclass(frozen=True, slots=True)
class HourPage:
    """A lesson in the trainer's eyes; `told` says how far it is, and what went wrong."""

    code: str
    what: str
    phase: str
    told: tuple[str, ...]
    rows: tuple[HourRow, ...]


@dataclass(frozen=True, slots=True)
class RoomPage:
    """All lessons, and what a new one may be: levels, and tasks of the class list."""

    hours: tuple[HourPage, ...]
    levels: tuple[Choice, ...]
    tasks: tuple[Choice, ...]
    told: tuple[str, ...]
