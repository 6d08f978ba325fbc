"""Every id that a record names, found by the record's annotations, and whether it resolves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Annotated, Any, get_args, get_origin

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.seal import Sealed, unseal
from headwater.book.shape import Kind, Ref, hints_of
from headwater.errors import Place
from headwater.yamltext import Value

TABLES = {
    "condition": "conditions",
    "part": "parts",
    "check": "checks",
    "limit": "limits",
    "removal": "removals",
    "caution": "cautions",
    "source": "sources",
    "gauge": "gauges",
    "reason": "reasons",
    "mode": "modes",
    "conflict": "conflicts",
    "emergency": "emergencies",
    "trouble": "elsewhere",
    "want": "wanted",
    "term": "terms",
    "concept": "concepts",
    "hint": "hints",
    "talk": "talk",
    "figure": "figures",
}
"""Kind of record -> its table in the book."""


def records_of(book: Book) -> Iterator[Any]:
    """Yield every record of the book, the cases beside the chains too."""
    for kind in (*TABLES.values(), "chains"):
        yield from book.table(kind).values()
    for samples in book.samples.values():
        yield from samples


def refs_of(record: Any) -> Iterator[tuple[str, Ref]]:
    """Yield (kind, reference) for every reference in a record."""
    cls: type = type(record)
    for name, hint in _naming_fields(cls):
        yield from _refs(getattr(record, name), hint)


@cache
def _naming_fields(cls: type) -> tuple[tuple[str, Any], ...]:
    """Return the fields of a record that can hold a reference, with their annotations."""
    hints = hints_of(cls)
    return tuple((f.name, hints[f.name]) for f in fields(cls) if _may_name(hints[f.name]))


@cache
def _may_name(hint: Any) -> bool:
    if get_origin(hint) is Annotated:
        return any(isinstance(mark, Kind) for mark in get_args(hint)[1:])
    if isinstance(hint, type) and issubclass(hint, Sealed):
        return True
    if isinstance(hint, type) and is_dataclass(hint) and hint is not Value:
        return bool(_naming_fields(hint))
    return any(_may_name(arg) for arg in get_args(hint))


def _refs(value: Any, hint: Any) -> Iterator[tuple[str, Ref]]:
    if value is None or not _may_name(hint):
        return
    if get_origin(hint) is Annotated:
        kinds = [mark for mark in get_args(hint)[1:] if isinstance(mark, Kind)]
        if kinds and isinstance(value, Ref):
            yield str(kinds[0]), value
        return
    args = get_args(hint)
    if isinstance(value, Sealed):
        for item in unseal(value):
            yield from refs_of(item)
    elif is_dataclass(value):
        yield from refs_of(value)
    elif isinstance(value, tuple):
        for item in value:
            yield from _refs(item, args[0])
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _refs(key, args[0])
            yield from _refs(item, args[1])
    elif args:
        yield from _refs(value, next(arg for arg in args if _may_name(arg)))


def ids_resolve(book: Book) -> Iterator[tuple[Place, str]]:
    """Every id that is written names a record, by the id that it has now."""
    for record in records_of(book):
        for kind, ref in refs_of(record):
            table = book.table(TABLES[kind])
            if ref in table:
                continue
            now = book.aliases.get(ref)
            renamed = f"; it is called '{now}' now" if now in table else nearest(ref, table)
            yield ref.place, f"there is no {kind} '{ref}'{renamed}"
