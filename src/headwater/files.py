"""Files that the program writes: one writer, all of a file or nothing of it.

A text goes beside its place first, to disk, and is then moved there in one step, so that a crash or
a full disk leaves the old file or the new one. What this program did not write is not written over.
"""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from headwater.errors import HeadwaterError, Place

MARK_WITHIN = 100
"""Bytes at the start of a file within which the mark of its writer must stand."""


class WriteError(HeadwaterError):
    """A file that cannot be written."""


def check_target(path: Path, mark: str = "", force: bool = False) -> None:
    """Raise WriteError where a file may not be written, before the work for it is done.

    A file that is there already may be written over if `mark` stands in its first bytes, if it is
    empty, or by `force`; a folder, a pipe or a device never.
    """
    place = Place(str(path))
    try:
        if not path.exists():
            if not path.parent.is_dir():
                raise WriteError("there is no such folder; make it, or choose another", place)
            return
        if path.is_dir():
            raise WriteError("is a folder; name a file in it", place)
        if not stat.S_ISREG(path.stat().st_mode):
            raise WriteError("is no ordinary file; choose another name", place)
        if force:
            return
        with path.open("rb") as handle:
            head = handle.read(MARK_WITHIN)
    except (OSError, ValueError) as error:
        raise refused(path, error) from None
    if head and not (mark and mark.encode() in head):
        raise WriteError("holds something else; choose another name, or say --force", place)


def write_whole(path: Path, text: str) -> None:
    """Write a file all at once; a link to a file is followed. Raises WriteError."""
    made: Path | None = None
    try:
        target = path.resolve()
        handle, name = tempfile.mkstemp(prefix=".headwater-", dir=target.parent)
        made = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        made.chmod(target.stat().st_mode & 0o7777 if target.exists() else 0o666 & ~_umask())
        made.replace(target)
        _keep_folder(target.parent)
    except (OSError, ValueError) as error:
        if made:
            with suppress(OSError):
                made.unlink()
        raise refused(path, error) from None


def write_new(texts: dict[Path, str]) -> list[Path]:
    """Write files that must not exist yet; raises WriteError and writes none if one does."""
    for path in texts:
        if path.exists():
            raise WriteError("exists already; choose another name", Place(str(path)))
    for path, text in texts.items():
        write_whole(path, text)
    return list(texts)


def reason_of(error: Exception) -> str:
    """Return what the system says is wrong, in small letters."""
    return (getattr(error, "strerror", None) or str(error)).lower()


def refused(
    path: Path, error: Exception, make: Callable[[str, Place], HeadwaterError] = WriteError
) -> HeadwaterError:
    """Return a fault of the system as one of the user's, with the mend."""
    text = f"cannot be written ({reason_of(error)}); choose another place"
    return make(text, Place(str(path)))


def _keep_folder(folder: Path) -> None:
    """Force the name of a new file to disk, where the system lets a folder be opened."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
