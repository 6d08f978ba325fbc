"""Files: one reader that cannot be made to wait, one writer that leaves all of a file or nothing.

What is read must be an ordinary file: a pipe would wait for ever, a device may have no end. What is
written goes beside its place first, to disk, and is then put there in one step, so that a crash or
a full disk leaves the old file or the new one. What this program did not write is not written over,
and what a command reads never.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from headwater.errors import HeadwaterError, Place

MAX_BYTES = 4_000_000
"""The largest file that is read; so none is written that is larger and is to be read again."""
MARK_WITHIN = 100
"""Bytes at the start of a file within which the mark of its writer must stand."""
SOURCES = (".yaml", ".yml", ".json")
"""Endings of files that a shop keeps its knowledge in: no page or drawing goes over one of them."""
_NO_LINKS = (errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK)
WAITS_NOT = getattr(os, "O_NONBLOCK", 0)
"""How a file is opened so that no pipe in its place holds anybody up, where a system has that."""
_BYTES_AS_THEY_ARE = getattr(os, "O_BINARY", 0)


class ReadError(HeadwaterError):
    """A file that cannot be read."""


class WriteError(HeadwaterError):
    """A file that cannot be written."""


class NameTakenError(WriteError):
    """A file that must be new and is there already."""


# Reading ----------------------------------------------------------------------------------------


def read_bytes(path: Path | str, shown: str | None = None, max_bytes: int = MAX_BYTES) -> bytes:
    """Return what an ordinary file holds; raises ReadError, at once for a pipe or a device.

    `shown` is the name to use in messages; the path itself by default.
    """
    place = Place(shown or str(path))
    try:
        handle = os.open(path, os.O_RDONLY | WAITS_NOT | _BYTES_AS_THEY_ARE)
        with os.fdopen(handle, "rb") as file:
            if kind := odd_kind(os.fstat(handle).st_mode):
                raise ReadError(f"is {kind}; name an ordinary file", place)
            raw = file.read(max_bytes + 1)
    except FileNotFoundError:
        lost = "is a link that leads nowhere" if Path(path).is_symlink() else "no such file"
        raise ReadError(f"{lost}; check the name", place) from None
    except IsADirectoryError:
        raise ReadError("is a folder; name the file in it", place) from None
    except (OSError, ValueError) as error:
        text = f"cannot be read ({reason_of(error)}); see to its name, and to who may read it"
        raise ReadError(text, place) from None
    if len(raw) > max_bytes:
        raise ReadError(f"is larger than {max_bytes // 1_000_000} MB; split it", place)
    return raw


def odd_kind(mode: int) -> str:
    """Return what stands in place of an ordinary file, by its mode; nothing if it is one."""
    if stat.S_ISREG(mode):
        return ""
    if stat.S_ISDIR(mode):
        return "a folder"
    if stat.S_ISFIFO(mode):
        return "a pipe"
    return "a socket" if stat.S_ISSOCK(mode) else "a device"


def is_blank(path: Path) -> bool:
    """Say whether a new file may be made here: none is there, or an empty one.

    Zeros count for nothing: a power cut may leave them. Raises ReadError as `read_bytes` does.
    """
    if not os.path.lexists(path):
        return True
    return not read_bytes(path).strip(b"\0")


# Writing ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Destination:
    """A place that something may be written to.

    What is there already may be written over if `mark` stands in its first bytes, if it is empty,
    or by `force`; a folder, a link, a pipe, a device or one of the `inputs` never, nor a file that
    is one of the `SOURCES` by its ending.
    """

    path: Path
    mark: str = ""
    force: bool = False
    inputs: tuple[Path, ...] = ()

    def check(self) -> Destination:
        """Raise WriteError where this may not be written."""
        place = Place(str(self.path))
        try:
            fault = self._fault()
        except (OSError, ValueError) as error:
            raise refused(self.path, error) from None
        if fault:
            raise WriteError(fault, place)
        return self

    def write(self, text: str | bytes) -> None:
        """Write it, unless somebody has put something else there since. Raises WriteError."""
        self.check()
        write_whole(self.path, text, new=not os.path.lexists(self.path))

    def _fault(self) -> str:
        """Return what speaks against writing here, if anything. Raises OSError."""
        if any(_is_same(self.path, given) for given in self.inputs):
            return "is read by this very command; choose another name"
        if self.path.is_symlink():
            return f"is a link to {self.path.readlink()}; name the file itself"
        if not self.path.exists():
            return fault_of_folder(self.path.parent)
        return self._fault_of_file()

    def _fault_of_file(self) -> str:
        mode = self.path.stat().st_mode
        if stat.S_ISDIR(mode):
            return "is a folder; name a file in it"
        if kind := odd_kind(mode):
            return f"is {kind}; choose another name"
        with self.path.open("rb") as handle:
            head = handle.read(MARK_WITHIN)
        if not head or (self.mark and self.mark.encode() in head):
            return fault_of_folder(self.path.parent)
        if self.path.suffix.lower() in SOURCES or self._is_within_inputs():
            return "holds something else; choose another name"
        return "" if self.force else "holds something else; choose another name, or say --force"

    def _is_within_inputs(self) -> bool:
        real = Path(os.path.realpath(self.path))
        return any(real.is_relative_to(os.path.realpath(one)) for one in self.inputs)


def _is_same(path: Path, other: Path) -> bool:
    if os.path.realpath(path) == os.path.realpath(other):
        return True
    return path.exists() and other.exists() and path.samefile(other)


def fault_of_folder(folder: Path) -> str:
    """Return what keeps a file from being made in a folder, if anything."""
    if not folder.is_dir():
        return "there is no such folder; make it, or choose another"
    if not os.access(folder, os.W_OK | os.X_OK):
        return "cannot be written (no leave to write in this folder); choose another place"
    return ""


def write_whole(
    path: Path, text: str | bytes, *, new: bool = False, ready: Callable[[int], None] | None = None
) -> None:
    """Write a file all at once; a link to a file is followed. Raises WriteError.

    What is `new` must not be there yet. `ready` is given the handle of the whole file before it is
    put in its place, so that a lock may be on it from its first moment.
    """
    data = text if isinstance(text, bytes) else text.encode(errors="replace")
    try:
        target = path if new else Path(os.path.realpath(path))
        if target.is_symlink() and not new:
            raise WriteError("is a link that leads nowhere; mend it", Place(str(path)))
        with _beside(target) as (beside, handle):
            write_all(handle, data)
            if ready:
                ready(handle)
            _put(beside, target, new)
        _keep_folder(target.parent)
    except FileExistsError:
        text = "exists already; choose another name"
        raise NameTakenError(text, Place(str(path))) from None
    except (OSError, ValueError) as error:
        raise refused(path, error) from None


@contextmanager
def _beside(target: Path) -> Iterator[tuple[Path, int]]:
    """Open an empty file of a name by chance beside a file, with its rights; it goes afterwards."""
    beside = target.with_name(f".headwater-{os.urandom(8).hex()}")
    rights = stat.S_IMODE(target.stat().st_mode) if target.exists() else None
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL | _BYTES_AS_THEY_ARE
    handle = os.open(beside, flags, 0o666 if rights is None else 0o600)
    try:
        if rights is not None:
            beside.chmod(rights)
        yield beside, handle
    finally:
        with suppress(OSError):
            os.close(handle)
        with suppress(OSError):
            beside.unlink()


def _put(beside: Path, target: Path, new: bool) -> None:
    """Put a file in its place in one step. Raises OSError."""
    if not new:
        beside.replace(target)
        return
    try:
        os.link(beside, target)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        # Without hard links the name is taken first: a crash in between leaves an empty file.
        os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        beside.replace(target)


def write_all(handle: int, data: bytes) -> None:
    """Write all of some bytes to an open file and force them to disk. Raises OSError."""
    view = memoryview(data)
    while view:
        view = view[os.write(handle, view) :]
    os.fsync(handle)


def write_new(texts: Mapping[Path, str]) -> list[Path]:
    """Write files that must not exist yet: all, or none. Raises WriteError."""
    for path in texts:
        if os.path.lexists(path):
            raise NameTakenError("exists already; choose another name", Place(str(path)))
        Destination(path).check()
    made: list[Path] = []
    try:
        for path, text in texts.items():
            write_whole(path, text, new=True)
            made.append(path)
    except WriteError:
        for path in made:
            path.unlink(missing_ok=True)
        raise
    return made


def write_beside(path: Path, text: str, word: str) -> Path:
    """Write a text under a new name beside a file, as in `unit-kept-1.yaml`, and return the name.

    Where it cannot be there it goes into the working folder, else where the system keeps what is
    passing. Raises WriteError.
    """
    from tempfile import gettempdir  # seldom needed, and slow to import

    for folder in (path.parent, Path.cwd(), Path(gettempdir())):
        names = (f"{path.stem}-{word}-{number}{path.suffix}" for number in range(1, _MOST_BESIDE))
        beside = next((folder / one for one in names if not os.path.lexists(folder / one)), path)
        try:
            write_whole(beside, text, new=True)
        except WriteError as error:
            fault = error
        else:
            return beside
    raise fault


_MOST_BESIDE = 1000


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
    """Force the name of a new file to disk, where the system lets a folder be. Raises OSError."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.EBADF, errno.EROFS, errno.EOPNOTSUPP):
            raise
    finally:
        os.close(handle)
