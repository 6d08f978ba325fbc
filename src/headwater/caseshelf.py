"""Where all the cases are that the pages show: a folder of case files, or the ledger."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from headwater.case.model import Case
from headwater.case.read import CaseError, read_case
from headwater.caseplace import CasePlace, FilePlace, LedgerPlace
from headwater.errors import HeadwaterError, Place
from headwater.files import fault_of_folder, read_bytes
from headwater.ledger.records import CaseList, CaseRow, CaseState

if TYPE_CHECKING:
    from headwater.ledger.door import Ledger

ENDINGS = (".yaml", ".yml")
MOST_FILES = 500
"""Case files of a folder that are listed, the last changed first; with more one keeps a ledger."""


class CaseShelf(Protocol):
    """All cases of a shop."""

    @property
    def where(self) -> str:
        """Words for where the cases are."""

    @property
    def ledger(self) -> Ledger | None:
        """The ledger, where that is where they are."""

    def cases(self, words: str = "", states: Iterable[CaseState] = ()) -> CaseList:
        """Return the cases that have some words, in some states; the last changed first."""

    def place(self, name: str, who: str = "") -> CasePlace:
        """Return the place of a case that is here; `who` works on it, where that is taken down.

        Raises CaseError where there is none.
        """

    def new_place(self, name: str, who: str = "") -> CasePlace:
        """Return the place of a case to be made. Raises HeadwaterError where it cannot be."""

    def wait(self, name: str, waits_for: str, who: str = "") -> None:
        """Say for whom or what a case waits. Raises HeadwaterError where that cannot be kept."""


@dataclass(frozen=True, slots=True)
class FolderShelf:
    """Case files in a folder; a case is called as its file is, without its ending.

    Nothing outside the folder is ever reached: a name is looked for among the files that are there.
    """

    folder: Path
    _read: dict[Path, tuple[tuple[int, int], CaseRow | None]] = field(default_factory=dict)

    @property
    def where(self) -> str:
        """Words for where the cases are."""
        return str(self.folder)

    @property
    def ledger(self) -> None:
        """There is none."""

    def cases(self, words: str = "", states: Iterable[CaseState] = ()) -> CaseList:
        """Return the case files; a file that is none is left out."""
        wanted, kept = words.lower().split(), frozenset(states)
        files = sorted(self._files(), key=lambda path: -path.stat().st_mtime_ns)
        rows = [row for path in files[:MOST_FILES] if (row := self._row(path))]
        fit = tuple(
            row
            for row in rows
            if (not kept or row.state in kept) and all(word in _text(row) for word in wanted)
        )
        return CaseList(fit, len(fit), words, len(files) > MOST_FILES)

    def place(self, name: str, who: str = "") -> CasePlace:  # noqa: ARG002 - a file has no log
        """Return the place of a case file that is here."""
        found = next((path for path in self._files() if path.stem == name), None)
        if found is None:
            raise CaseError("there is no such case here; choose one of the list", Place(name))
        return FilePlace(found)

    def new_place(self, name: str, who: str = "") -> CasePlace:  # noqa: ARG002 - as above
        """Return the place of a case file to be made."""
        if not name or name.startswith(".") or not _PLAIN.issuperset(name.lower()):
            text = "a case is called by letters, figures, '-', '_' and '.'; choose such a name"
            raise CaseError(text, Place(name))
        if fault := fault_of_folder(self.folder):
            raise CaseError(fault, Place(str(self.folder)))
        if any(path.stem == name for path in self._files()):
            raise CaseError("exists already; open it or choose another name", Place(name))
        return FilePlace(self.folder / f"{name}{ENDINGS[0]}")

    def wait(self, name: str, waits_for: str, who: str = "") -> None:  # noqa: ARG002 - as above
        """Raise CaseError: how far a case is stands in a ledger alone."""
        text = "what a case waits for is kept in a ledger: headwater ledger init"
        raise CaseError(text, Place(name))

    def _files(self) -> Iterator[Path]:
        """Yield the ordinary files of the folder that may be cases; no link leads out of it."""
        with os.scandir(self.folder) as entries:
            for entry in entries:
                if entry.name.endswith(ENDINGS) and entry.is_file(follow_symlinks=False):
                    yield self.folder / entry.name

    def _row(self, path: Path) -> CaseRow | None:
        """Return a case file as a row; read again only once it has changed."""
        state = path.stat()
        stamp = (state.st_mtime_ns, state.st_size)
        if self._read.get(path, ((0, 0), None))[0] != stamp:
            self._read[path] = (stamp, _row_of(path, state.st_mtime))
        return self._read[path][1]


_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-_.")


def _row_of(path: Path, changed: float) -> CaseRow | None:
    try:
        if b"case:" not in read_bytes(path):
            return None
        case = read_case(path, lambda _: None)
    except HeadwaterError:
        return None
    moment = datetime.fromtimestamp(changed).isoformat(" ", "minutes")
    return CaseRow(
        path.stem,
        _state(case),
        "",
        case.customer,
        case.vehicle,
        case.unit.number,
        case.complaint,
        len(case.findings),
        "",
        moment,
    )


def _state(case: Case) -> CaseState:
    """Return how far a case is, as far as its file says."""
    return CaseState.DONE if case.done else CaseState.OPEN


def _text(row: CaseRow) -> str:
    return " ".join((row.case, row.customer, row.vehicle, row.unit, row.complaint)).lower()


@dataclass(frozen=True, slots=True)
class LedgerShelf:
    """The cases of a ledger."""

    ledger: Ledger

    @property
    def where(self) -> str:
        """Words for where the cases are."""
        return str(self.ledger.place)

    def cases(self, words: str = "", states: Iterable[CaseState] = ()) -> CaseList:
        """Return the cases; with words, those that have them, of whatever state."""
        from headwater.ledger.look import find_cases, list_cases

        return find_cases(self.ledger, words) if words else list_cases(self.ledger, states)

    def place(self, name: str, who: str = "") -> CasePlace:
        """Return the place of a case that is in the ledger."""
        place = LedgerPlace(self.ledger, name, who)
        if not place.is_there():
            raise CaseError("there is no such case here; choose one of the list", Place(name))
        return place

    def new_place(self, name: str, who: str = "") -> CasePlace:
        """Return the place of a case to be made."""
        place = LedgerPlace(self.ledger, name, who)
        if not name.strip() or place.is_there():
            raise CaseError("exists already, or has no name; choose another", Place(name))
        return place

    def wait(self, name: str, waits_for: str, who: str = "") -> None:
        """Say for whom or what a case waits."""
        from headwater.ledger.hand import this_hand
        from headwater.ledger.outcome import mark_case

        if not waits_for:
            raise CaseError("say for whom or what it waits", Place(name))
        mark_case(self.ledger, name, CaseState.WAITING, waits_for, this_hand(who))


def open_shelf(folder: Path | None, address: str | None) -> CaseShelf:
    """Return the cases of a folder that is named, else of the ledger, else of where one works.

    Raises HeadwaterError where they cannot be used.
    """
    if folder is None and address is not None:
        from headwater.ledger.extra import needs_extra

        with needs_extra():
            from headwater.ledger.door import open_ledger

        return LedgerShelf(open_ledger(address))
    here = Path() if folder is None else folder
    if not here.is_dir():
        raise CaseError("there is no such folder; make it, or choose another", Place(str(here)))
    return FolderShelf(here.resolve())
