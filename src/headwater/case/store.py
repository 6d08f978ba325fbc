"""Writes a case file so that a crash loses nothing that was answered.

The findings are the last block of the file. Each new one is one line, written in one call and
forced to disk before the next question; if the disk refuses, the file is cut back to its last
whole line. A lock on the file keeps a second session out.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import Any

from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Seat
from headwater.book.things import NOWHERE
from headwater.case.model import Case, EarlierWork, LogEntry
from headwater.case.read import JSON, CaseError, parse_case, raw_answer
from headwater.errors import HeadwaterError, Place
from headwater.files import write_whole
from headwater.measure.answer import RawAnswer
from headwater.yamltext import Table, Value, parse, quote, read_file

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without advisory locks
    fcntl = None  # type: ignore[assignment]


def new_case_text(
    name: str,
    book: Book,
    family: Mapping[str, str],
    seat: Seat,
    complaint: str = "",
    removed: Iterable[str] | None = None,
) -> str:
    """Return the text of a case without findings; `removed` is left out where nothing is said."""
    lines = [
        f"case: {quote(name)}",
        "book: " + _flow({"name": book.name, "version": book.version, "digest": book.digest}),
        f"seat: {seat.value}",
    ]
    if complaint:
        lines.append(f"complaint: {quote(complaint)}")
    lines.append("unit:")
    lines.append(f"  family: {_flow(family)}")
    if removed is not None:
        lines.append(f"  removed: [{', '.join(quote(rid) for rid in removed)}]")
    lines.append("findings:")
    return "\n".join(lines) + "\n"


def _flow(entries: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{quote(k)}: {quote(v)}" for k, v in entries.items()) + "}"


def entry_line(entry: LogEntry) -> str:
    """Return a line of the findings as one line of YAML, newline included."""
    fields = [f"{key}: {_written(value)}" for key, value in entry_data(entry).items()]
    return "  - {" + ", ".join(fields) + "}\n"


def _written(value: Any) -> str:
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return quote(value)
    if isinstance(value, list):
        return "[" + ", ".join(map(_written, value)) + "]"
    return "{" + ", ".join(f"{quote(k)}: {_written(v)}" for k, v in value.items()) + "}"


def value_of(given: RawAnswer) -> Value:
    """Return an answer as it stands in a case file."""
    if isinstance(given, str):
        return Value(given, NOWHERE)
    if isinstance(given, tuple):
        return Value(tuple(Value(item, NOWHERE) for item in given), NOWHERE)
    inputs = {name: Value(text, NOWHERE) for name, text in given.items()}
    return Value(Table(inputs, dict.fromkeys(inputs, NOWHERE)), NOWHERE)


def entry_data(entry: LogEntry) -> dict[str, Any]:
    """Return a line of the findings as plain data, empty fields left out."""
    answer = None if entry.answer is None else answer_data(raw_answer(entry.answer))
    data = {
        "check": entry.check and str(entry.check),
        "answer": answer,
        "removed": entry.removed and str(entry.removed),
        "accepted": entry.accepted and str(entry.accepted),
        "rest": entry.rest or None,
        "told": entry.told or None,
        "unplaced": list(entry.unplaced) or None,
        "outside": list(entry.outside) or None,
        "struck": entry.struck or None,
        "family": dict(entry.family) or None,
        "seat": entry.seat and entry.seat.value,
        "at": entry.at or None,
        "note": entry.note or None,
        "corrects": entry.corrects,
    }
    return {key: value for key, value in data.items() if value is not None}


def answer_data(given: RawAnswer) -> str | list[str] | dict[str, str]:
    """Return an answer as plain data: a word or a reading, several, or inputs by name."""
    if isinstance(given, str):
        return given
    return list(given) if isinstance(given, tuple) else dict(given)


def case_data(case: Case) -> dict[str, Any]:
    """Return a case as plain data with the keys of its file; what is empty is left out."""
    unit, result = case.unit, case.outcome
    data: dict[str, Any] = {
        "case": case.case,
        "book": case.book and asdict(case.book),
        "seat": case.seat.value,
        "complaint": case.complaint,
        "customer": case.customer,
        "vehicle": case.vehicle,
        "distance": case.distance,
        "photographs": list(case.photographs) or None,
        "unit": _filled(
            {
                "family": dict(unit.family),
                "history": unit.history,
                "removed": None if unit.removed is None else list(map(str, unit.removed)),
            }
        ),
        "done": [
            _filled({"action": one.action, "on": str(one.on), "note": one.note})
            for one in case.done
        ]
        or None,
        "outcome": result
        and _filled({"comeback": result.comeback, "after": result.after, "note": result.note}),
        "earlier": case.earlier,
        "before": case.before and earlier_data(case.before),
        "findings": [entry_data(entry) for entry in case.findings],
    }
    return _filled(data)


def earlier_data(work: EarlierWork) -> dict[str, Any]:
    """Return what is told of earlier work as plain data, empty fields left out."""
    done = [_filled({"action": d.action, "on": str(d.on), "note": d.note}) for d in work.done]
    return _filled({"told": work.told, "ago": work.ago, "done": done or None})


def earlier_line(work: EarlierWork) -> str:
    """Return what is told of earlier work as one line of a case file, newline included."""
    return f"before: {_written(earlier_data(work))}\n"


def _filled(data: dict[str, Any]) -> dict[str, Any]:
    """Return data without what says nothing; an empty list does: nothing is off."""
    return {key: value for key, value in data.items() if value not in (None, "", {})}


class CaseWriter:
    """An open case file, locked; a context manager."""

    def __init__(self, path: Path) -> None:
        """Open the file for appending. Raises CaseError when it is in use or cannot be written."""
        _refuse_json(path)
        self.path = Path(os.path.realpath(path))  # a link to a case is followed, not replaced
        self._place = Place(str(path))
        self._open()
        try:
            self._findings_last()
        except BaseException:
            os.close(self._fd)
            raise

    @classmethod
    def create(cls, path: Path, text: str) -> CaseWriter:
        """Make a new case file and open it. Raises CaseError when it exists or cannot be made."""
        _refuse_json(path)
        try:
            fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
        except FileExistsError:
            raise CaseError(
                "exists already; open it or choose another name", Place(str(path))
            ) from None
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise CaseError(f"cannot be made ({reason})", Place(str(path))) from None
        try:
            _write_all(fd, text.encode())
        except OSError as error:
            with suppress(OSError):
                path.unlink(missing_ok=True)
            reason = (error.strerror or str(error)).lower()
            raise CaseError(f"cannot be written ({reason})", Place(str(path))) from None
        finally:
            os.close(fd)
        return cls(path)

    def _refused(self, error: OSError) -> CaseError:
        reason = (error.strerror or str(error)).lower()
        return CaseError(
            f"cannot be written ({reason}); nothing answered so far is lost", self._place
        )

    def _open(self) -> None:
        try:
            fd = os.open(self.path, os.O_RDWR | os.O_APPEND)
        except OSError as error:
            raise self._refused(error) from None
        try:
            self._lock(fd)
        except BaseException:
            os.close(fd)
            raise
        self._fd = fd

    def _lock(self, fd: int) -> None:
        if fcntl is None:  # pragma: no cover - a system without advisory locks
            return
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
            taken = not os.path.samestat(os.fstat(fd), self.path.stat())
        except OSError:
            taken = True
        if taken:  # locked, or put in place of the file that was opened
            raise CaseError("is open in another session; close that one first", self._place)

    def case(self) -> Case:
        """Return the case as it stands in the file."""
        return parse_case(read_file(self.path), self._place.file)

    def append(self, line: str) -> None:
        """Write one finding and force it to disk; all of it or, on failure, nothing."""
        size = os.fstat(self._fd).st_size
        try:
            _write_all(self._fd, line.encode())
        except OSError as error:
            with suppress(OSError):
                os.ftruncate(self._fd, size)
            raise self._refused(error) from None

    def tell(self, lines: str) -> None:
        """Put more of the case before its findings; a crash leaves the old file or the new one."""
        text = read_file(self.path, self._place.file)
        table = parse(text, self._place.file).data
        assert isinstance(table, Table)
        first = table.key_places["findings"].line - 1
        rows = text.splitlines(keepends=True)
        self._rewrite("".join([*rows[:first], lines, *rows[first:]]))

    def forget_complaint(self) -> None:
        """Take the customer's first words out of the file again, where they stand on a line."""
        text = read_file(self.path, self._place.file)
        table = parse(text, self._place.file).data
        assert isinstance(table, Table)
        lines = {place.line for place in table.key_places.values()}
        row = table.key_places["complaint"].line - 1 if "complaint" in table.key_places else -1
        if row < 0 or row + 2 not in lines:  # written by hand over several lines: left alone
            return
        rows = text.splitlines(keepends=True)
        self._rewrite("".join([*rows[:row], *rows[row + 1 :]]))

    def _findings_last(self) -> None:
        """Bring a file written by hand into the shape that can be appended to."""
        text = read_file(self.path, self._place.file)
        parse_case(text, self._place.file)
        wanted = with_findings_last(text, self._place.file)
        if wanted != text:
            self._rewrite(wanted)

    def _rewrite(self, text: str) -> None:
        """Put a whole new text in place of the file; a crash leaves the old one or the new one."""
        write_whole(self.path, text)
        old = self._fd
        self._open()
        os.close(old)

    def close(self) -> None:
        """Close the file and give up the lock."""
        os.close(self._fd)

    def __enter__(self) -> CaseWriter:
        """Return the writer."""
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()


def _refuse_json(path: Path) -> None:
    if path.suffix == JSON:
        text = "is JSON by its name, to which no answer can be added; use a name in .yaml"
        raise CaseError(text, Place(str(path)))


def _write_all(fd: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(fd, view) :]
    os.fsync(fd)


def with_findings_last(text: str, file: str) -> str:
    """Return the text of a case with the findings as its last block, ready for more lines.

    Raises CaseError when the text is written so that no line can be added to it.
    """
    tree = parse(text, file)
    assert isinstance(tree.data, Table)
    wanted = _moved(text, tree.data)
    probe = entry_line(LogEntry(check=Ref("probe"), answer=value_of("probe")))
    try:
        longer = _plain(parse(wanted + probe, file))
    except HeadwaterError:
        longer = {}
    more = longer.get("findings") or [None]
    if {**longer, "findings": more[:-1]} != {"findings": [], **_plain(tree)}:
        place = tree.data.key_places.get("findings", tree.place)
        raise CaseError("write the findings one to a line, each behind '  - '", place)
    return wanted


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
