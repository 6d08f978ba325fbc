"""YAML as a strict, located tree; the only module that imports yaml.

PyYAML's defaults hurt authors (`no` becomes False, `010` becomes 8, the second of two equal keys
silently wins), so the library only splits the text into events and the values are built here: plain
scalars are numbers, true, false or null in their plainest spelling and text otherwise. Anchors,
aliases, tags and several documents are refused; size and depth are capped.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from headwater.errors import HeadwaterError, Place
from headwater.files import MAX_BYTES, ReadError, read_bytes

MAX_DEPTH = 24

_INTEGER = re.compile(r"(0|[-+]?[1-9][0-9]{0,17})\Z")  # "-0" is text: the head of "-0,15 mm"
_DECIMAL = re.compile(r"[-+]?(0|[1-9][0-9]*)\.[0-9]+([eE][-+]?[0-9]{1,3})?\Z")
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None, "": None}

Scalar = str | int | float | bool | None


class TextError(HeadwaterError):
    """The text is not the YAML that Headwater reads."""


class Value(NamedTuple):
    """One YAML value and where it stands: a scalar, a tuple of values, or a `Table`."""

    data: Scalar | tuple[Value, ...] | Table
    place: Place


@dataclass(frozen=True, slots=True)
class Table:
    """A YAML mapping, in the order written; keys are text."""

    entries: dict[str, Value]
    key_places: dict[str, Place]

    def __iter__(self) -> Iterator[tuple[str, Place, Value]]:
        """Yield key, place of the key, value."""
        for key, value in self.entries.items():
            yield key, self.key_places[key], value


_LOADER = getattr(yaml, "CLoader", yaml.Loader)
"""The parser of libyaml where PyYAML was built with it; only its events are used."""
MAX_EVENTS = 300_000
"""Keys, values and ends of lists in one file: three seconds, or nine without libyaml."""


def read_file(path: Path, shown: str | None = None, max_bytes: int = MAX_BYTES) -> str:
    """Return the text of a file, or raise TextError that names the file and the mend.

    `shown` is the name to use in messages; the path itself by default.
    """
    try:
        raw = read_bytes(path, shown, max_bytes)
    except ReadError as error:
        raise TextError(error.message, error.place) from None
    return text_of(raw, shown or str(path))


def text_of(raw: bytes, file: str) -> str:
    """Return bytes as text; raises TextError that names the line that is none."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = Place(file, raw[: error.start].count(b"\n") + 1, 1)
        raise TextError("is not UTF-8 text; save it as UTF-8", where) from None


def parse(text: str, file: str) -> Value:
    """Return the located tree of one YAML document.

    >>> parse("a: no", "x.yaml").data.entries["a"].data
    'no'
    """
    try:
        return _document(yaml.parse(text, Loader=_LOADER), file)
    except yaml.MarkedYAMLError as error:
        raise TextError(_explain(error, text), _place(file, error.problem_mark)) from None
    except (yaml.YAMLError, UnicodeError) as error:
        raise TextError(f"not readable as YAML ({_first_line(error)})", Place(file, 1, 1)) from None


def parse_json(text: str, file: str) -> Value:
    """Return the located tree of a JSON text (RFC 8259).

    JSON is YAML but for a few signs; in a text that holds one, every place is its first line.

    >>> parse_json('{"a": "no"}', "x.json").data.entries["a"].data
    'no'
    """
    first = Place(file, 1, 1)

    def table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            twice = min(key for key, count in Counter(key for key, _ in pairs).items() if count > 1)
            raise TextError(f"'{twice}' stands twice in one object", first)
        return found

    try:
        data = json.loads(text, object_pairs_hook=table)
    except json.JSONDecodeError as error:
        place = Place(file, error.lineno, error.colno)
        raise TextError(f"not readable as JSON ({error.msg.lower()})", place) from None
    except RecursionError:
        raise TextError(f"is nested more than {MAX_DEPTH} deep", first) from None
    return _tree(data, first) if _NOT_YAML.search(text) else parse(text, file)


_NOT_YAML = re.compile(
    "\\\\u[dD]|[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
)


def _tree(data: Any, place: Place, depth: int = 0) -> Value:
    if depth > MAX_DEPTH:
        raise TextError(f"is nested more than {MAX_DEPTH} deep", place)
    if isinstance(data, dict):
        entries = {key: _tree(item, place, depth + 1) for key, item in data.items()}
        return Value(Table(entries, dict.fromkeys(entries, place)), place)
    if isinstance(data, list):
        return Value(tuple(_tree(item, place, depth + 1) for item in data), place)
    if isinstance(data, str) and not data.isprintable():
        try:
            data.encode()
        except UnicodeEncodeError:
            raise TextError("holds half a sign, which is no text", place) from None
    return Value(data, place)


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0]


