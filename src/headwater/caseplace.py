"""Where the case is that a command line names: in a file, or in the ledger, never in both.

A name with an ending or a folder in it, or of a file that is there, is a file's. Any other is that
of a case in the ledger, where there is a ledger; without one it is a file's as well.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from headwater.case.casestore import CaseStore
from headwater.case.model import Case
from headwater.case.picture import MOST_PICTURE, is_picture, name_of_picture
from headwater.case.read import CaseError, check_place, read_case
from headwater.case.store import CaseWriter, Say
from headwater.errors import Place
from headwater.files import SOURCES, ReadError, is_blank, read_bytes, write_whole
from headwater.ledger.place import ledger_here
from headwater.yamltext import quote

if TYPE_CHECKING:
    from headwater.ledger.door import Ledger


class CasePlace(Protocol):
    """A place for one case."""

    @property
    def name(self) -> str:
        """The case as the command line names it."""

    @property
    def stem(self) -> str:
        """What a new case is called."""

    @property
    def where(self) -> str:
        """Words for where it is saved."""

    def check(self) -> None:
        """Raise HeadwaterError where a new case cannot be made here."""

    def check_folder(self) -> None:
        """Raise HeadwaterError where there is nothing in which a case could be."""

    def is_there(self) -> bool:
        """Say whether something is here, a case or an empty beginning of one."""

    def is_new(self) -> bool:
        """Say whether no case is here yet."""

    def open(self, say: Say) -> CaseStore:
        """Open the case that is here."""

    def create(self, text: str, say: Say) -> CaseStore:
        """Make a new case of a text and open it."""

    def read(self, say: Say | None = None) -> Case:
        """Return the case that is here, without opening it."""

    def keep_picture(self, name: str, data: bytes) -> None:
        """Keep a photograph with the case, under the name that its digest gives it."""

    def picture(self, name: str) -> bytes | None:
        """Return a photograph that is kept with the case; None where it is not there."""

    def drop(self) -> None:
        """Take away a new case in which nothing was said."""

    def name_earlier(self, store: CaseStore, earlier: Path | None) -> None:
        """Write into a case which one was the earlier, if it has none."""

    def close(self) -> None:
        """Give back what was opened to look at it."""


@dataclass(frozen=True, slots=True)
class FilePlace:
    """A case in a file of its own."""

    path: Path

    @property
    def name(self) -> str:
        """The case as the command line names it."""
        return str(self.path)

    @property
    def stem(self) -> str:
        """What a new case is called."""
        return self.path.stem

    @property
    def where(self) -> str:
        """Words for where it is saved."""
        return self.name

    def check(self) -> None:
        """Raise HeadwaterError where a new case cannot be made here."""
        check_place(self.path)

    def check_folder(self) -> None:
        """Raise CaseError where there is no folder for the file."""
        if not self.path.parent.is_dir():
            text = "there is no such folder; make it, or choose another"
            raise CaseError(text, Place(self.name))

    def is_there(self) -> bool:
        """Say whether something is here, a case or an empty beginning of one."""
        return self.path.exists()

    def is_new(self) -> bool:
        """Say whether no case is here yet."""
        return is_blank(self.path)

    def open(self, say: Say) -> CaseWriter:
        """Open the case that is here."""
        return CaseWriter(self.path, say)

    def create(self, text: str, say: Say) -> CaseWriter:
        """Make a new case of a text and open it."""
        return CaseWriter.create(self.path, text, say)

    def read(self, say: Say | None = None) -> Case:
        """Return the case that is here, without opening it."""
        return read_case(self.path, say)

    def keep_picture(self, name: str, data: bytes) -> None:
        """Write a photograph beside the case, where it is not there yet."""
        if self.picture(name) != data:
            write_whole(self.path.with_name(name), data)

    def picture(self, name: str) -> bytes | None:
        """Return a photograph that lies beside the case and is what its name says."""
        beside = self.path.with_name(name)
        try:
            data = read_bytes(beside, max_bytes=MOST_PICTURE) if is_picture(name) else None
        except ReadError:
            return None
        return data if data is not None and name_of_picture(data) == name else None

    def drop(self) -> None:
        """Take away a new case in which nothing was said."""
        self.path.unlink()

    def name_earlier(self, store: CaseStore, earlier: Path | None) -> None:
        """Write the file of the earlier case into a case, relative to the case's own folder."""
        if earlier is not None and not store.case().earlier:
            store.tell(f"earlier: {quote(os.path.relpath(earlier, self.path.parent))}\n")

    def close(self) -> None:
        """Nothing is left open: the store looks after itself."""


