"""Backup and restore: a backup is a ledger of its own in one file, from whatever kind it was made.

It is made in one reading transaction while others go on writing, so it holds one moment. It is
only called done once it was opened and looked through; so is what was restored from it.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import (
    Connection,
    RowMapping,
    Select,
    Table,
    bindparam,
    func,
    insert,
    select,
    text,
    update,
)

from headwater.errors import Place
from headwater.files import fault_of_folder
from headwater.ledger.door import Ledger, check_file, make_ledger, open_ledger
from headwater.ledger.records import LedgerError
from headwater.ledger.soundness import problems_of
from headwater.ledger.tables import META, about, cases

AT_ONCE = 500
"""Rows that are copied in one go."""


def back_up(ledger: Ledger, file: Path) -> dict[str, int]:
    """Write all of a ledger into a new file; return how many rows of each table are in it.

    Raises LedgerError, and then no file is there.
    """
    place = Place(str(file))
    if os.path.lexists(file):
        raise LedgerError("exists already; choose another name", place)
    if fault := fault_of_folder(file.parent):
        raise LedgerError(fault, place)
    beside = file.with_name(f".headwater-{os.urandom(8).hex()}")
    try:
        counts = _copied(ledger, str(beside))
        _name(beside, file)
    except FileExistsError:
        raise LedgerError("exists already; choose another name", place) from None
    finally:
        _remove(beside)
    return counts


def restore(file: Path, address: str) -> dict[str, int]:
    """Make a new ledger of a backup; return how many rows of each table are in it.

    Raises LedgerError where there is a ledger already: nothing is written over.
    """
    place = Place(str(file))
    check_file(file, place)
    with TemporaryDirectory(prefix="headwater-") as folder:  # the backup itself is left as it is
        copy = Path(folder, "copy.sqlite")
        shutil.copyfile(file, copy)
        try:
            backup = open_ledger(str(copy))
        except LedgerError as error:
            raise LedgerError(error.message, place) from None
        try:
            if found := problems_of(backup, whole=False):
                raise LedgerError(f"is damaged ({found[0]}); take an older backup", place)
            return _copied(backup, address)
        finally:
            backup.close()


def _copied(source: Ledger, address: str) -> dict[str, int]:
    """Copy a ledger into a new one, and look the new one through."""
    target = make_ledger(address, {})
    try:
        with source.reading() as there, target.writing() as here:
            counts = {table.name: _copy(table, there, here) for table in META.sorted_tables}
            found = {t.name: _count(t, here) for t in META.sorted_tables}
        if found != counts:
            raise LedgerError("did not come out as it went in; try again", target.place)
        if problems := problems_of(target, whole=False):
            raise LedgerError(f"did not come out whole ({problems[0]})", target.place)
        _settle(target)
        return counts
    except BaseException:
        _undo(target)
        raise
    finally:
        target.close()


def _undo(target: Ledger) -> None:
    """Take away what was begun and did not come to its end."""
    if target.file is not None:
        target.close()
        _remove(target.file)
    else:
        META.drop_all(target.engine)


def _copy(table: Table, there: Connection, here: Connection) -> int:
    if table is about:
        here.execute(about.delete())
    number, last = 0, 0
    rows = there.execution_options(yield_per=AT_ONCE).execute(_ordered(table))
    for some in rows.mappings().partitions(AT_ONCE):
        here.execute(insert(table), [_unlinked(table, row) for row in some])
        number += len(some)
        last = max([last, *(row["id"] for row in some if "id" in row)])
    if table is cases:
        _link_earlier(there, here)
    if last and here.dialect.name == "postgresql":
        counter = text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)")
        here.execute(counter, {"name": table.name, "last": last})
    return number


def _unlinked(table: Table, row: RowMapping) -> dict[str, Any]:
    return dict(row) | ({"earlier": None} if table is cases else {})


def _ordered(table: Table) -> Select[*tuple[Any, ...]]:
    return select(table).order_by(*table.primary_key.columns)


def _link_earlier(there: Connection, here: Connection) -> None:
    """Say of each case which one was the earlier: once all are there, for either may come first."""
    wanted = select(cases.c.id, cases.c.earlier).where(cases.c.earlier.is_not(None))
    rows = [{"later": later, "before": before} for later, before in there.execute(wanted)]
    if rows:
        mine = update(cases).where(cases.c.id == bindparam("later"))
        here.execute(mine.values(earlier=bindparam("before")), rows)


def _count(table: Table, connection: Connection) -> int:
    return connection.scalar(select(func.count()).select_from(table)) or 0


def _settle(target: Ledger) -> None:
    """Bring what was written ahead into the file itself, so that it can be moved alone."""
    if target.engine.dialect.name == "sqlite":
        with target.engine.connect() as connection:
            raw = connection.connection.driver_connection
            assert raw is not None
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _name(beside: Path, file: Path) -> None:
    """Give a finished file its name, unless somebody else took it. Raises FileExistsError."""
    try:
        os.link(beside, file)
    except FileExistsError:
        raise
    except OSError:  # no hard links here
        beside.rename(file)


def _remove(file: Path) -> None:
    for one in _parts(file):
        with suppress(OSError):
            one.unlink()


def _parts(file: Path) -> Iterator[Path]:
    yield file
    yield from (file.with_name(file.name + more) for more in ("-wal", "-shm"))
