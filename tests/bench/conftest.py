"""Sessions share one open book: loading and compiling are tested elsewhere."""

from __future__ import annotations

import pytest

from headwater.book.records import Book
from headwater.session.openbook import OpenBook


@pytest.fixture(scope="session")
def opened(book: Book) -> OpenBook:
    return OpenBook(book)


@pytest.fixture(autouse=True)
def shared_book(opened: OpenBook, monkeypatch: pytest.MonkeyPatch) -> None:
    def load(*_args: object) -> OpenBook:
        return opened

    monkeypatch.setattr("headwater.cli.bench.book_of", load)
