"""Which condition is meant by an id, a title or plain words."""

from __future__ import annotations

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.case.read import CaseError
from headwater.session.openbook import OpenBook

NAMED_AT_MOST = 6


def find_condition(open_book: OpenBook, words: str, within: Book | None = None) -> str:
    """Return the condition that an id, a title or plain words mean.

    With `within`, only one of that book. Raises CaseError with the nearest ones.
    """
    book = within or open_book.book
    plain = " ".join(words.lower().split())
    titles = {record.title.lower(): str(cid) for cid, record in book.conditions.items()}
    for known in (words, book.aliases.get(words), titles.get(plain)):
        if known in book.conditions:
            return str(known)
    if "-" in words and " " not in words:  # an id, spelled wrong
        raise CaseError(f"there is no condition '{words}'{nearest(words, book.conditions)}")
    from headwater.hearing.search import search_conditions
    from headwater.hearing.understand import understand

    sure = [one.id for one in understand(open_book.index, words, book).ticked]
    hits = [cid for cid in sure if cid in book.conditions]
    if len(hits) != 1:
        hits = search_conditions(open_book.index, words, book.conditions)
    if len(hits) == 1:
        return hits[0]
    if hits:
        raise CaseError(f"'{words}' may mean {', '.join(hits[:NAMED_AT_MOST])}; name one")
    mend = nearest(words, book.conditions) or "; try other words for it"
    raise CaseError(f"there is no condition '{words}'{mend}")


def find_in_book(open_book: OpenBook, words: str) -> tuple[tuple[str, str], ...]:
    """Return (kind, id) of the conditions and the checks of a book that fit some words."""
    from headwater.hearing.search import search_checks, search_conditions

    book, index = open_book.book, open_book.index
    conditions = search_conditions(index, words, book.conditions)
    checks = search_checks(index, book, words, book.checks)
    return (*(("conditions", c) for c in conditions), *(("checks", c) for c in checks))
