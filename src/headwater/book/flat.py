"""A book as plain data and back: numbers, texts and lists of them, so that reading runs no code.

Every value of a book gets a number. A value is told by its kind and by the numbers of what it is
made of, and all values of one kind and depth stand together in columns, so that they are built
column by column and not one by one. What is shared stays shared. Only the kinds named here can be
read back, whatever the data say.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, is_dataclass
from enum import Enum
from itertools import chain, islice, repeat
from operator import attrgetter
from types import ModuleType
from typing import Any

from headwater import yamltext
from headwater.book import chances, files, model, records, spoken, tables, things
from headwater.book.model import Remedies
from headwater.book.records import Book
from headwater.book.seal import unseal
from headwater.book.shape import Ref
from headwater.errors import Place
from headwater.yamltext import Value

NO_BOOK = (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)
"""What `restore` raises on data that were damaged."""

Columns = list[list[int]]
Known = Callable[[int], Any]
Groups = dict[tuple[int, str], dict[int, list[int]]]
"""(depth, kind) -> the values of that kind by code, each with what it is made of."""


def flatten(book: Book) -> dict[str, Any]:
    """Return a book as data that JSON can hold. Raises TypeError on a value of no known kind."""
    pile = _Pile()
    root = pile.add(book)
    ordered = sorted(pile.groups.items())
    codes = chain.from_iterable(made for _, made in ordered)
    number = {code: n for n, code in enumerate(codes, len(pile.plain))}
    number |= {n: n for n in range(len(pile.plain))}
    groups = [
        [kind, len(made), _columns(kind, made.values(), number.__getitem__)]
        for (_, kind), made in ordered
    ]
    return {"plain": pile.plain, "groups": groups, "root": number[root]}


def restore(data: dict[str, Any]) -> Book:
    """Return the book that `flatten` made plain. Data of no book raise one of `NO_BOOK`."""
    known = list(data["plain"])
    for kind, count, columns in data["groups"]:
        known += _builder(kind)(known.__getitem__, count, columns)
    book = known[data["root"]]
    if not isinstance(book, Book):
        raise TypeError("no book")
    return book


class _Pile:
    """The values met so far. A plain one is its own number, another has a code below nought."""

    def __init__(self) -> None:
        """Start with nothing."""
        self.plain: list[Any] = []
        self.groups: Groups = {}
        self._numbers: dict[tuple[type, Any], int] = {}
        self._codes: dict[int, int] = {}
        self._depths: list[int] = []

    def add(self, value: Any) -> int:
        """Add a value with all that it is made of; return its number or code."""
        cls = type(value)
        if cls in _PLAIN:
            return self._plain(cls, value)
        code = self._codes.get(id(value))  # what is in the book lives as long as this
        return self._made(cls, value) if code is None else code

    def _plain(self, cls: type, value: Any) -> int:
        number = self._numbers.setdefault(
            (cls, repr(value) if cls is float else value), len(self.plain)
        )
        if number == len(self.plain):
            self.plain.append(value)
        return number

    def _made(self, cls: type, value: Any) -> int:
        if cls not in _PARTS:
            raise TypeError(f"{cls.__name__} has no place in a book")
        parts = list(map(self.add, _PARTS[cls](value)))
        depth = 1 + max((self._depths[~part] for part in parts if part < 0), default=0)
        code = self._codes[id(value)] = ~len(self._depths)
        self._depths.append(depth)
        self.groups.setdefault((depth, cls.__name__), {})[code] = parts
        return code


def _columns(kind: str, made: Iterable[list[int]], number: Callable[[int], int]) -> Columns:
    if kind in _SIZED:
        return [list(map(len, made)), list(map(number, chain.from_iterable(made)))]
    return [list(map(number, column)) for column in zip(*made, strict=True)]


def _builder(kind: str) -> Callable[[Known, int, Columns], Iterable[Any]]:
    """Return what builds the values of a kind. Raises KeyError for a kind that is not known."""
    if kind in _RECORDS:
        return lambda known, count, columns: _records(_RECORDS[kind], known, count, columns)
    if kind == "Ref":
        return lambda known, _, columns: _refs(known, *columns)
    if kind in _SIZED:
        return lambda known, _, columns: _sized(_SIZED[kind], known, *columns)
    if kind in _TUPLES:
        return lambda known, _, columns: _tuples(_TUPLES[kind], known, columns)
    return lambda known, _, columns: map(_WRAPPED[kind], map(known, columns[0]))


def _fill(cls: type, name: str, made: list[Any], values: Iterable[Any]) -> None:
    """Set one slot of many values at once, frozen or not."""
    deque(map(getattr(cls, name).__set__, made, values), maxlen=0)


def _records(cls: type, known: Known, count: int, columns: Columns) -> list[Any]:
    made: list[Any] = [object.__new__(cls) for _ in range(count)]
    for field, column in zip(fields(cls), columns, strict=True):
        _fill(cls, field.name, made, map(known, column))
    return made


def _refs(known: Known, texts: list[int], places: list[int]) -> list[Ref]:
    made: list[Ref] = list(map(str.__new__, repeat(Ref), map(known, texts)))
    _fill(Ref, "place", made, map(known, places))
    return made


def _sized(
    make: Callable[[list[Any]], Any], known: Known, sizes: list[int], column: list[int]
) -> Iterator[Any]:
    values = map(known, column)
    return (make(list(islice(values, size))) for size in sizes)


def _tuples(cls: type, known: Known, columns: Columns) -> Iterator[Any]:
    rows = zip(*(map(known, column) for column in columns), strict=True)
    return map(tuple.__new__, repeat(cls), rows)


def _dict(parts: list[Any]) -> dict[Any, Any]:
    half = len(parts) // 2
    return dict(zip(parts[:half], parts[half:], strict=True))


def _own(wanted: Callable[[type], bool], *modules: ModuleType) -> dict[str, type]:
    """Return the classes of some kind that modules define, by name."""
    return {
        name: item
        for module in modules
        for name, item in vars(module).items()
        if isinstance(item, type) and item.__module__ == module.__name__ and wanted(item)
    }


def _parts_of(cls: type) -> Callable[[Any], Iterable[Any]]:
    """Return what takes a record of a class apart, field by field."""
    names = [field.name for field in fields(cls)]
    return attrgetter(*names) if len(names) > 1 else lambda value: (getattr(value, names[0]),)


_PLAIN = frozenset({str, int, float, bool, type(None)})
_RECORDS = _own(is_dataclass, chances, files, model, records, spoken, things, yamltext)
_TUPLES: dict[str, type] = {"Place": Place, "Value": Value}
_ENUMS = _own(lambda cls: issubclass(cls, Enum), tables)
_WRAPPED: dict[str, Callable[[Any], Any]] = {**_ENUMS, "Remedies": Remedies}
"""Kinds that are made of one other value."""
_SIZED: dict[str, Callable[[list[Any]], Any]] = {
    "tuple": tuple,
    "list": list,
    "set": set,
    "dict": _dict,
}
"""Kinds that hold any number of values, and what makes one of them."""
_PARTS: dict[type, Callable[[Any], Iterable[Any]]] = {
    **{cls: _parts_of(cls) for cls in _RECORDS.values()},
    **dict.fromkeys((tuple, list, *_TUPLES.values()), tuple),
    **{cls: lambda word: (word.value,) for cls in _ENUMS.values()},
    Ref: lambda ref: (str(ref), ref.place),
    Remedies: lambda sealed: (unseal(sealed),),
    dict: lambda table: (*table, *table.values()),
    set: sorted,
}
"""Kind of value -> what takes one apart."""
