"""Writes a case file so that a crash loses nothing that was answered.

The findings are the last block of the file. Each new one is one line, written in one call and
forced to disk before the next question; if the disk refuses, the file is cut back to its last
whole line. A lock on the file keeps a second session out, where the system has locks, and what
is done to the file in mid session is noticed: no answer goes to where nobody finds it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import Any

from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.book.things import NOWHERE
from headwater.case.grow import with_findings_last, without_complaint
from headwater.case.model import Case, EarlierWork, LogEntry
from headwater.case.plain import earlier_data, entry_data, filled
from headwater.case.read import (
    CaseError,
    parse_case,
    refuse_json,
    torn_words,
    whole_size,
)
from headwater.errors import HeadwaterError, Place
from headwater.files import (
    MAX_BYTES,
    NameTakenError,
    ReadError,
    WriteError,
    read_bytes,
    reason_of,
    write_beside,
)
from headwater.measure.answer import RawAnswer
from headwater.watched import Fate, WatchedFile, make_watched
from headwater.yamltext import Table, Value, parse, quote, text_of


def new_case_text(
    name: str,
    book: Book,
    family: Mapping[str, str],
    seat: Seat,
    complaint: str = "",
    removed: Iterable[str] | None = None,
    about: Mapping[str, str] | None = None,
) -> str:
    """Return the text of a case without findings; `removed` is left out where nothing is said."""
    lines = [
        f"case: {quote(name)}",
        "book: " + _flow({"name": book.name, "version": book.version, "digest": book.digest}),
        f"seat: {seat.value}",
    ]
    if complaint:
        lines.append(f"complaint: {quote(complaint)}")
    lines += [f"{key}: {quote(value)}" for key, value in (about or {}).items() if value]
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


def case_data(case: Case) -> dict[str, Any]:
    """Return a case as plain data with the keys of its file; what is empty is left out."""
    unit, result = case.unit, case.outcome
    data: dict[str, Any] = {
        "case": case.case,
        "book": case.book and asdict(case.book),
        "seat": case.seat.value,
        "complaint": case.complaint,
        "customer": case.customer,
        "phone": case.phone,
        "vehicle": case.vehicle,
        "distance": case.distance,
        "photographs": list(case.photographs) or None,
        "unit": filled(
            {
                "family": dict(unit.family),
                "number": unit.number,
                "history": unit.history,
                "removed": None if unit.removed is None else list(map(str, unit.removed)),
            }
        ),
        "done": [
            filled({"action": one.action, "on": str(one.on), "note": one.note}) for one in case.done
        ]
        or None,
        "outcome": result
        and filled({"comeback": result.comeback, "after": result.after, "note": result.note}),
        "earlier": case.earlier,
        "before": case.before and earlier_data(case.before),
        "findings": [entry_data(entry) for entry in case.findings],
    }
    return filled(data)


def earlier_line(work: EarlierWork) -> str:
    """Return what is told of earlier work as one line of a case file, newline included."""
    return f"before: {_written(earlier_data(work))}\n"


Say = Callable[[str], None]


def unsaid(words: str) -> None:
    """Say nothing: for whoever has nobody to say it to."""


class CaseWriter:
    """An open case file, locked and watched; a context manager.

    A change to the file from outside is told as CaseError that names where the answers are; what
    was mended on the spot is only `say`d.
    """

    def __init__(self, path: Path, say: Say = unsaid) -> None:
        """Open the file for appending. Raises CaseError when it is in use or cannot be written."""
        refuse_json(path)
        self.path = Path(os.path.realpath(path))  # a link to a case is followed, not replaced
        self._place, self._say = Place(str(path)), say
        self._ours = False  # whether anything in it was written by this session
        self._lost = ""  # what was said when it was found changed
        self._mend = "see to who may write it, or go on in a copy"
        with self._refusing():
            self._file = WatchedFile(self.path)
            try:
                self._cut_torn_off()
                self._findings_last()
            except BaseException:
                self.close()
                raise
        self._mend = "this is not saved, all before it is"
        if not self._file.locked:
            say(f"{path}: {_NO_LOCKS}")

    @classmethod
    def create(cls, path: Path, text: str, say: Say = unsaid) -> CaseWriter:
        """Make a new case file and open it. Raises CaseError when it exists or cannot be made."""
        refuse_json(path)
        place = Place(str(path))
        try:
            make_watched(path, text)
        except NameTakenError:
            raise CaseError("exists already; open it or choose another name", place) from None
        except OSError as error:
            raise CaseError(f"cannot be made ({reason_of(error)})", place) from None
        except (ReadError, WriteError) as error:
            raise CaseError(error.message, place) from None
        writer = cls(path, say)
        writer._ours = True
        return writer

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        """Turn what the system refuses into a CaseError."""
        try:
            yield
        except BlockingIOError:
            text = "is open in another session; close that one first"
            raise CaseError(text, self._place) from None
        except OSError as error:
            text = f"cannot be written ({reason_of(error)}); {self._mend}"
            raise CaseError(text, self._place) from None
        except (ReadError, WriteError) as error:
            raise CaseError(error.message, self._place) from None

    def case(self) -> Case:
        """Return the case as it stands in the file."""
        return parse_case(self._text(self._file.text), self._place.file)

    def _text(self, raw: bytes) -> str:
        return text_of(raw, self._place.file)

    def append(self, line: str) -> None:
        """Write one finding and force it to disk; all of it or, on failure, nothing."""
        data = line.encode()
        self._look(lambda text: text + line)
        self._check_room(len(self._file.text) + len(data))
        with self._refusing():
            stayed = self._file.append(data)
        self._ours = True
        if not stayed:
            self._look()

    def tell(self, lines: str) -> None:
        """Put more of the case before its findings; a crash leaves the old file or the new one."""

        def told(text: str) -> str:
            table = parse(text, self._place.file).data
            assert isinstance(table, Table)
            first = table.key_places["findings"].line - 1
            rows = text.splitlines(keepends=True)
            return "".join([*rows[:first], lines, *rows[first:]])

        self._look(told)
        self._rewrite(told(self._text(self._file.text)))
        self._ours = True

    def confirm(self) -> None:
        """Make sure that the case is in its place with all that was answered. Raises CaseError."""
        self._file.cut_back()
        if not self._lost and self._file.look() is Fate.LONGER and self._is_read():
            self._say(f"{self._place}: {Fate.LONGER.value}; what was answered here is in it too")
        else:
            self._look()

    def _is_read(self) -> bool:
        """Say whether what stands in the place now is a case."""
        with suppress(HeadwaterError):
            parse_case(self._text(read_bytes(self.path)), self._place.file)
            return True
        return False

    def _look(self, add: Callable[[str], str] = str) -> None:
        """Hold the file against what is known of it, before it is changed as by `add`.

        Raises CaseError, and says where all of it is, unless the file is as it was.
        """
        if self._lost:
            raise CaseError(self._lost, self._place)
        seen = self._file.look()
        if seen is Fate.SAME or (seen is Fate.COPY and self._follows(seen)):
            return
        mine = add(self._text(self._file.text))
        merged = seen is Fate.LONGER and self._merges(add)
        kept = _MERGED if merged else self._kept(mine)
        self._lost = f"{seen.value} while it was open here; {kept}"
        raise CaseError(self._lost, self._place)

    def _follows(self, seen: Fate) -> bool:
        """Go on in a copy that was put in place of the file; False where somebody else has it."""
        try:
            self._file.take_what_is_there()
        except (OSError, HeadwaterError):
            return False
        self._say(f"{self._place}: {seen.value}; this session goes on in it")
        return True

    def _merges(self, add: Callable[[str], str]) -> bool:
        """Change what others only appended to as well, where a case comes of it."""
        try:
            self._file.take_what_is_there()
            theirs = self._text(self._file.text)
            text = add(theirs if theirs.endswith("\n") else theirs + "\n")
            parse_case(text, self._place.file)
            self._rewrite(text)
        except (OSError, HeadwaterError):
            return False
        return True

    def _kept(self, text: str) -> str:
        """Put all that this session knows into a file beside the case; return words for it."""
        if not self._ours and text == self._text(self._file.text):
            return "nothing was answered here"
        try:
            beside = write_beside(self.path, text, "kept")
        except WriteError as error:
            return f"what was answered here {error.message.partition(';')[0]}"
        return f"all that was answered here is in {beside}: go on with that"

    def _check_room(self, size: int) -> None:
        if size > MAX_BYTES:
            text = f"would be larger than {MAX_BYTES // 1_000_000} MB, the most that is read"
            raise CaseError(f"{text}; this answer is not saved", self._place)

    def _cut_torn_off(self) -> None:
        raw = self._file.text
        size = whole_size(raw, self._place.file)
        if size < len(raw):
            self._file.cut_to(size)
            self._say(f"{self._place}: {torn_words(raw[size:])} is cut off; the rest is whole")

    def forget_complaint(self) -> None:
        """Take the customer's first words out of the file again, where they stand on a line."""
        text = self._text(self._file.text)
        wanted = without_complaint(text, self._place.file)
        if wanted != text:
            self._rewrite(wanted)

    def _findings_last(self) -> None:
        """Bring a file written by hand into the shape that can be appended to."""
        text = self._text(self._file.text)
        parse_case(text, self._place.file)
        wanted = with_findings_last(text, self._place.file)
        if wanted != text:
            self._rewrite(wanted)

    def _rewrite(self, text: str) -> None:
        """Put a whole new text in place of the file; a crash leaves the old one or the new one."""
        self._check_room(len(text.encode()))
        with self._refusing():
            self._file.replace(text)

    def close(self) -> None:
        """Close the file and give up the lock."""
        self._file.close()

    def __enter__(self) -> CaseWriter:
        """Return the writer."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        """Close the file. Raises CaseError, unless one is on its way, if answers are not in it."""
        try:
            if kind is None or not issubclass(kind, CaseError):
                self.confirm()
        finally:
            self.close()


_MERGED = "what was answered here was added too: open it again to go on"
_NO_LOCKS = "this file system has no locks: see to it that nobody else has the case open"
