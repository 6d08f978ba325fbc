"""A file under an open session: locked where the system has locks, and known by every byte of it.

A lock keeps out who asks for it. An editor does not, so before anything is added the file in the
place is held against the one that was opened and against all that is known to stand in it.
"""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from enum import Enum
from pathlib import Path

from headwater.errors import HeadwaterError, Place
from headwater.files import WAITS_NOT, NameTakenError, read_bytes, write_all, write_whole

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without advisory locks
    fcntl = None  # type: ignore[assignment]

_NO_LOCKS = (errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL)


class Fate(Enum):
    """What has become of a file since it was opened or last written to."""

    SAME = "is as it was"
    COPY = "was put there anew with nothing in it changed"
    LONGER = "was added to by another program"
    CUT = "was cut short by another program"
    EDITED = "was changed by another program"
    DELETED = "was deleted"
    MOVED = "was moved away"
    UNSEEN = "became unreadable"

    @property
    def whole(self) -> bool:
        """Whether all that is known to stand in it stands in it still."""
        return self in (Fate.SAME, Fate.COPY, Fate.LONGER)


def lock(handle: int, wait: bool = False) -> bool:
    """Lock an open file; False where the system has no locks.

    Raises BlockingIOError where somebody else has it locked, unless told to `wait`, or OSError.
    """
    if fcntl is None:  # pragma: no cover - a system without advisory locks
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError as error:
        if error.errno in _NO_LOCKS:
            return False
        raise
    return True


def is_in_place(handle: int, path: Path) -> bool:
    """Say whether the open file is the one that has the name. Raises OSError."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False


class WatchedFile:
    """An open file that alone is written to by this program; `text` is all that it holds.

    `locked` is false where the system has no locks. Not for two threads at once.
    """

    def __init__(self, path: Path) -> None:
        """Open and lock a file that is there. Raises OSError, BlockingIOError if it is in use."""
        self.path = path
        self.locked = True
        self.text = b""
        self._coming = b""
        self._handle = -1
        try:
            self._take(self._opened())
        except BaseException:
            self.close()
            raise

    def _opened(self) -> int:
        handle = os.open(self.path, os.O_RDWR | os.O_APPEND | WAITS_NOT)
        try:
            self.locked = lock(handle)
            if not is_in_place(handle, self.path):  # another was put there in between
                raise BlockingIOError(errno.EAGAIN, "is in use")
        except BaseException:
            os.close(handle)
            raise
        return handle

    def _take(self, handle: int) -> None:
        """Go on with another handle, and know what it holds."""
        self.close()
        self._handle = handle
        self.text = read_bytes(self.path)

    def look(self) -> Fate:
        """Return what has become of the file."""
        try:
            if not os.path.lexists(self.path):
                return Fate.MOVED if os.fstat(self._handle).st_nlink else Fate.DELETED
            same, now = is_in_place(self._handle, self.path), read_bytes(self.path)
        except (OSError, HeadwaterError):
            return Fate.UNSEEN
        if now == self.text:
            return Fate.SAME if same else Fate.COPY
        if now.startswith(self.text):
            return Fate.LONGER
        return Fate.CUT if self.text.startswith(now) else Fate.EDITED

    def take_what_is_there(self) -> None:
        """Open and lock what is in the place now. Raises OSError, BlockingIOError if in use."""
        if is_in_place(self._handle, self.path):
            self.text = read_bytes(self.path)
        else:
            self._take(self._opened())

    def append(self, data: bytes) -> bool:
        """Write bytes to the end and force them to disk: all, or none. Raises OSError.

        Returns False where the file went from its place while they were written.
        """
        self._coming = data
        try:
            write_all(self._handle, data)
        except OSError:
            self.cut_back()
            raise
        self.text += data
        self._coming = b""
        return is_in_place(self._handle, self.path)

    def cut_back(self) -> None:
        """Take away what was being written when it was broken off, where it is there alone."""
        with suppress(OSError, HeadwaterError):
            written = self._coming and is_in_place(self._handle, self.path)
            behind = read_bytes(self.path).removeprefix(self.text) if written else b""
            if behind and self._coming.startswith(behind):
                self.cut_to(len(self.text))
        self._coming = b""

    def cut_to(self, size: int) -> None:
        """Cut the file off behind so many bytes. Raises OSError."""
        os.ftruncate(self._handle, size)
        os.fsync(self._handle)
        self.text = self.text[:size]

    def replace(self, text: str) -> None:
        """Put a whole new text in its place, locked from its first moment. Raises WriteError."""
        taken: list[int] = []

        def keep(handle: int) -> None:
            self.locked = lock(handle)
            taken.append(os.dup(handle))

        try:
            write_whole(self.path, text, ready=keep)
        except BaseException:
            for handle in taken:
                os.close(handle)
            raise
        self._take(taken[0])

    def close(self) -> None:
        """Close the file and give up the lock; what was written is on disk already."""
        handle, self._handle = self._handle, -1
        if handle >= 0:
            with suppress(OSError):
                os.close(handle)


def make_watched(path: Path, text: str) -> None:
    """Make a new file in one step, where none is or an empty one. Raises HeadwaterError, OSError.

    An empty one is locked meanwhile, so that of two who begin at once only one does.
    """
    if not os.path.lexists(path):
        write_whole(path, text, new=True)
        return
    empty = WatchedFile(path)
    try:
        if empty.text.strip(b"\0"):
            raise NameTakenError("exists already", Place(str(path)))
        write_whole(path, text)
    finally:
        empty.close()
