"""A book that no test changes is loaded once in a process, its reasoners and its index made once.

Loading and making ready are the dearest steps of a command, and most tests are about something
else; they are tested on small books, which are loaded anew, and by commands run as processes.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from pathlib import Path

from headwater.book import load
from headwater.book.records import Book, Family
from headwater.hearing import index
from headwater.hearing.index import Index
from headwater.verdict import assess
from headwater.verdict.assess import Reasoner

ROOT = Path(__file__).resolve().parent.parent
UNCHANGED = (ROOT / "knowledge", ROOT / "tests" / "frozen")
REASONERS = 8
"""How many reasoners are kept, the latest ones: each holds some megabytes."""

_load, _build, _listen = load.load_book, assess.build_reasoner, index.build_index
_kept: dict[int, Book] = {}


def keep() -> None:
    """Let every module that is imported from now on load and build once."""
    load.load_book = load_once
    assess.build_reasoner = build_once
    index.build_index = index_once


def load_once(folders: Iterable[Path], samples: bool = False) -> Book:
    """Return a book as `load_book` does; one of unchanged packs alone is the same each time."""
    asked = tuple(folders)
    unchanged = all(any(f.is_relative_to(home) for home in UNCHANGED) for f in asked)
    return _book(asked, samples) if asked and unchanged else _load(asked, samples)


def build_once(book: Book, family: Family) -> Reasoner:
    """Return a reasoner as `build_reasoner` does; one of a kept book is the same each time."""
    if _kept.get(id(book)) is not book:
        return _build(book, family)
    return _reasoner(id(book), tuple(sorted(family.items())))


def index_once(book: Book) -> Index:
    """Return a book made ready for listening as `build_index` does; of a kept book once."""
    return _index(id(book)) if _kept.get(id(book)) is book else _listen(book)


@cache
def _book(folders: tuple[Path, ...], samples: bool) -> Book:
    book = _load(folders, samples)
    _kept[id(book)] = book
    return book


@lru_cache(maxsize=REASONERS)
def _reasoner(book: int, family: tuple[tuple[str, str], ...]) -> Reasoner:
    return _build(_kept[book], dict(family))


@cache
def _index(book: int) -> Index:
    return _listen(_kept[book])
