"""The list of what was understood at a prompt: its rows, and how they are named by number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from headwater.hearing.denials import Denied
from headwater.hearing.understand import Understood


def numbers_of(typed: str) -> list[int]:
    """Return the numbers of a line that says nothing else: '3', '3 5' or '3, 5 and 7'; else none.

    >>> numbers_of("3, 5 and 7"), numbers_of("3 doors"), numbers_of("")
    ([3, 5, 7], [], [])
    """
    words = typed.replace(",", " ").replace(" and ", " ").split()
    if not all(word.isascii() and word.isdecimal() and len(word) < 4 for word in words):
        return []
    return [int(word) for word in words]


def longest(pieces: Iterable[str]) -> tuple[str, ...]:
    """Return pieces of what was said, each once, without those that are within another.

    >>> longest(["seal leaks", "front seal leaks", "whines"])
    ('front seal leaks', 'whines')
    """
    words = {piece: set(piece.split()) for piece in pieces}
    return tuple(one for one, own in words.items() if not any(own < o for o in words.values()))


def signs_by_number(typed: str, signs: Sequence[str]) -> tuple[str, ...]:
    """Return the signs of a list that are named by number from 1, all of them or none."""
    numbers = numbers_of(typed)
    known = all(1 <= number <= len(signs) for number in numbers)
    return tuple(signs[number - 1] for number in numbers) if known else ()


@dataclass(slots=True)
class Item:
    """One thing that was understood, and whether it is taken as said."""

    one: Understood
    ticked: bool


@dataclass(slots=True)
class Aside:
    """A trouble outside the driveline that was heard, by id, and whether it is taken as said."""

    id: str
    ticked: bool


@dataclass(slots=True)
class Denial:
    """What was said not to be so, and whether it is heard rightly."""

    one: Denied
    ticked: bool = True


Row = Item | Aside | Denial
