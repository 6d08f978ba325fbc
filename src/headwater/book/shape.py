"""Reads located YAML into the records of the model, driven by their annotations.

One mechanism serves the loader (values with the place of every reference, all faults of a file at
once) and the JSON Schemas that let an editor complete the YAML, so the two cannot drift apart.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable
from contextlib import suppress
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin, get_type_hints

from headwater.book.problem import Problem, nearest
from headwater.errors import HeadwaterError, Place, enough, refuse_all
from headwater.yamltext import Table, Value

T = TypeVar("T")

KEBAB = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")


class Ref(str):
    """An id written in a file, with the place where it was written."""

    place: Place
    __slots__ = ("place",)

    def __new__(cls, text: str, place: Place | None = None) -> Ref:
        """Make a reference; without a place it was made by the program."""
        ref = super().__new__(cls, text)
        ref.place = place or Place("(program)")
        return ref


class Named(Ref):
    """A thing of the book as a person names it, by id or in words, with the place."""

    __slots__ = ()


class Kind(str):
    """Marks the kind of record that a reference names, as in `Annotated[Ref, Kind("part")]`."""


class EnoughFaultsError(Exception):
    """So many faults were met in a file that the rest of it is not read."""


class Reader:
    """Collects the faults met while files are read."""

    def __init__(self, *, to_the_end: bool = True) -> None:
        """Start with no faults; unless `to_the_end`, EnoughFaultsError ends the reading of many."""
        self.problems: list[Problem] = []
        self.to_the_end = to_the_end

    def fault(self, place: Place, message: str) -> None:
        """Note an error at a place."""
        self.problems.append(Problem(place, "error", "form", message))
        if enough(self.problems) and not self.to_the_end:
            raise EnoughFaultsError

    def read(self, hint: Any, value: Value) -> Any:
        """Return the value as the annotated type, or None after noting a fault."""
        return reader_for(hint)(self, value)

    def record(self, cls: type, value: Value, **known: Any) -> Any:
        """Return a record of the model; `known` fills fields that do not stand in the mapping."""
        return _read_record(self, cls, value, known)


ReadValue = Callable[[Reader, Value], Any]


@cache
def hints_of(cls: type) -> dict[str, Any]:
    """Return the resolved annotations of a record."""
    return get_type_hints(cls, include_extras=True)


def key_of(field: Field[Any]) -> str:
    """Return the YAML key of a field: `rules_out` is written `rules-out`."""
    return field.name.rstrip("_").replace("_", "-")


@cache
def record_fields(cls: type) -> dict[str, Field[Any]]:
    """Return the fields that an author writes, by YAML key."""
    return {key_of(f): f for f in fields(cls) if "given" not in f.metadata}


def required(field: Field[Any]) -> bool:
    """Say whether an author must write this field."""
    return field.default is MISSING and field.default_factory is MISSING


@cache
def reader_for(hint: Any) -> ReadValue:
    """Return the function that reads one annotated type."""
    if hint in _SCALARS:
        return _SCALARS[hint]
    if hasattr(hint, "read_yaml"):
        custom: ReadValue = hint.read_yaml
        return custom
    origin = get_origin(hint)
    if origin is Annotated:
        return reader_for(get_args(hint)[0])
    if origin in (Union, types.UnionType):
        inner = [arg for arg in get_args(hint) if arg is not type(None)]
        return _optional(reader_for(inner[0]))
    if origin is tuple:
        return _sequence(reader_for(get_args(hint)[0]))
    if origin is dict:
        key, item = get_args(hint)
        return _mapping(_base(key) is Ref, reader_for(item))
    if is_dataclass(hint) and isinstance(hint, type):
        return lambda reader, value: _read_record(reader, hint, value, {})
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return _enum(hint)
    raise TypeError(f"no reader for {hint!r}")


def _base(hint: Any) -> Any:
    return get_args(hint)[0] if get_origin(hint) is Annotated else hint


def _optional(read: ReadValue) -> ReadValue:
    return lambda reader, value: None if value.data is None else read(reader, value)


def _sequence(read: ReadValue) -> ReadValue:
    def sequence(reader: Reader, value: Value) -> tuple[Any, ...]:
        if value.data is None:
            return ()
        items = value.data if isinstance(value.data, tuple) else (value,)
        found = [read(reader, item) for item in items]
        return tuple(item for item in found if item is not None)

    return sequence


def _mapping(keys_are_refs: bool, read: ReadValue) -> ReadValue:
    def mapping(reader: Reader, value: Value) -> dict[str, Any]:
        if value.data is None:
            return {}
        if not isinstance(value.data, Table):
            reader.fault(value.place, "expected 'key: value' lines here")
            return {}
        out: dict[str, Any] = {}
        for key, place, item in value.data:
            found = read(reader, item)
            if found is not None:
                out[Ref(key, place) if keys_are_refs else key] = found
        return out

    return mapping


def _enum(cls: type[StrEnum]) -> ReadValue:
    words = [member.value for member in cls]

    def word(reader: Reader, value: Value) -> StrEnum | None:
        if isinstance(value.data, str) and value.data in words:
            return cls(value.data)
        if value.data is None:
            reader.fault(value.place, f"this is empty; write one of {', '.join(words)}")
            return None
        got = str(value.data) if isinstance(value.data, (str, int, float)) else "something else"
        reader.fault(value.place, f"'{got}' is not one of {', '.join(words)}{nearest(got, words)}")
        return None

    return word


def _text(reader: Reader, value: Value) -> str | None:
    if isinstance(value.data, str):
        return " ".join(value.data.split())
    what = "nothing" if value.data is None else "text"
    mend = "is empty; write it or delete the key" if what == "nothing" else "must be text"
    hint = "; put it in quotes" if isinstance(value.data, (int, float, bool)) else ""
    reader.fault(value.place, f"this {mend}{hint}")
    return None


def _ref(reader: Reader, value: Value) -> Ref | None:
    text = _text(reader, value)
    return None if text is None else Ref(text, value.place)


def _named(reader: Reader, value: Value) -> Named | None:
    text = _text(reader, value)
    return None if text is None else Named(text, value.place)


def _number(reader: Reader, value: Value) -> float | None:
    if isinstance(value.data, (int, float)) and not isinstance(value.data, bool):
        return float(value.data)
    mend = "this is empty; write a number" if value.data is None else "a number is expected here"
    reader.fault(value.place, mend)
    return None


def _whole(reader: Reader, value: Value) -> int | None:
    if isinstance(value.data, int) and not isinstance(value.data, bool):
        return value.data
    reader.fault(value.place, "a whole number is expected here")
    return None


def _truth(reader: Reader, value: Value) -> bool | None:
    if isinstance(value.data, bool):
        return value.data
    reader.fault(value.place, "write true or false here")
    return None


def _day(reader: Reader, value: Value) -> date | None:
    typed = str(value.data) if isinstance(value.data, (str, int, float)) else "this"
    with suppress(ValueError):
        if str(found := date.fromisoformat(typed)) == typed:  # no other way that ISO 8601 knows
            return found
    reader.fault(value.place, f"'{typed}' is no day; write year, month and day as 2026-03-02")
    return None


def _raw(_reader: Reader, value: Value) -> Value:
    return value


_SCALARS: dict[Any, ReadValue] = {
    str: _text,
    Ref: _ref,
    Named: _named,
    float: _number,
    int: _whole,
    bool: _truth,
    date: _day,
    Value: _raw,
}


def _called(cls: type) -> str:
    """Return what an author calls a record: its own `called`, or the name of its class."""
    found: str = getattr(cls, "called", cls.__name__.lower())
    return found


def _a(cls: type) -> str:
    name = _called(cls)
    return f"an {name}" if name[0] in "aeio" else f"a {name}"


def _read_record(reader: Reader, cls: type, value: Value, known: dict[str, Any]) -> Any:
    if not isinstance(value.data, Table):
        reader.fault(value.place, f"expected the lines of {_a(cls)} here")
        return None
    hints = hints_of(cls)
    allowed = record_fields(cls)
    got: dict[str, Any] = dict(known)
    sound = True
    for key, place, item in value.data:
        if key not in allowed:
            reader.fault(place, f"{_a(cls)} has no '{key}'{nearest(key, allowed)}")
            sound = False
            continue
        found = reader_for(hints[allowed[key].name])(reader, item)
        if found is not None:
            got[allowed[key].name] = found
    for key, field in allowed.items():
        if required(field) and field.name not in got:
            if key not in value.data.entries:
                reader.fault(value.place, _missing(cls, key, field))
            sound = False
    if "place" in hints and "place" not in got:
        got["place"] = value.place
    return cls(**got) if sound else None


def _missing(cls: type, key: str, field: Field[Any]) -> str:
    note = field.metadata.get("doc")
    return f"'{key}' is missing in this {_called(cls)}{f': {note}' if note else ''}"


def read_whole(cls: type[T], tree: Value, fault: type[HeadwaterError]) -> T:
    """Return the record in a tree; raises `fault` with every problem of it, in order of place."""
    found, reader = None, Reader(to_the_end=False)
    with suppress(EnoughFaultsError):
        found = reader.record(cls, tree)
    refuse_all([fault(problem.message, problem.place) for problem in sorted(reader.problems)])
    assert isinstance(found, cls)
    return found


def schema_for(hint: Any) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of one annotated type."""
    if hint in _SCHEMAS:
        return dict(_SCHEMAS[hint])
    if hasattr(hint, "schema_yaml"):
        found: dict[str, Any] = hint.schema_yaml()
        return found
    origin = get_origin(hint)
    if origin is Annotated:
        return schema_for(get_args(hint)[0])
    if origin in (Union, types.UnionType):
        inner = [arg for arg in get_args(hint) if arg is not type(None)]
        return schema_for(inner[0])
    if origin is tuple:
        item = schema_for(get_args(hint)[0])
        return {"anyOf": [{"type": "array", "items": item}, item]}
    if origin is dict:
        return {"type": "object", "additionalProperties": schema_for(get_args(hint)[1])}
    if is_dataclass(hint) and isinstance(hint, type):
        return record_schema(hint)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return {"enum": [member.value for member in hint]}
    raise TypeError(f"no schema for {hint!r}")


_SCHEMAS: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    Ref: {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$"},
    Named: {"type": "string"},
    float: {"type": "number"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    date: {"type": "string", "format": "date"},
    Value: {},
}


def record_schema(cls: type) -> dict[str, Any]:
    """Return the JSON Schema of a record, with the field notes as descriptions."""
    hints = hints_of(cls)
    properties: dict[str, Any] = {}
    for key, field in record_fields(cls).items():
        properties[key] = schema_for(hints[field.name])
        if note := field.metadata.get("doc"):
            properties[key] = {"description": note, **properties[key]}
    needed = [key for key, field in record_fields(cls).items() if required(field)]
    schema: dict[str, Any] = {"type": "object", "properties": properties}
    if needed:
        schema["required"] = needed
    return schema | {"additionalProperties": False}
