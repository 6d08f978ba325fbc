"""Units drawn ahead: a shelf in the user's cache, so that an exercise begins at once.

A level with two origins may take half a minute to draw. What is kept says how to draw the same unit
again and which looks the planner made, in a form that nobody reads by accident; on an account that
the apprentice owns it is no secret. It goes with the book's digest and the source of what draws.
Whatever is wrong with the file, units are drawn anew: nothing here is a fault of the user's.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import time
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from headwater.book.records import Book
from headwater.drill.exercise import Exercise, Recipe, Wish, draw, draw_again
from headwater.errors import HeadwaterError
from headwater.files import read_bytes
from headwater.session.ask import Purpose
from headwater.session.openbook import OpenBook
from headwater.watched import WatchedFile, make_watched

MOST_TAKEN = 24
"""Units kept that were taken already: whoever left an exercise open goes on with it at once."""
PATIENCE = 2.0
"""Seconds to wait for somebody else who writes to the shelf."""
_ROOMS = ("drill", "simulate")
_NOT_READ = (OSError, HeadwaterError, ValueError, TypeError, KeyError, zlib.error)


@dataclass(frozen=True, slots=True)
class ShelfUnit:
    """A unit on the shelf: how it is drawn, its first chain, and whether it was taken already."""

    recipe: Recipe
    chain: str
    taken: bool = False


@dataclass(frozen=True, slots=True)
class Shelf:
    """The units drawn ahead for one book; `path` None keeps nothing."""

    path: Path | None

    def units(self) -> list[ShelfUnit]:
        """Return what is on the shelf, the oldest first; nothing where it cannot be read."""
        if self.path is not None:
            with suppress(*_NOT_READ):
                return _read(read_bytes(self.path))
        return []

    def ready(self, level: int, near: Sequence[str] = ()) -> int:
        """Return how many units of a level wait; where chains are named, those drawn for them."""
        waiting = (one.recipe.wish for one in self.units() if not one.taken)
        return sum(w.level == level and (not near or bool({*near} & {*w.near})) for w in waiting)

    def next(self, level: int, near: Sequence[str], not_again: str) -> Wish | None:
        """Take a unit of a level off the shelf: one drawn for some chains, else any other.

        It is never one of the chain `not_again`.
        """
        waiting = [
            one
            for one in self.units()
            if not one.taken and one.recipe.wish.level == level and one.chain != not_again
        ]
        wanted = [one for one in waiting if {*near} & {*one.recipe.wish.near, one.chain}]
        chosen = next(iter([*wanted, *waiting]), None)
        if chosen is None or not self._change(chosen, replace(chosen, taken=True)):
            return None
        return chosen.recipe.wish

    def exercise(self, open_book: OpenBook, wish: Wish) -> Exercise:
        """Return the exercise of a wish, from the shelf or drawn now. Raises DrillError."""
        for one in self.units():
            if one.recipe.wish == wish and (found := draw_again(open_book, one.recipe)):
                return found
        return self.stock(open_book, wish, taken=True)

    def stock(self, open_book: OpenBook, wish: Wish, taken: bool = False) -> Exercise:
        """Draw a unit and put it on the shelf. Raises DrillError."""
        exercise, recipe = draw(open_book, wish)
        self._change(None, ShelfUnit(recipe, str(exercise.unit.chains[0].chain), taken))
        return exercise

    def _change(self, old: ShelfUnit | None, new: ShelfUnit) -> bool:
        """Put a unit in the place of another. Return whether it is on disk."""
        if self.path is not None:
            with suppress(*_NOT_READ), closing(_alone(self.path)) as file:
                units = []
                with suppress(*_NOT_READ):  # what is torn or foreign is written over
                    units = _read(file.text)
                if old is None or old in units:  # or somebody else has just taken it
                    file.replace(_text([*(one for one in units if one != old), new]))
                    return True
        return False


def shelf_for(folder: Path | None, book: Book) -> Shelf:
    """Return the shelf of a book in a folder; None for `folder`: there is none."""
    with suppress(OSError):
        if folder is not None:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            return Shelf(folder / f"lessons-{_key(book)}.txt")
    return Shelf(None)


@contextmanager
def drawing_alone(shelf: Shelf) -> Iterator[bool]:
    """Say whether nobody else draws units for a shelf; as long as this lasts nobody else will."""
    if shelf.path is None:
        yield False
        return
    try:
        file = _alone(shelf.path.with_suffix(".drawing"), wait=False)
    except (OSError, HeadwaterError):
        yield False
        return
    with closing(file):
        yield True


def _key(book: Book) -> str:
    total = hashlib.blake2b(book.digest.encode(), digest_size=12)
    package = Path(__file__).parent.parent
    for room in _ROOMS:
        for source in sorted((package / room).glob("*.py")):
            total.update(source.read_bytes())
    return total.hexdigest()


def _alone(path: Path, wait: bool = True) -> WatchedFile:
    """Open the file once nobody else has it, and make it first. Raises OSError, HeadwaterError."""
    if not os.path.lexists(path):
        with suppress(HeadwaterError):  # somebody else made it first
            make_watched(path, "\n")
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return WatchedFile(path)
        except BlockingIOError:
            if not wait or time.monotonic() > until:
                raise
        time.sleep(0.02)


def _text(units: Sequence[ShelfUnit]) -> str:
    waiting = [one for one in units if not one.taken]
    taken = [one for one in units if one.taken][-MOST_TAKEN:]
    data = zlib.compress(json.dumps([asdict(one) for one in (*taken, *waiting)]).encode())
    return f"{_sum(data)}\n{base64.b85encode(data).decode()}\n"


def _read(raw: bytes) -> list[ShelfUnit]:
    """Return the units of a file. Raises one of `_NOT_READ`."""
    told, _, body = raw.decode().partition("\n")
    data = base64.b85decode(body.strip())
    if told != _sum(data):
        raise ValueError("the sum is not right")
    return [_unit(one) for one in json.loads(zlib.decompress(data))]


def _unit(told: Mapping[str, Any]) -> ShelfUnit:
    recipe = told["recipe"]
    wish, looks = recipe["wish"], recipe["looks"]
    near = tuple(map(str, wish["near"]))
    return ShelfUnit(
        Recipe(
            Wish(
                int(wish["level"]),
                int(wish["seed"]),
                near,
                str(wish["not_again"]),
                bool(wish["chosen"]),
            ),
            int(recipe["turn"]),
            int(recipe["draw"]),
            tuple((str(check), Purpose(purpose)) for check, purpose in looks),
        ),
        str(told["chain"]),
        bool(told["taken"]),
    )


def _sum(data: bytes) -> str:
    return hashlib.blake2b(data, digest_size=16).hexdigest()
