"""Writes a case file so that a crash loses nothing that was answered.

The findings are the last block of the file. Each new one is one line, written in one call and
forced to disk before the next question; if the disk refuses, the file is cut back to its last
whole line. A lock on the file keeps a second session out.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import TracebackType

from headwater.book.load import Book
from headwater.book.tables import Seat
from headwater.case.load import CaseError, parse_case
from headwater.case.model import Case
from headwater.errors import Place
from headwater.measure.answer import Given
from headwater.yamltext import Table, parse, quote, read_file

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without advisory locks
    fcntl = None  # type: ignore[assignment]


def new_case_text(
    name: str, book: Book, family: Mapping[str, str], seat: Seat, complaint: str = ""
) -> str:
    """Return the text of a case without findings."""
    lines = [
        f"case: {quote(name)}",
        "book: " + _flow({"name": book.name, "version": book.version, "digest": book.digest}),
        f"seat: {seat.value}",
    ]
    if complaint:
        lines.append(f"complaint: {quote(complaint)}")
    lines.append("unit:")
    lines.append(f"  family: {_flow(family)}")
    lines.append("findings:")
    return "\n".join(lines) + "\n"


def _flow(entries: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{quote(k)}: {_word(v)}" for k, v in entries.items()) + "}"


def _word(text: str) -> str:
    shown = quote(text)
    looks_like_number = text[:1].isdigit() or text[:1] in "+-."
    return f'"{shown}"' if looks_like_number and not shown.startswith('"') else shown


def finding_line(check: str, given: Given, seat: Seat, at: str = "", note: str = "") -> str:
    """Return a finding as one line of YAML, newline included."""
    if isinstance(given, str):
        answer = _word(given)
    elif isinstance(given, tuple):
        answer = "[" + ", ".join(_word(item) for item in given) + "]"
    else:
        answer = _flow(given)
    fields = [f"check: {quote(check)}", f"answer: {answer}", f"seat: {seat.value}"]
    fields += [f"at: {_word(at)}"] if at else []
    fields += [f"note: {_word(note)}"] if note else []
    return "  - {" + ", ".join(fields) + "}\n"


def removal_line(removal: str, seat: Seat, at: str = "") -> str:
    """Return a removal that was done as one line of YAML."""
    tail = f", at: {_word(at)}" if at else ""
    return f"  - {{removed: {quote(removal)}, seat: {seat.value}{tail}}}\n"


class CaseWriter:
    """An open case file, locked; a context manager."""

    def __init__(self, path: Path) -> None:
        """Open the file for appending. Raises CaseError when it is in use or cannot be written."""
        self.path = path
        self._place = Place(str(path))
        try:
            self._fd = os.open(path, os.O_RDWR | os.O_APPEND)
        except OSError as error:
            raise self._refused(error) from None
        try:
            self._lock()
            self._findings_last()
        except BaseException:
            os.close(self._fd)
            raise

    @classmethod
    def create(cls, path: Path, text: str) -> CaseWriter:
        """Make a new case file and open it. Raises CaseError when it exists or cannot be made."""
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

    def _lock(self) -> None:
        if fcntl is None:  # pragma: no cover - a system without advisory locks
            return
        try:
            fcntl.flock(self._fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise CaseError(
                "is open in another session; close that one first", self._place
            ) from None

    def case(self) -> Case:
        """Return the case as it stands in the file."""
        return parse_case(read_file(self.path), str(self.path))

    def append(self, line: str) -> None:
        """Write one finding and force it to disk; all of it or, on failure, nothing."""
        size = os.fstat(self._fd).st_size
        try:
            _write_all(self._fd, line.encode())
        except OSError as error:
            with suppress(OSError):
                os.ftruncate(self._fd, size)
            raise self._refused(error) from None

    def _findings_last(self) -> None:
        """Bring a file written by hand into the shape that can be appended to."""
        text = read_file(self.path)
        tree = parse(text, str(self.path))
        if not isinstance(tree.data, Table):
            raise CaseError("is no case: it must start with 'case: NAME'", tree.place)
        parse_case(text, str(self.path))
        wanted = _with_findings_last(text, tree.data)
        if wanted != text:
            beside = self.path.with_name(self.path.name + ".new")
            try:
                beside.write_text(wanted, encoding="utf-8")
                beside.replace(self.path)
            except OSError as error:
                beside.unlink(missing_ok=True)
                raise self._refused(error) from None
            os.close(self._fd)
            self._fd = os.open(self.path, os.O_RDWR | os.O_APPEND)
            self._lock()

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


def _write_all(fd: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(fd, view) :]
    os.fsync(fd)


def _with_findings_last(text: str, table: Table) -> str:
    """Return the text with the findings as its last block, ready for more lines."""
    lines = text.splitlines(keepends=True)
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    if "findings" not in table.entries:
        return "".join(lines) + "findings:\n"
    starts = sorted(place.line - 1 for place in table.key_places.values())
    first = table.key_places["findings"].line - 1
    after = next((start for start in starts if start > first), len(lines))
    block = lines[first:after]
    value = table.entries["findings"]
    if value.data in ((), None):
        block = ["findings:\n"]
    elif isinstance(value.data, tuple) and value.place.line == first + 1:
        raise CaseError("write the findings one to a line, each behind '  - '", value.place)
    else:
        block = _indented(block)
    return "".join(lines[:first] + lines[after:] + block)


def _indented(block: list[str]) -> list[str]:
    """Return a findings block whose items stand two spaces in, as the lines to come will."""
    items = [line for line in block[1:] if line.lstrip().startswith("-")]
    depth = len(items[0]) - len(items[0].lstrip()) if items else 2
    if depth == 2:
        return block
    shifted = [" " * 2 + line[depth:] if line.strip() else line for line in block[1:]]
    return [block[0], *shifted]
