"""Cases come into the ledger and go out again, as case files, with nothing lost on the way."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from sqlalchemy import Connection, bindparam, insert, select

from headwater.case.casestore import case_text
from headwater.case.grow import parted, parted_at_once, with_key_at
from headwater.case.model import Case
from headwater.case.picture import MOST_PICTURE
from headwater.case.read import (
    JSON,
    CaseError,
    case_from_json,
    case_of,
    parse_case,
    read_raw,
    whole_text,
)
from headwater.errors import HeadwaterError, Place
from headwater.files import WAITS_NOT, Destination, ReadError, read_bytes, write_new
from headwater.ledger.door import Ledger
from headwater.ledger.kept import (
    LedgerCase,
    add_findings,
    columns_of,
    file_name,
    new_row,
    note,
    place_of,
    put_words,
    stamp,
    texts_of,
)
from headwater.ledger.records import Hand, LedgerError
from headwater.ledger.tables import case_pictures, cases, pictures
from headwater.ledger.terms import terms_of_case
from headwater.ledger.times import Clock, utc_now
from headwater.watched import lock
from headwater.yamltext import parse, quote, text_of

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class CaseFile:
    """A case as it was read from a file: its record, its head and its findings as written.

    `keys` are where the keys of the head stand in it.
    """

    path: Path
    case: Case
    head: str
    findings: tuple[str, ...]
    keys: Mapping[str, Place]


def read_case_file(path: Path, say: Say) -> CaseFile:
    """Return a case file; one that cannot be appended to is written anew, with all that is in it.

    Raises CaseError or TextError, with file, line and mend.
    """
    raw, file = read_raw(path), str(path)
    _refuse_open(path)
    if path.suffix == JSON:
        case = case_from_json(text_of(raw, file), file)
        return case_file_of(case_text(case), file)
    text = whole_text(raw, file, say)
    if (quick := _at_once(path, text)) is not None:
        return quick
    tree = parse(text, file)
    case = case_of(tree)
    try:
        return CaseFile(path, case, *parted(text, tree))
    except CaseError:
        say(f"{file}: its findings are written anew, a line each")
        return case_file_of(case_text(case), file)


def _refuse_open(path: Path) -> None:
    """Raise LedgerError where a session has the file open: it would go on there as well."""
    handle = os.open(path, os.O_RDONLY | WAITS_NOT)
    try:
        lock(handle)
    except BlockingIOError:
        text = "is open in another session; close that one first"
        raise LedgerError(text, Place(str(path))) from None
    finally:
        os.close(handle)


def case_file_of(text: str, name: str) -> CaseFile:
    """Return a text that this program wrote as a case file; no file is there."""
    if (quick := _at_once(Path(name), text)) is not None:
        return quick
    tree = parse(text, name)
    return CaseFile(Path(name), case_of(tree), *parted(text, tree))


def _at_once(path: Path, text: str) -> CaseFile | None:
    """Return a text as a case file, if it is written as this program would write it."""
    found = parted_at_once(text, str(path))
    return None if found is None else CaseFile(path, case_of(found[0]), *found[1])


def add_case(
    ledger: Ledger,
    given: CaseFile,
    hand: Hand,
    name: str = "",
    columns: Mapping[str, object] = MappingProxyType({}),
    clock: Clock = utc_now,
) -> str:
    """Put a case into the ledger, and return its name there: its own, or another if one is given.

    `columns` are what the ledger alone knows of it.
    Raises LedgerError where there is another of that name. The very same case is not put in twice.
    """
    head, case = given.head, given.case
    if name and name != case.case:
        head = with_key_at(head, given.keys, "case", f"case: {quote(name)}\n")
        case = replace(case, case=name)
    name = case.case
    with ledger.writing() as connection:
        if not _is_new(connection, name, head + "".join(given.findings)):
            return name
        by = stamp(hand, clock)
        row: dict[str, object] = {"name": name, "head": head, "findings": len(given.findings)}
        row |= {"opened": by["at"], "changed": by["at"]} | columns_of(connection, case)
        row |= {"earlier": _earlier(connection, given), **columns}
        number = new_row(connection, cases, row)
        add_findings(connection, number, 0, given.findings, by)
        put_words(connection, number, terms_of_case(case))
        note(connection, number, by, "put into the ledger")
    return name


_NAMED = select(cases.c.id, cases.c.head).where(cases.c.name == bindparam("name"))


def _is_new(connection: Connection, name: str, text: str) -> bool:
    row = connection.execute(_NAMED, {"name": name}).first()
    if row is None:
        return True
    if row.head + "".join(texts_of(connection, row.id)) == text:
        return False
    mend = "if it is another one, give it a name of its own: --as NAME"
    raise LedgerError(f"is in the ledger already, and goes on there; {mend}", place_of(name))


def _earlier(connection: Connection, given: CaseFile) -> int | None:
    """Return the earlier case, if the ledger has one of the name that its file tells."""
    if not given.case.earlier:
        return None
    path = given.path.parent / given.case.earlier
    try:
        name = parse_case(read_raw(path).decode(errors="replace"), str(path)).case
    except HeadwaterError:
        name = path.stem
    return connection.scalar(select(cases.c.id).where(cases.c.name == name))


def earlier_files(given: CaseFile, say: Say) -> Iterator[CaseFile]:
    """Yield the earlier cases of a case file whose files are there, the earliest first."""
    chain, seen = [], {given.path.resolve()}
    while given.case.earlier:
        path = given.path.parent / given.case.earlier
        if not os.path.isfile(path) or path.resolve() in seen:  # noqa: PTH113 - never raises
            break
        seen.add(path.resolve())
        given = read_case_file(path, say)
        chain.append(given)
    yield from reversed(chain)


# Photographs ------------------------------------------------------------------------------------


def add_pictures(ledger: Ledger, name: str, given: CaseFile) -> tuple[str, ...]:
    """Keep the photographs that lie beside a case file, each once; return those that do not."""
    number, missing = LedgerCase(ledger, name).id, []
    for picture in given.case.pictures:
        data = _picture(given.path.parent, picture)
        if data is None:
            missing.append(picture)
            continue
        with ledger.writing() as connection:
            _keep(connection, number, picture, data)
    return tuple(missing)


def keep_picture(ledger: Ledger, name: str, picture: str, data: bytes) -> None:
    """Keep a photograph with a case of the ledger, under a name; the same one once."""
    number = LedgerCase(ledger, name).id
    with ledger.writing() as connection:
        _keep(connection, number, picture, data)


def picture_of(ledger: Ledger, name: str, picture: str) -> bytes | None:
    """Return a photograph that is kept with a case of the ledger; None where there is none."""
    wanted = (
        select(pictures.c.data)
        .join(case_pictures, pictures.c.digest == case_pictures.c.digest)
        .join(cases, cases.c.id == case_pictures.c.case)
        .where((cases.c.name == name) & (case_pictures.c.name == picture))
    )
    with ledger.reading() as connection:
        data = connection.scalar(wanted)
    return None if data is None else bytes(data)


def _picture(folder: Path, name: str) -> bytes | None:
    """Return a photograph of a folder; None where it is not there, too large, or elsewhere."""
    try:
        path = (folder / name).resolve()
        here = path.is_file() and path.is_relative_to(folder.resolve())
        return read_bytes(path, max_bytes=MOST_PICTURE) if here else None
    except (OSError, ValueError, ReadError):
        return None


def _keep(connection: Connection, case: int, name: str, data: bytes) -> None:
    digest = hashlib.sha256(data).hexdigest()
    known = connection.scalar(select(pictures.c.digest).where(pictures.c.digest == digest))
    if known is None:
        row = {"digest": digest, "size": len(data), "data": data}
        connection.execute(insert(pictures), row)
    here = (case_pictures.c.case == case) & (case_pictures.c.name == name)
    if connection.execute(select(case_pictures).where(here)).first() is None:
        connection.execute(insert(case_pictures), {"case": case, "name": name, "digest": digest})


# Going out --------------------------------------------------------------------------------------


def export_cases(ledger: Ledger, names: Sequence[str], folder: Path) -> list[Path]:
    """Write cases, all of them if none is named, into a folder, with their photographs.

    Nothing is written over. Raises LedgerError or WriteError, and then nothing is written.
    """
    texts: dict[Path, str] = {}
    for name in names or all_names(ledger):
        path = folder / file_name(name)
        if path in texts:
            text = f"'{name}' and another case would have one file name; export it by itself"
            raise LedgerError(text, Place(str(path)))
        texts[path] = LedgerCase(ledger, name).text
    written = write_new(texts)
    return [*written, *_export_pictures(ledger, names, folder)]


def all_names(ledger: Ledger) -> list[str]:
    """Return the names of all cases, as they came in."""
    with ledger.reading() as connection:
        return list(connection.scalars(select(cases.c.name).order_by(cases.c.id)))


def _export_pictures(ledger: Ledger, names: Sequence[str], folder: Path) -> Iterator[Path]:
    wanted = (
        select(case_pictures.c.name, pictures.c.data)
        .join(pictures, pictures.c.digest == case_pictures.c.digest)
        .join(cases, cases.c.id == case_pictures.c.case)
    )
    if names:
        wanted = wanted.where(cases.c.name.in_(names))
    with ledger.reading() as connection:
        for name, data in connection.execute(wanted):
            path = folder / Path(name).name
            if not path.exists():
                Destination(path).check()
                path.write_bytes(data)
                yield path
