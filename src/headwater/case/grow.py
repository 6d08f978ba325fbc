"""Brings a case that was written by hand into the shape to which findings can be added."""

from __future__ import annotations

from typing import Any

from headwater.case.read import CaseError
from headwater.errors import HeadwaterError
from headwater.yamltext import Table, Value, parse

PROBE = "  - {check: probe, answer: probe}\n"


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
    rows = text.splitlines(keepends=True)
    starts = sorted(place.line - 1 for place in table.key_places.values())
    findings = table.key_places["findings"].line - 1
    first = table.key_places[key].line - 1 if key in table.key_places else findings
    after = next(start for start in starts if start > first) if first < findings else findings
    return "".join([*rows[:first], *rows[after:findings], lines, *rows[findings:]])


def parted(text: str, tree: Value) -> tuple[str, tuple[str, ...]]:
    """Return the head of a case, down to the line 'findings:', and the text of each finding.

    `tree` is what the text was parsed to. Put together again they are the text, with its findings
    last. Raises CaseError where they are written so that no line can be added to them.
    """
    whole, table = _ready(text, tree)
    with_one_more = table.entries["findings"].data
    assert isinstance(with_one_more, tuple)
    items = with_one_more[:-1]
    if not items:
        return whole, ()
    rows = whole.splitlines(keepends=True)
    starts = [item.place.line - 1 for item in items]
    if len(set(starts)) < len(starts) or not all(rows[n].startswith("  -") for n in starts):
        place = table.key_places["findings"]
        raise CaseError("write the findings one to a line, each behind '  - '", place)
    ends = [*starts[1:], len(rows)]
    chunks = ("".join(rows[n:end]) for n, end in zip(starts, ends, strict=True))
    return "".join(rows[: starts[0]]), tuple(chunks)
