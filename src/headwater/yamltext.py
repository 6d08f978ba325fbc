"""YAML as a strict, located tree; the only module that imports yaml.

PyYAML's defaults hurt authors (`no` becomes False, `010` becomes 8, the second of two equal keys
silently wins), so the text is only composed by the library and the values are built here: plain
scalars are numbers, true, false or null in their plainest spelling and text otherwise. Anchors,
aliases, tags and several documents are refused; size and depth are capped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from yaml.nodes import MappingNode, ScalarNode, SequenceNode
from yaml.resolver import BaseResolver

from headwater.errors import HeadwaterError, Place

MAX_BYTES = 4_000_000
MAX_DEPTH = 24

_INTEGER = re.compile(r"[-+]?(0|[1-9][0-9]{0,17})\Z")
_DECIMAL = re.compile(r"[-+]?(0|[1-9][0-9]*)\.[0-9]+([eE][-+]?[0-9]{1,3})?\Z")
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None, "": None}

Scalar = str | int | float | bool | None


class TextError(HeadwaterError):
    """The text is not the YAML that Headwater reads."""


@dataclass(frozen=True, slots=True)
class Value:
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


class _Plain(BaseResolver):
    """Give every untagged node the bare name of its kind, so that a written tag stands out."""

    def resolve(self, kind: type, value: Any, implicit: Any) -> str:
        if kind is ScalarNode:
            return "plain" if implicit[0] else "quoted"
        return "sequence" if kind is SequenceNode else "mapping"


try:
    from yaml.cyaml import CParser

    class _Loader(CParser, _Plain):  # type: ignore[misc]  # the C parser ships no types
        def __init__(self, text: str) -> None:
            CParser.__init__(self, text)
            _Plain.__init__(self)

except ImportError:  # pragma: no cover - a PyYAML built without libyaml
    from yaml.composer import Composer
    from yaml.parser import Parser
    from yaml.reader import Reader
    from yaml.scanner import Scanner

    class _Loader(Reader, Scanner, Parser, Composer, _Plain):  # type: ignore[no-redef,misc]
        def __init__(self, text: str) -> None:
            Reader.__init__(self, text)
            Scanner.__init__(self)
            Parser.__init__(self)
            Composer.__init__(self)
            _Plain.__init__(self)


def read_file(path: Path, shown: str | None = None, max_bytes: int = MAX_BYTES) -> str:
    """Return the text of a file, or raise TextError that names the file and the mend.

    `shown` is the name to use in messages; the path itself by default.
    """
    place = Place(shown or str(path))
    try:
        if path.is_dir():
            raise TextError("is a folder; name the file in it", place)
        with path.open("rb") as handle:
            raw = handle.read(max_bytes + 1)
    except FileNotFoundError:
        raise TextError("no such file; check the name", place) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise TextError(f"cannot be read ({reason})", place) from None
    if len(raw) > max_bytes:
        raise TextError(f"is larger than {max_bytes // 1_000_000} MB; split it", place)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        where = Place(place.file, line, 1)
        raise TextError("is not UTF-8 text; save it as UTF-8", where) from None


def parse(text: str, file: str) -> Value:
    """Return the located tree of one YAML document.

    >>> parse("a: no", "x.yaml").data.entries["a"].data
    'no'
    """
    try:
        loader = _Loader(text)
        root = loader.get_single_node()
    except yaml.MarkedYAMLError as error:
        raise TextError(_explain(error), _place(file, error.problem_mark)) from None
    except yaml.YAMLError as error:
        raise TextError(f"not readable as YAML ({_first_line(error)})", Place(file, 1, 1)) from None
    except RecursionError:
        raise TextError(f"is nested more than {MAX_DEPTH} deep", Place(file, 1, 1)) from None
    if root is None:
        return Value(None, Place(file, 1, 1))
    return _build(root, file, 0, set())


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0]


def _explain(error: yaml.MarkedYAMLError) -> str:
    problem = error.problem or "bad syntax"
    if "another document" in problem or "single document" in str(error.context):
        return "holds several documents; keep one in a file"
    hint = "; indent with spaces" if "\\t" in problem else ""
    return f"not readable as YAML ({problem}){hint}"


def _place(file: str, mark: Any) -> Place:
    return Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)


def _build(node: Any, file: str, depth: int, seen: set[int]) -> Value:
    place = _place(file, node.start_mark)
    if depth > MAX_DEPTH:
        raise TextError(f"is nested more than {MAX_DEPTH} deep", place)
    if id(node) in seen:
        raise TextError("anchors and aliases (& and *) are not used here; write it out", place)
    seen.add(id(node))
    if isinstance(node, MappingNode) and node.tag == "mapping":
        return Value(_build_table(node, file, depth, seen), place)
    if isinstance(node, SequenceNode) and node.tag == "sequence":
        return Value(tuple(_build(item, file, depth + 1, seen) for item in node.value), place)
    if node.tag == "plain":
        return Value(_scalar(node.value), place)
    if node.tag == "quoted":
        return Value(node.value, place)
    raise TextError(f"tags are not used here; delete '{node.tag}'", place)


def _build_table(node: MappingNode, file: str, depth: int, seen: set[int]) -> Table:
    entries: dict[str, Value] = {}
    places: dict[str, Place] = {}
    for key_node, value_node in node.value:
        where = _place(file, key_node.start_mark)
        if key_node.tag not in ("plain", "quoted"):
            raise TextError("a key must be plain text", where)
        key = key_node.value
        if key in entries:
            first = places[key].line
            raise TextError(f"'{key}' stands here a second time (first in line {first})", where)
        entries[key] = _build(value_node, file, depth + 1, seen)
        places[key] = where
    return Table(entries, places)


def _scalar(text: str) -> Scalar:
    if text in _WORDS:
        return _WORDS[text]
    if _INTEGER.match(text):
        return int(text)
    if _DECIMAL.match(text):
        return float(text)
    return text


_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_./-]*( [A-Za-z0-9_./-]+)*\Z")


def quote(text: str) -> str:
    """Return one scalar as YAML text on one line that reads back as the same text.

    >>> quote("no"), quote("0.045 in"), quote("a: b")
    ('no', '"0.045 in"', '"a: b"')
    """
    if _BARE.match(text) and text not in _WORDS:
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    out = "".join(ch if ch.isprintable() else f"\\U{ord(ch):08X}" for ch in escaped)
    return f'"{out}"'
