"""Brings a case that was written by hand into the shape to which findings can be added."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from headwater.case.read import CaseError
from headwater.errors import HeadwaterError, Place
from headwater.yamltext import Table, Value, parse

PROBE = "  - {check: probe, answer: probe}\n"
_PROBED = {"check": "probe", "answer": "probe"}


class Parts(NamedTuple):
    """A case, taken apart: its head, down to the line 'findings:', and the text of each finding.

    `keys` are where the keys of the head stand in it. Put together again the parts are the text,
    with its findings last.
    """

    head: str
    findings: tuple[str, ...]
    keys: Mapping[str, Place]


def with_findings_last(text: str, file: str) -> str:
    """Return the text of a case with the findings as its last block, ready for more lines.

    Raises CaseError when the text is written so that no line can be added to it.
    """
    return _ready(text, parse(text, file))[0]


def _ready(text: str, tree: Value) -> tuple[str, Table]:
    """Return the text ready for more lines, and what it is with one more finding at its end."""
    file = tree.place.file
    assert isinstance(tree.data, Table)
    wanted = _moved(text, tree.data)
    try:
        grown = parse(wanted + PROBE, file)
        longer = _plain(grown)
    except HeadwaterError:
        grown, longer = tree, {}
    more = longer.get("findings") or [None]
    if {**longer, "findings": more[:-1]} != {"findings": [], **_plain(tree)}:
        place = tree.data.key_places.get("findings", tree.place)
        raise CaseError("write the findings one to a line, each behind '  - '", place)
    assert isinstance(grown.data, Table)
    return wanted, grown.data


def _plain(value: Value) -> Any:
    """Return a tree without its places; an empty list of findings is the same as none."""
    if isinstance(value.data, Table):
        plain = {key: _plain(item) for key, _, item in value.data}
        return {k: v or [] if k == "findings" else v for k, v in plain.items()}
    return [_plain(item) for item in value.data] if isinstance(value.data, tuple) else value.data


def _moved(text: str, table: Table) -> str:
    lines = text.splitlines(keepends=True)
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    if "findings" not in table.entries:
        return "".join(lines) + "findings:\n"
    starts = sorted(place.line - 1 for place in table.key_places.values())
    first = table.key_places["findings"].line - 1
    after = next((start for start in starts if start > first), len(lines))
    block = lines[first:after]
    if table.entries["findings"].data == ():
        block[0] = block[0].replace("[]", "", 1)
    return "".join(lines[:first] + lines[after:] + _indented(block))


def _indented(block: list[str]) -> list[str]:
    """Return a findings block whose items stand two spaces in, as the lines to come will."""
    items = [line for line in block[1:] if line.lstrip().startswith("-")]
    depth = len(items[0]) - len(items[0].lstrip()) if items else 2
    if depth == 2:
        return block
    return [block[0], *(_shifted(line, depth) for line in block[1:])]


def _shifted(line: str, depth: int) -> str:
    if not line.strip():
        return line
    return "  " + (line.lstrip() if line[:depth].strip() else line[depth:])


def without_complaint(text: str, file: str) -> str:
    """Return the text of a case without the customer's words, if they stand on a line of their own.

    Written by hand over several lines they are left alone.
    """
    table = parse(text, file).data
    assert isinstance(table, Table)
    if "complaint" not in table.key_places:
        return text
    row = table.key_places["complaint"].line
    if row + 1 not in {place.line for place in table.key_places.values()}:
        return text
    rows = text.splitlines(keepends=True)
    return "".join([*rows[: row - 1], *rows[row:]])


def with_key(text: str, file: str, key: str, lines: str) -> str:
    """Return the text of a case with these lines for a key of it, in front of the findings.

    What stood under the key goes; no lines take it out. The findings are the last block already.
    """
    table = parse(text, file).data
    assert isinstance(table, Table)
    return with_key_at(text, table.key_places, key, lines)


def with_key_at(text: str, keys: Mapping[str, Place], key: str, lines: str) -> str:
    """Return the same where it is known already where the keys stand."""
    rows = text.splitlines(keepends=True)
    starts = sorted(place.line - 1 for place in keys.values())
    findings = keys["findings"].line - 1
    first = keys[key].line - 1 if key in keys else findings
    after = next(start for start in starts if start > first) if first < findings else findings
    return "".join([*rows[:first], *rows[after:findings], lines, *rows[findings:]])


def parted_at_once(text: str, file: str) -> tuple[Value, Parts] | None:
    """Return what a text is parsed to, and its parts, where its findings are its last block.

    It is parsed once, with one more finding at its end: as that is read as one, all before it is
    read as it would be alone. None where it is not, for whatever reason: see `parted`.
    """
    if not text.endswith("\n"):
        return None
    try:
        grown = parse(text + PROBE, file)
    except HeadwaterError:
        return None
    found = grown.data.entries.get("findings") if isinstance(grown.data, Table) else None
    items = found.data if found and isinstance(found.data, tuple) else ()
    last = text.count("\n") + 1
    if not items or items[-1].place.line != last or _plain(items[-1]) != _PROBED:
        return None
    assert found is not None
    assert isinstance(grown.data, Table)
    entries = {**grown.data.entries, "findings": Value(items[:-1], found.place)}
    tree = Value(Table(entries, grown.data.key_places), grown.place)
    try:
        return tree, _parts(text, grown.data)
    except CaseError:
        return None


def parted(text: str, tree: Value) -> Parts:
    """Return the parts of a case; `tree` is what the text was parsed to.

    Raises CaseError where its findings are written so that no line can be added to them.
    """
    return _parts(*_ready(text, tree))


def _parts(whole: str, table: Table) -> Parts:
    """Return the parts of a text, by what it is with one more finding at its end."""
    with_one_more = table.entries["findings"].data
    assert isinstance(with_one_more, tuple)
    items = with_one_more[:-1]
    if not items:
        return Parts(whole, (), table.key_places)
    rows = whole.splitlines(keepends=True)
    starts = [item.place.line - 1 for item in items]
    if len(set(starts)) < len(starts) or not all(rows[n].startswith("  -") for n in starts):
        place = table.key_places["findings"]
        raise CaseError("write the findings one to a line, each behind '  - '", place)
    ends = [*starts[1:], len(rows)]
    chunks = ("".join(rows[n:end]) for n, end in zip(starts, ends, strict=True))
    return Parts("".join(rows[: starts[0]]), tuple(chunks), table.key_places)
