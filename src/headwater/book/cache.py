"""A book that was parsed once, kept for the next start and never trusted blindly.

An entry is named after what was asked for (the folders as written and where they lead, with or
without the cases) and after what reads it (the source of this room, the program, Python). It is
used only where its sum is right and the packs still hold, byte for byte, what it was made of. It is
plain data (`book.flat`), so reading one runs no code; beyond that, folder and file must be the
user's own, closed to other writers, and no links. Whatever is wrong, the packs are parsed: nothing
here is ever a fault of the user's.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from headwater import __version__
from headwater.book.flat import NO_BOOK, flatten, restore
from headwater.book.load import load_book, pack_files, with_used
from headwater.book.records import Book
from headwater.files import ReadError, read_bytes

SETTING = "HEADWATER_CACHE"
"""Variable of the environment: `off`, or the folder to use."""
KEPT = 8
"""Entries kept, the newest ones."""
MAX_BYTES = 64_000_000
_NAME, _ENDING, _UNFINISHED = "book-", ".json", ".part"
_FOR_ALL = stat.S_IWGRP | stat.S_IWOTH


def cache_folder(environ: Mapping[str, str]) -> Path | None:
    """Return the folder for parsed books, or None where there is none to be had.

    Where files have no owner to be asked after, nothing is kept.
    """
    if not hasattr(os, "geteuid"):
        return None
    chosen = environ.get(SETTING, "")
    if chosen:
        return None if chosen == "off" else Path(chosen)
    shared, home = environ.get("XDG_CACHE_HOME", ""), environ.get("HOME", "")
    if shared.startswith("/"):
        return Path(shared, "headwater")
    return Path(home, ".cache", "headwater") if home else None


def kept_book(folders: Sequence[Path], samples: bool, folder: Path | None) -> Book:
    """Return the book as `load_book` does, from a kept one if there is one; keep it for next time.

    Raises BookError like `load_book`; a book with faults is not kept. None for `folder`: parse.
    """
    name = _name_of(folders, samples) if folder else None
    if folder is None or name is None:
        return load_book(folders, samples)
    found = _take(folder, name, samples)
    if found:
        return found
    packs = with_used(folders)
    before = _sum_of_packs(packs, samples)
    book = load_book(folders, samples)
    after = with_used(folders), _sum_of_packs(packs, samples)
    if before and (packs, before) == after:  # or somebody was writing meanwhile
        _keep(folder, name, {"packs": [str(pack) for pack in packs], "sum": before}, book)
    return book


def _take(folder: Path, name: str, samples: bool) -> Book | None:
    """Return the book of an entry that is whole, the user's own, and up to date."""
    with suppress(OSError, *NO_BOOK), _opened(folder) as inside:
        head, _, body = _read_own(name, inside).partition(b"\n")
        told = json.loads(head)
        packs = [Path(pack) for pack in told["packs"]]
        if told["body"] == _sum(body) and told["sum"] == _sum_of_packs(packs, samples):
            return restore(json.loads(body))
    return None


def _keep(folder: Path, name: str, told: dict[str, Any], book: Book) -> None:
    with suppress(OSError, TypeError):  # the disk will not have it, or data have no such kind
        _make(folder)
        with _opened(folder) as inside:
            body = json.dumps(flatten(book), separators=(",", ":")).encode()
            head = json.dumps({**told, "body": _sum(body)}).encode()
            _write_own(name, inside, head + b"\n" + body)
            _prune(inside)


def _name_of(folders: Sequence[Path], samples: bool) -> str | None:
    """Return the name of an entry: what is asked for, and everything that has a say in reading."""
    with suppress(OSError, ReadError):
        leads = [[str(folder), os.path.realpath(folder)] for folder in folders]
        asked = json.dumps([leads, samples, __version__, sys.version, _sum_of_source()])
        return f"{_NAME}{_sum(asked.encode())[:32]}{_ENDING}"
    return None


def _sum(data: bytes) -> str:
    return hashlib.blake2b(data, digest_size=32).hexdigest()


def _sum_of_source() -> str:
    """Return a sum over this room's source and what it reads with. Raises OSError, ReadError."""
    room = Path(__file__).parent
    with os.scandir(room) as inside:
        own = [(entry.name, entry.path) for entry in inside if entry.name.endswith(".py")]
    if not own:
        raise FileNotFoundError("the source of the book's room is not here")
    beside = [(name, str(room.parent / name)) for name in ("errors.py", "files.py", "yamltext.py")]
    return _sum_of_files((*sorted(own), *beside))


def _sum_of_packs(packs: Sequence[Path], samples: bool) -> str | None:
    """Return a sum over names and bytes of all that a load reads; None where it cannot be read."""
    with suppress(OSError, ReadError):
        return _sum_of_files(
            (f"{number}/{relative}", path)
            for number, pack in enumerate(packs)
            for relative, path in pack_files(pack, samples)
        )
    return None


def _sum_of_files(files: Iterable[tuple[str, str]]) -> str:
    total = hashlib.blake2b(digest_size=32)
    for name, path in files:
        data = read_bytes(path)
        total.update(f"{name}\0{len(data)}\0".encode(errors="surrogateescape") + data)
    return total.hexdigest()


def _make(folder: Path) -> None:
    """Make the folder and the one above it, never a whole home. Raises OSError."""
    if not folder.parent.exists() and folder.parent.parent.stat().st_uid == os.geteuid():
        folder.parent.mkdir(mode=0o700, exist_ok=True)
    folder.mkdir(mode=0o700, exist_ok=True)


@contextmanager
def _opened(folder: Path) -> Iterator[int]:
    """Open the folder, so that nobody can put another in its place. Raises OSError."""
    inside = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    try:
        _check_own(inside, stat.S_ISDIR)
        yield inside
    finally:
        os.close(inside)


def _check_own(handle: int, kind: Callable[[int], bool]) -> None:
    """Raise PermissionError unless an open file is the user's own and closed to other writers."""
    found = os.fstat(handle)
    if not kind(found.st_mode) or found.st_uid != os.geteuid() or found.st_mode & _FOR_ALL:
        raise PermissionError("not the user's own")


def _read_own(name: str, inside: int) -> bytes:
    handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=inside)
    with os.fdopen(handle, "rb") as file:
        _check_own(handle, stat.S_ISREG)
        return file.read(MAX_BYTES)


def _write_own(name: str, inside: int, data: bytes) -> None:
    """Write a file beside its place under a name of chance, and move it there. Raises OSError."""
    beside = f"{name}.{os.urandom(8).hex()}{_UNFINISHED}"
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW
    handle = os.open(beside, flags, 0o600, dir_fd=inside)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.rename(beside, name, src_dir_fd=inside, dst_dir_fd=inside)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside, dir_fd=inside)
        raise


def _prune(inside: int) -> None:
    """Take away all but the newest entries, and what a crash left half written long ago."""
    with os.scandir(inside) as entries:
        own = [(e.stat(follow_symlinks=False).st_mtime, e.name) for e in entries if _is_entry(e)]
    for _, name in sorted(own, reverse=True)[KEPT:]:
        os.unlink(name, dir_fd=inside)


def _is_entry(entry: os.DirEntry[str]) -> bool:
    return entry.name.startswith(_NAME) and entry.name.endswith((_ENDING, _UNFINISHED))
