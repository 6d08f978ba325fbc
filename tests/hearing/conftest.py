"""The whole shipped book, and what is heard by it."""

from __future__ import annotations

import pytest
from once import ROOT, load_once

from headwater.book.records import Book
from headwater.hearing.index import Index, build_index

PACKS = [path.parent for path in sorted((ROOT / "knowledge").glob("*/pack.yaml"))]


@pytest.fixture(scope="module")
def book() -> Book:
    return load_once(PACKS)


@pytest.fixture(scope="module")
def index(book: Book) -> Index:
    return build_index(book)
