"""Reads a case file. What it says is not yet held against a book: a session does that."""

from __future__ import annotations

from pathlib import Path

from headwater.book.shape import Reader
from headwater.case.model import Case
from headwater.errors import HeadwaterError
from headwater.measure.answer import RawAnswer
from headwater.yamltext import Table, Value, parse, parse_json, read_file

JSON = ".json"


class CaseError(HeadwaterError):
    """A case file that cannot be used."""


def read_case(path: Path) -> Case:
    """Return the case in a file; raises CaseError or TextError with file, line and mend.

    A file whose name ends in `.json` is JSON with the same keys.
    """
    text, file = read_file(path), str(path)
    return case_from_json(text, file) if path.suffix == JSON else parse_case(text, file)


def parse_case(text: str, file: str) -> Case:
    """Return the case in a text of YAML."""
    return _case(parse(text, file))


def case_from_json(text: str, file: str = "(json)") -> Case:
    """Return the case in a text of JSON; `file` is named in faults."""
    return _case(parse_json(text, file))


def _case(tree: Value) -> Case:
    if not isinstance(tree.data, Table):
        raise CaseError("is no case: it must start with 'case: NAME'", tree.place)
    reader = Reader()
    case = reader.record(Case, tree)
    if reader.problems:
        first = sorted(reader.problems)[0]
        more = len(reader.problems) - 1
        tail = f" (and {more} more)" if more else ""
        raise CaseError(first.message + tail, first.place)
    assert isinstance(case, Case)
    for entry in case.findings:
        if bool(entry.check) == bool(entry.removed) or bool(entry.check) != bool(entry.answer):
            raise CaseError("a finding needs 'check' and 'answer', or 'removed'", entry.place)
    return case


def raw_answer(value: Value) -> RawAnswer:
    """Return an answer as written: a word, a reading, several readings, or inputs by name."""
    if isinstance(value.data, Table):
        return {key: _several(item) for key, _, item in value.data}
    if isinstance(value.data, tuple):
        return tuple(_plain(item) for item in value.data)
    return _plain(value)


def _several(value: Value) -> str:
    """Return one reading, or several as one text, as the bench arithmetic reads them."""
    items = value.data if isinstance(value.data, tuple) else (value,)
    return "; ".join(_plain(item) for item in items)


def _plain(value: Value) -> str:
    if isinstance(value.data, (Table, tuple)) or value.data is None:
        raise CaseError("an answer must be a word or a reading", value.place)
    if isinstance(value.data, bool):
        return "yes" if value.data else "no"
    return str(value.data)
