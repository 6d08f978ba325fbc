"""Sessions share one loaded book and one reasoner for each family: loading is tested elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from headwater.book.records import Book
from headwater.verdict.assess import Reasoner, build_reasoner

_KEPT: dict[tuple[tuple[str, str], ...], Reasoner] = {}


@pytest.fixture(autouse=True)
def shared_book(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    def build(known: Book, family: Mapping[str, str]) -> Reasoner:
        key = tuple(sorted(family.items()))
        if key not in _KEPT:
            _KEPT[key] = build_reasoner(known, family)
        return _KEPT[key]

    def load(*_args: object) -> Book:
        return book

    patches: dict[str, Callable[..., object]] = {
        "headwater.cli.bench.book_of": load,
        "headwater.session.inquiry.build_reasoner": build,
    }
    for name, stand_in in patches.items():
        monkeypatch.setattr(name, stand_in)
