"""Reads a case file. What it says is not yet held against a book: a session does that."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from headwater.book.shape import read_whole
from headwater.case.model import Case, LogEntry
from headwater.errors import HeadwaterError, refuse_all
from headwater.measure.answer import RawAnswer
from headwater.units import UnitError, parse_quantity
from headwater.yamltext import Table, Value, parse, parse_json, read_file

JSON = ".json"
REST = ("gone", "not-gone")
ALONE = ("removed", "rest", "accepted", "told", "struck", "family")
"""What an entry of the findings says without a check."""


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
    case = read_whole(Case, _with_commas(tree), CaseError)
    refuse_all([*_distance_faults(case, tree.data), *_entry_faults(case.findings)])
    return case


def _distance_faults(case: Case, table: Table) -> Iterator[CaseError]:
    try:
        if case.distance:
            parse_quantity(case.distance, "distance")
    except UnitError as error:
        yield CaseError(f"distance: {error.message}", table.entries["distance"].place)


def _entry_faults(entries: Iterable[LogEntry]) -> Iterator[CaseError]:
    """Yield what is wrong with the findings, taken by themselves and with those before them."""
    answers: list[LogEntry] = []
    for entry in entries:
        if not _whole(entry):
            text = f"a finding needs 'check' and 'answer', or one of {', '.join(map(repr, ALONE))}"
            yield CaseError(text, entry.place)
        elif entry.corrects is not None:
            yield from _correction_faults(entry, answers)
        if entry.check:
            answers.append(entry)


def _correction_faults(entry: LogEntry, earlier: Sequence[LogEntry]) -> Iterator[CaseError]:
    same = [number for number, one in enumerate(earlier, 1) if one.check == entry.check]
    if entry.check and entry.corrects in same:
        return
    if not entry.check:
        mend = "it stands on an answer only"
    elif same:
        mend = f"'{entry.check}' was answered before as {', '.join(map(str, same))}"
    else:
        mend = f"'{entry.check}' was not answered before; leave 'corrects' out"
    text = f"'corrects: {entry.corrects}' is no earlier answer of the same check: {mend}"
    yield CaseError(text, entry.place)


def _whole(entry: LogEntry) -> bool:
    alone = (entry.removed, entry.rest in REST, entry.accepted, entry.told, entry.struck)
    kinds = [bool(one) for one in (entry.check, *alone, entry.family)]
    return kinds.count(True) == 1 and bool(entry.check) == bool(entry.answer)


def _with_commas(tree: Value) -> Value:
    """Return a case in which `{check: x, answer: 0,045 in}` holds the reading that is meant.

    Within braces YAML takes the comma of '0,045 in' for the end of an entry.
    """
    assert isinstance(tree.data, Table)
    findings = tree.data.entries.get("findings")
    if findings is None or not isinstance(findings.data, tuple):
        return tree
    mended = Value(tuple(map(_with_comma, findings.data)), findings.place)
    return Value(Table({**tree.data.entries, "findings": mended}, tree.data.key_places), tree.place)


def _with_comma(entry: Value) -> Value:
    if not isinstance(entry.data, Table):
        return entry
    rows: dict[str, Value] = {}
    last = ""
    for key, value in entry.data.entries.items():
        whole = rows.get(last)
        split = last == "answer" and whole and _WHOLE.search(str(whole.data)) and _REST.match(key)
        if whole and split and value.data is None:
            rows[last] = Value(f"{whole.data},{key}", whole.place)
        else:
            rows[key], last = value, key
    return Value(Table(rows, entry.data.key_places), entry.place)


_WHOLE = re.compile(r"[0-9]$")
_REST = re.compile(r"[0-9]+(\s|$)")


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
