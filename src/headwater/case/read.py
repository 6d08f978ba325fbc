"""Reads a case file. What it says is not yet held against a book: a session does that."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from headwater.book.shape import read_whole
from headwater.case.model import Case, LogEntry
from headwater.errors import HeadwaterError, Place, refuse_all
from headwater.files import ReadError, fault_of_folder, read_bytes
from headwater.measure.answer import RawAnswer
from headwater.units import UnitError, parse_quantity
from headwater.yamltext import Table, TextError, Value, parse, parse_json, quote, text_of

JSON = ".json"
REST = ("gone", "not-gone")
ALONE = (
    *("removed", "rest", "accepted", "told", "struck", "again"),
    *("photograph", "approved", "family"),
)
"""What an entry of the findings says without a check."""


class CaseError(HeadwaterError):
    """A case file that cannot be used."""


def read_case(path: Path, say: Callable[[str], None] | None = None) -> Case:
    """Return the case in a file; raises CaseError or TextError with file, line and mend.

    A file whose name ends in `.json` is JSON with the same keys. Of a last line that a crash tore
    it is `say`d that it does not count; without `say` the file is refused.
    """
    raw, file = read_raw(path), str(path)
    if path.suffix == JSON:
        return case_from_json(text_of(raw, file), file)
    return parse_case(whole_text(raw, file, say), file)


def whole_text(raw: bytes, file: str, say: Callable[[str], None] | None = None) -> str:
    """Return the text of a case without a last line that a crash tore, as `read_case` reads it."""
    size = whole_size(raw, file)
    if size < len(raw):
        if say is None:
            mend = f"'headwater bench {file}' cuts it off and goes on"
            raise CaseError(f"its last line is torn, as by a power cut; {mend}", Place(file))
        say(f"{file}: {torn_words(raw[size:])} is left out")
    return text_of(raw[:size], file)


def read_raw(path: Path, shown: str | None = None) -> bytes:
    """Return the bytes of a file as `read_file` returns its text."""
    try:
        return read_bytes(path, shown)
    except ReadError as error:
        raise TextError(error.message, error.place) from None


def whole_size(raw: bytes, file: str) -> int:
    """Return how many bytes of a case are whole: all, unless a crash tore its last finding.

    A crash leaves a part of what was being written, zeros in its place, or both. What is not the
    beginning of a finding is a fault of whoever wrote the file, and is left to be reported.
    """
    kept = raw.rstrip(b"\0")
    torn = kept[kept.rfind(b"\n") + 1 :]
    if torn and _holds_case(kept, file):
        torn = b""  # whole, but for the end of its line
    if not kept or (torn and not (torn.startswith(_ITEM) or _ITEM.startswith(torn))):
        return len(raw)
    size = len(kept) - len(torn)
    return size if size == len(raw) or _holds_case(kept[:size], file) else len(raw)


_ITEM = b"  - {"
"""How each finding begins that the program writes."""


def torn_words(torn: bytes) -> str:
    """Return words for what a crash left of a last line."""
    begun = torn.strip(b"\0").decode(errors="replace")
    what = quote(begun[:_MOST_TOLD]) if begun else "zeros"
    return f"a last line that was torn, as by a power cut ({what}),"


_MOST_TOLD = 60


def _holds_case(raw: bytes, file: str) -> bool:
    with suppress(HeadwaterError):
        parse_case(text_of(raw, file), file)
        return True
    return False


def parse_case(text: str, file: str) -> Case:
    """Return the case in a text of YAML."""
    return case_of(parse(text, file))


def case_from_json(text: str, file: str = "(json)") -> Case:
    """Return the case in a text of JSON; `file` is named in faults."""
    return case_of(parse_json(text, file))


def case_of(tree: Value) -> Case:
    """Return the case in a text that was parsed already."""
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
        elif entry.of is not None and not (entry.photograph and 0 < entry.of <= len(answers)):
            text = f"'of: {entry.of}' is the number of an answer before, beside a 'photograph'"
            yield CaseError(text, entry.place)
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
    more = (entry.again, entry.photograph, entry.approved, entry.family)
    kinds = [bool(one) for one in (entry.check, *alone, *more)]
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


def refuse_json(path: Path) -> None:
    """Raise CaseError where no answer can be added to a case, by its name."""
    if path.suffix == JSON:
        text = "is JSON by its name, to which no answer can be added; use a name in .yaml"
        raise CaseError(text, Place(str(path)))


def check_place(path: Path) -> None:
    """Raise CaseError where no new case can be made: best known before anybody is asked."""
    refuse_json(path)
    if fault := fault_of_folder(path.parent):
        raise CaseError(fault, Place(str(path)))