def _explain(error: yaml.MarkedYAMLError, text: str) -> str:
    problem = error.problem or "bad syntax"
    if "nesting depth" in problem:
        return f"is nested more than {MAX_DEPTH} deep"
    lines = text.splitlines()
    mark = error.problem_mark
    at_fault = lines[mark.line] if mark and mark.line < len(lines) else ""
    leading = at_fault[: len(at_fault) - len(at_fault.lstrip())]
    hint = "; indent with spaces" if "\t" in leading else ""
    if "mapping values are not allowed" in problem:
        hint = "; a text that holds ': ' stands in quotes"
    return f"not readable as YAML ({problem}){hint}"


def _place(file: str, mark: Any) -> Place:
    return Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)


def _document(events: Iterator[Any], file: str) -> Value:
    root: Value | None = None
    events = _not_too_many(events, file)
    for event in events:
        if isinstance(event, DocumentStartEvent) and root is not None:
            place = _place(file, event.start_mark)
            raise TextError("holds several documents; keep one in a file", place)
        if isinstance(event, NodeEvent):
            root = _build(event, events, file, 0)
    return Value(None, Place(file, 1, 1)) if root is None else root


def _not_too_many(events: Iterator[Any], file: str) -> Iterator[Any]:
    """Yield events; raise TextError where there are more than are read in some seconds."""
    for number, event in enumerate(events):
        if number > MAX_EVENTS:
            place = _place(file, event.start_mark)
            raise TextError(f"holds more than {MAX_EVENTS:,} values; split it", place)
        yield event


def _build(event: Any, events: Iterator[Any], file: str, depth: int) -> Value:
    place = _place(file, event.start_mark)
    if depth > MAX_DEPTH:
        raise TextError(f"is nested more than {MAX_DEPTH} deep", place)
    _refuse_marks(event, place)
    if isinstance(event, MappingStartEvent):
        return Value(_build_table(events, file, depth), place)
    if isinstance(event, SequenceStartEvent):
        return Value(tuple(_build_items(events, file, depth)), place)
    return Value(_scalar(event.value) if event.implicit[0] else event.value, place)


def _refuse_marks(event: Any, place: Place) -> None:
    if isinstance(event, AliasEvent) or event.anchor is not None:
        raise TextError("anchors and aliases (& and *) are not used here; write it out", place)
    if event.tag is not None:
        raise TextError(f"tags are not used here; delete '{event.tag}'", place)


def _build_items(events: Iterator[Any], file: str, depth: int) -> Iterator[Value]:
    for event in events:
        if isinstance(event, SequenceEndEvent):
            return
        yield _build(event, events, file, depth + 1)


def _build_table(events: Iterator[Any], file: str, depth: int) -> Table:
    entries: dict[str, Value] = {}
    places: dict[str, Place] = {}
    for event in events:
        if isinstance(event, MappingEndEvent):
            break
        where = _place(file, event.start_mark)
        _refuse_marks(event, where)
        if not isinstance(event, ScalarEvent):
            raise TextError("a key must be plain text", where)
        key = event.value
        if key in entries:
            first = places[key].line
            raise TextError(f"'{key}' stands here a second time (first in line {first})", where)
        entries[key] = _build(next(events), events, file, depth + 1)
        places[key] = where
    return Table(entries, places)


def _scalar(text: str) -> Scalar:
    if text in _WORDS:
        return _WORDS[text]
    if _INTEGER.match(text):
        return int(text)
    if _DECIMAL.match(text) and math.isfinite(number := float(text)):
        return number
    return text


_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_./-]*( [A-Za-z0-9_./-]+)*\Z")


def quote(text: str) -> str:
    """Return one scalar as YAML text on one line that reads back as the same text.

    Bytes of a file name that are not UTF-8 cannot stand in YAML; each becomes a '?'.

    >>> quote("no"), quote("0.045 in"), quote("a: b")
    ('no', '"0.045 in"', '"a: b"')
    """
    if _BARE.match(text) and text not in _WORDS:
        return text
    whole = text.encode(errors="replace").decode()
    escaped = whole.replace("\\", "\\\\").replace('"', '\\"')
    out = "".join(ch if ch.isprintable() else f"\\U{ord(ch):08X}" for ch in escaped)
    return f'"{out}"'
