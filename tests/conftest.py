"""Fixtures shared by all rooms: the shipped book and one reasoner of it, built once."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.verdict.assess import Reasoner, build_reasoner

ROOT = Path(__file__).resolve().parent.parent

# No test writes into the cache of whoever runs it; those of the cache name a folder of their own.
os.environ["HEADWATER_CACHE"] = "off"


@pytest.fixture(scope="session")
def book() -> Book:
    """The shipped transfer-case book with its sample cases."""
    return load_book([ROOT / "knowledge" / "transfer-case"], samples=True)


@pytest.fixture(scope="session")
def reasoner(book: Book) -> Reasoner:
    """A reasoner of the shipped book for the family its examples assume."""
    return build_reasoner(book, book.family)


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a screen with a readable text file in `goldens/` beside the test.

    HEADWATER_REFRESH=1 writes it anew: read the difference before you commit it.
    """
    folder = Path(str(request.path)).parent / "goldens"

    def compare(name: str, shown: str) -> None:
        path = folder / f"{name}.txt"
        text = "\n".join(line.rstrip() for line in shown.splitlines()) + "\n"
        if os.environ.get("HEADWATER_REFRESH"):
            folder.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.read_text(encoding="utf-8") == text

    return compare
