"""Fixtures shared by all rooms: the shipped book and one reasoner of it, built once."""

from __future__ import annotations

from pathlib import Path

import pytest

from headwater.book.load import Book, load_book
from headwater.verdict.assess import Reasoner, build_reasoner

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def book() -> Book:
    """The shipped transfer-case book with its sample cases."""
    return load_book([ROOT / "knowledge" / "transfer-case"], samples=True)


@pytest.fixture(scope="session")
def reasoner(book: Book) -> Reasoner:
    """A reasoner of the shipped book for the family its examples assume."""
    return build_reasoner(book, book.family)