@dataclass(frozen=True, slots=True)
class LedgerPlace:
    """A case in the ledger. `who` works on it; without a name whoever is logged in does."""

    ledger: Ledger
    name: str
    who: str = ""

    @property
    def stem(self) -> str:
        """What a new case is called."""
        return self.name

    @property
    def where(self) -> str:
        """Words for where it is saved."""
        return f"the ledger as '{self.name}'"

    def check(self) -> None:
        """Nothing speaks against a new case: the ledger is open."""

    def check_folder(self) -> None:
        """Nothing speaks against it, either."""

    def is_there(self) -> bool:
        """Say whether a case of the name is in the ledger."""
        from headwater.ledger.kept import has_case

        return has_case(self.ledger, self.name)

    def is_new(self) -> bool:
        """Say whether no case is here yet."""
        return not self.is_there()

    def open(self, say: Say) -> CaseStore:  # noqa: ARG002 - nothing is ever torn here
        """Open the case that is here."""
        from headwater.ledger.hand import this_hand
        from headwater.ledger.kept import LedgerCase

        return LedgerCase(self.ledger, self.name, this_hand(self.who))

    def create(self, text: str, say: Say) -> CaseStore:
        """Make a new case of a text and open it."""
        from headwater.ledger.hand import this_hand
        from headwater.ledger.taken import add_case, case_file_of

        add_case(self.ledger, case_file_of(text, self.name), this_hand(self.who))
        return self.open(say)

    def read(self, say: Say | None = None) -> Case:  # noqa: ARG002 - as above
        """Return the case that is here, without opening it."""
        from headwater.ledger.kept import LedgerCase

        return LedgerCase(self.ledger, self.name).case()

    def keep_picture(self, name: str, data: bytes) -> None:
        """Put a photograph into the ledger, where it is not there yet."""
        from headwater.ledger.taken import keep_picture

        keep_picture(self.ledger, self.name, name, data)

    def picture(self, name: str) -> bytes | None:
        """Return a photograph out of the ledger."""
        from headwater.ledger.taken import picture_of

        return picture_of(self.ledger, self.name, name)

    def drop(self) -> None:
        """Take away a new case in which nothing was said."""
        from headwater.ledger.hand import this_hand
        from headwater.ledger.kept import drop_empty

        drop_empty(self.ledger, self.name, this_hand(self.who))

    def name_earlier(self, store: CaseStore, earlier: Path | None) -> None:
        """Say which case of the ledger was the earlier one."""
        from headwater.ledger.kept import LedgerCase

        if earlier is not None and isinstance(store, LedgerCase) and not store.case().earlier:
            store.follow(str(earlier))

    def close(self) -> None:
        """Close the ledger."""
        self.ledger.close()


def case_place(path: Path) -> CasePlace:
    """Return where a case is, by its name. Raises LedgerError where the ledger cannot be used."""
    plain = len(path.parts) == 1 and path.suffix.lower() not in SOURCES
    address = ledger_here(os.environ) if plain and not os.path.lexists(path) else None
    if address is None:
        return FilePlace(path)
    from headwater.ledger.extra import needs_extra

    with needs_extra():
        from headwater.ledger.door import open_ledger

    return LedgerPlace(open_ledger(address), str(path))


def check_earlier(place: CasePlace, earlier: Path | None) -> None:
    """Raise HeadwaterError where an earlier case is none: before a case is begun."""
    if earlier is None:
        return
    if isinstance(place, LedgerPlace):
        LedgerPlace(place.ledger, str(earlier)).read()
    else:
        read_case(earlier)
