"""What comes at a seat now, and what the last answer changed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Turn(StrEnum):
    """What comes now: the first words, what was understood, one of the questions, or the end."""

    WORDS = "words"
    TICKS = "ticks"
    EARLIER = "earlier"
    UNCLEAR = "unclear"
    UNIT = "unit"
    QUESTION = "question"
    END = "end"


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer that was just given, with the parts held and released before it."""

    check: str
    held: frozenset[str]
    released: frozenset[str]
