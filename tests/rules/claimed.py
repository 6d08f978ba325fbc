"""What answers claim, for tests of the rules alone: belief is left out, and doubts no claim."""

from __future__ import annotations

from collections.abc import Iterable

from headwater.book.records import Book
from headwater.measure.answer import Judged
from headwater.rules.evidence import Evidence, settle, weigh


def claimed(book: Book, findings: Iterable[Judged]) -> Evidence:
    """Return the evidence of findings whose every decisive claim is believed."""
    return settle(book, weigh(book, findings), lambda _: 1.0)
