"""What an attack is. A module of attacks ends in a tuple `ATTACKS`; `run.py` names the modules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an attack: how often it ran, and a line for each failure."""

    runs: int
    failures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Attack:
    """An attack: `strike` is given its dice, how many runs are wanted, and an empty folder.

    `small` and `night` are the runs of the two sizes; a strike may make a few more or fewer.
    """

    name: str
    strike: Callable[[Random, int, Path], Outcome]
    small: int
    night: int
