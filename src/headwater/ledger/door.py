"""The door to the ledger: makes it, opens it, and turns every fault of a data base into one line.

SQLite needs three things that its driver does not do by itself, or changes get lost: transactions
begin at once with the right to write (`BEGIN IMMEDIATE`), so that what is read before a change
still holds when it is written; every connection has its own settings; and the log written ahead
(WAL) is never used on a network share, where its shared memory does not work.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, insert, select, update
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from headwater.errors import Place
from headwater.files import fault_of_folder, odd_kind
from headwater.ledger.migrations import NEWEST, take_steps
from headwater.ledger.place import is_address
from headwater.ledger.records import LedgerError
from headwater.ledger.share import network_share
from headwater.ledger.tables import META, about

MARK = 0x48776C31
"""Stands in the head of a file of SQLite that is a ledger (its `application_id`)."""
PATIENCE_MS = 10_000
"""How long one waits for another who writes."""

WRITTEN_AHEAD = 4_000
"""Pages (16 MB) of the log written ahead before they go to their places: a case touches a page for
each of its words, and the same pages come again with the next one."""


@dataclass(frozen=True, slots=True)
class Ledger:
    """An open ledger; threads may share it. `place` names it in messages, without a password."""

    engine: Engine
    place: Place

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Hand out a transaction that may write: all of it is kept, on disk, or nothing."""
        with told(self.place), self.engine.begin() as connection:
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Hand out a transaction that only reads; nobody waits for it."""
        engine = self.engine.execution_options(only_reads=True)
        if engine.dialect.name != "sqlite":  # one moment for all that is read
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with told(self.place), engine.begin() as connection:
            yield connection

    @contextmanager
    def counting(self) -> Iterator[Connection]:
        """Hand out a transaction that only reads, for statements that go through every case."""
        with self.reading() as connection:
            if connection.dialect.name == "postgresql":  # compiling them takes longer than they do
                connection.exec_driver_sql("SET LOCAL jit = off")
            yield connection

    def setting(self, key: str, without: str = "") -> str:
        """Return a setting of the shop's."""
        with self.reading() as connection:
            found = connection.scalar(select(about.c.value).where(about.c.key == key))
            return without if found is None else str(found)

    @property
    def file(self) -> Path | None:
        """The file, if it is one."""
        name = self.engine.url.database
        return Path(name) if self.engine.dialect.name == "sqlite" and name else None

    def close(self) -> None:
        """Give everything back."""
        self.engine.dispose()


def make_ledger(address: str, settings: dict[str, str]) -> Ledger:
    """Make a new, empty ledger. Raises LedgerError where there is one, or something else."""
    url, place = url_of(address)
    file = _file_of(url)
    if file is not None:
        _check_new(file, place)
        with told(place):
            _mark(file)
    ledger = Ledger(_engine(url, place), place)
    with ledger.writing() as connection:
        if connection.dialect.has_table(connection, about.name):
            raise LedgerError("is a ledger already; use it, or choose another place", place)
        META.create_all(connection)
        rows = {"schema": str(NEWEST), **settings}
        connection.execute(insert(about), [{"key": k, "value": v} for k, v in rows.items()])
    return ledger


def _mark(file: Path) -> None:
    """Mark a file of SQLite as a ledger, before anything may be written ahead beside it."""
    connection = sqlite3.connect(file, isolation_level=None)
    try:
        connection.execute(f"PRAGMA application_id = {MARK}")
    finally:
        connection.close()


def open_ledger(address: str) -> Ledger:
    """Open a ledger, and bring an older one into the newest shape. Raises LedgerError."""
    url, place = url_of(address)
    if (file := _file_of(url)) is not None:
        check_file(file, place)
    ledger = Ledger(_engine(url, place), place)
    try:
        _into_shape(ledger)
    except BaseException:
        ledger.close()
        raise
    return ledger


def _into_shape(ledger: Ledger) -> None:
    with ledger.reading() as connection:
        if not connection.dialect.has_table(connection, about.name):
            raise LedgerError("holds no ledger; 'headwater ledger init' makes one", ledger.place)
    if _shape(ledger.setting("schema"), ledger.place) == NEWEST:
        return
    with ledger.writing() as connection:  # another may have done it in between: ask once more
        told_shape = connection.scalar(select(about.c.value).where(about.c.key == "schema"))
        take_steps(connection, _shape(str(told_shape), ledger.place))
        connection.execute(update(about).where(about.c.key == "schema").values(value=str(NEWEST)))


def _shape(told_shape: str, place: Place) -> int:
    shape = int(told_shape) if told_shape.isdecimal() else 0
    if not shape:
        raise LedgerError("is damaged: it does not say which shape it has; restore a backup", place)
    if shape > NEWEST:
        text = f"was written by a newer Headwater (shape {shape}; this one knows {NEWEST})"
        raise LedgerError(f"{text}; install that one", place)
    return shape


# Addresses and files ----------------------------------------------------------------------------


def url_of(address: str) -> tuple[URL, Place]:
    """Return an address as the library wants it, and how it is named. Raises LedgerError."""
    if not is_address(address):
        return URL.create("sqlite", database=address), Place(address)
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        text = "is no address of a ledger; write a file's name, or postgresql://HOST/NAME"
        raise LedgerError(text, Place(address.partition("@")[2] or "--ledger")) from None
    place = Place(url.render_as_string(hide_password=True))
    kind = url.get_backend_name()
    if kind == "sqlite" and url.database:
        return url, Place(url.database)
    if kind == "postgresql":
        return url.set(drivername="postgresql+psycopg"), place
    raise LedgerError("is no file and no PostgreSQL; a ledger is one of the two", place)


def _file_of(url: URL) -> Path | None:
    return Path(url.database or "") if url.get_backend_name() == "sqlite" else None


def _check_new(file: Path, place: Place) -> None:
    if os.path.lexists(file) and file.stat().st_size:
        check_file(file, place)  # its tables say whether it was made to the end
    _refuse_share(file, place)
    if fault := fault_of_folder(file.parent):
        raise LedgerError(fault, place)


def check_file(file: Path, place: Place) -> None:
    """Raise LedgerError where a file is no ledger, before a data base opens it."""
    try:
        mode = file.stat().st_mode
        if kind := odd_kind(mode):
            raise LedgerError(f"is {kind}; name the file of a ledger", place)
        with file.open("rb") as handle:
            head = handle.read(100)
    except FileNotFoundError:
        text = "there is no ledger here; 'headwater ledger init' makes one"
        raise LedgerError(text, place) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise LedgerError(f"cannot be read ({reason}); see to who may read it", place) from None
    if not head.startswith(b"SQLite format 3\0"):
        raise LedgerError("is no ledger; choose another file, or restore a backup", place)
    if int.from_bytes(head[68:72], "big") != MARK:
        raise LedgerError("is a data base of something else; choose another file", place)
    _refuse_share(file, place)


def _refuse_share(file: Path, place: Place) -> None:
    if kind := network_share(file):
        text = f"is on a network share ({kind}), where a file cannot serve several machines safely"
        raise LedgerError(f"{text}; use PostgreSQL: --ledger postgresql://HOST/NAME", place)


# The engine -------------------------------------------------------------------------------------


def _engine(url: URL, place: Place) -> Engine:
    sqlite = url.get_backend_name() == "sqlite"
    arguments: dict[str, Any] = {"isolation_level": None} if sqlite else {}
    try:
        engine = create_engine(url, connect_args=arguments)
    except (ModuleNotFoundError, NoSuchModuleError):
        text = (
            "PostgreSQL needs the extra 'postgres': pip install '.[postgres]' in Headwater's folder"
        )
        raise LedgerError(text, place) from None
    if sqlite:
        event.listen(engine, "connect", _settle)
        event.listen(engine, "begin", _begin)
    return engine


def _settle(connection: sqlite3.Connection, _: object) -> None:
    """Set what holds for one connection of SQLite alone."""
    for pragma in (
        f"busy_timeout = {PATIENCE_MS}",
        "journal_mode = WAL",
        f"wal_autocheckpoint = {WRITTEN_AHEAD}",
        "synchronous = FULL",  # what was answered is on disk, whatever comes
        "temp_store = MEMORY",
        "foreign_keys = ON",
        "cell_size_check = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    reads = connection.get_execution_options().get("only_reads")
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


# Faults -----------------------------------------------------------------------------------------

_MENDS = {
    "locked": "is in use by another program; wait a moment and try again",
    "disk is full": "cannot be written (the disk is full); nothing was changed",
    "disk i/o": "cannot be read or written (the disk is at fault); restore a backup elsewhere",
    "readonly": "cannot be written; see to who may write it and its folder",
    "unable to open": "cannot be opened; see to who may read it and its folder",
    "malformed": "is damaged; 'headwater ledger restore' brings a backup back",
    "not a database": "is damaged; 'headwater ledger restore' brings a backup back",
    "no such": "is damaged (a part of it is missing); restore a backup",
    "connection": "cannot be reached; see to the address, and whether it runs",
    "permission denied": "may not be used by this name; ask whoever looks after the data base",
    "authentication": "may not be used by this name; see to name and password",
}
"""A sign of what a data base says -> what it means and how to mend it."""


@contextmanager
def told(place: Place) -> Iterator[None]:
    """Turn a fault of the data base into a LedgerError."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        said = " ".join(str(error.orig if isinstance(error, DBAPIError) else error).split())
        mend = next((mend for sign, mend in _MENDS.items() if sign in said.lower()), "")
        raise LedgerError(mend or f"cannot be used ({said[:120]})", place) from None
