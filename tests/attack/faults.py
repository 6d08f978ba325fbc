"""A save in which each call to the system fails once, in each way in which it can.

The calls are caught where Python makes them (`os`, `fcntl`), so what the system itself does half of
is not tried here; short writes are.
"""

from __future__ import annotations

import errno
import fcntl
import os
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack, chdir, contextmanager, suppress
from pathlib import Path
from random import Random
from typing import Any
from unittest import mock

from attack.registry import Attack, Outcome
from sessions import raw_findings

from headwater.book.shape import Ref
from headwater.case.model import LogEntry
from headwater.case.read import read_case
from headwater.case.store import CaseWriter, entry_line, value_of
from headwater.drill.progress import Apprentice, open_progress, read_progress
from headwater.errors import HeadwaterError
from headwater.files import Destination

CALLS = {
    os: ("open", "write", "fsync", "close", "stat", "fstat", "lstat", "link", "replace", "unlink",
         "chmod", "ftruncate", "dup"),
    fcntl: ("flock",),
}  # fmt: skip
ERRORS = (
    errno.ENOSPC, errno.EIO, errno.EACCES, errno.EINTR, errno.ENOENT, errno.EROFS, errno.EDQUOT,
    errno.ENOLCK, errno.EOPNOTSUPP, errno.EMFILE,
)  # fmt: skip
HEAD = "case: a\nunit:\n  family: {drive: chain}\nfindings:\n"
MARK = "<!-- mark -->"
Acknowledged = list[str]


def answered(number: int) -> str:
    """Return a finding of its own."""
    return entry_line(LogEntry(check=Ref("bore-float"), answer=value_of(f"{number} mm")))


def new_case(folder: Path, known: Acknowledged) -> None:
    """Begin a case and answer in it."""
    with CaseWriter.create(folder / "a.yaml", HEAD, lambda _: None) as writer:
        for number in range(3):
            writer.append(answered(number))
            known.append(f"{number} mm")


def old_case(folder: Path, known: Acknowledged) -> None:
    """Go on with a case that must be brought into shape first, was torn, and is told more."""
    path = folder / "a.yaml"
    path.write_text("findings:\n- {check: bore-float, answer: 9 mm}\n" + HEAD[:-10], "utf-8")
    known.append("9 mm")
    with CaseWriter(path, lambda _: None) as writer:
        writer.append(answered(1))
        known.append("1 mm")
    with path.open("ab") as file:
        file.write(b"  - {check: bo")
    with CaseWriter(path, lambda _: None) as writer:
        writer.tell("before: {told: rebuilt}\n")
        writer.append(answered(2))
        known.append("2 mm")


def replaced_case(folder: Path, known: Acknowledged) -> None:
    """Answer in a case that others copy, delete and add to."""
    path = folder / "a.yaml"
    with CaseWriter.create(path, HEAD, lambda _: None) as writer:
        writer.append(answered(0))
        known.append("0 mm")
        copy = folder / "u"
        copy.write_bytes(path.read_bytes())
        copy.rename(path)
        writer.append(answered(1))
        known.append("1 mm")
        os.remove(path)  # noqa: PTH107 - the call that is not caught
        writer.append(answered(2))


def a_page(folder: Path, known: Acknowledged) -> None:
    """Write a page, and write over it."""
    del known
    for text in (f"{MARK}\none\n", f"{MARK}\ntwo\n"):
        Destination(folder / "r.md", MARK).check().write(text)


def progress(folder: Path, known: Acknowledged) -> None:
    """Keep the progress of two."""
    del known
    for number in range(2):
        open_progress(folder / "p.yaml", f"who-{number}").keep(Apprentice(done=1))


SAVES = (new_case, old_case, replaced_case, a_page, progress)


@contextmanager
def failing(at: int, how: int, made: list[str]) -> Iterator[None]:
    """Let the call of that number fail; the names of all calls are `made` a list."""

    def watched(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **more: Any) -> Any:
            made.append(name)
            if len(made) - 1 != at:
                return real(*args, **more)
            if name == "write":  # a part is written all the same
                real(args[0], bytes(args[1])[: len(args[1]) // 2])
            if name == "close":
                real(*args)
            raise OSError(how, os.strerror(how))

        return call

    with ExitStack() as patched:
        for place, names in CALLS.items():
            for name in names:
                caught = watched(name, getattr(place, name))
                patched.enter_context(mock.patch.object(place, name, caught))
        yield


def handles() -> int:
    """Return how many files this process has open."""
    return len(list(Path("/proc/self/fd").iterdir()))


def whole_files(folder: Path) -> str:
    """Say which file is neither the old one nor the new one, if any is."""
    page, kept = folder / "r.md", folder / "p.yaml"
    if page.exists() and page.read_text("utf-8") not in (f"{MARK}\none\n", f"{MARK}\ntwo\n"):
        return "half a page"
    if kept.exists() and not read_progress(kept):
        return "nothing in the progress file"
    return ""


def found_in(path: Path) -> set[str]:
    """Return the readings in a case; none where there is none."""
    if path.exists():
        return {str(g) for _, g, _ in raw_findings(read_case(path, lambda _: None))}
    return set()


def fault_of(save: Callable[[Path, Acknowledged], None], folder: Path, at: int, how: int) -> str:
    """Say what is wrong with a save of which one call failed, if anything is."""
    known: Acknowledged = []
    made: list[str] = []
    said = ""
    before = handles()
    try:
        with chdir(folder), failing(at, how, made):  # what is kept may be kept here
            save(folder, known)
    except HeadwaterError as error:
        said = str(error)
    except OSError as error:
        return f"{made[-1]}: {error!r} came through"
    name = made[at] if at < len(made) else "none"
    there = found_in(folder / "a.yaml")
    if told := re.search(r"is in (\S+): go on with that", said):
        there |= found_in(Path(told[1]))
        Path(told[1]).unlink()
    if not set(known) <= there:
        return f"{name}: {set(known) - there} is lost: {said}"
    if len(said) > 300 or "\n" in said:
        return f"{name}: said {said!r}"
    if handles() != before and name != "close":
        return f"{name}: a handle is left open"
    left = [one.name for one in folder.iterdir() if one.name.startswith(".")]
    if left and name != "unlink":
        return f"{name}: {left} left behind"
    return whole_files(folder)


def strike_faults(dice: Random, runs: int, folder: Path) -> Outcome:
    """Fail each call of each save; all errors, or as many of them as are wanted."""
    todo = []
    for save in SAVES:
        made: list[str] = []
        place = folder / save.__name__
        place.mkdir()
        with suppress(HeadwaterError), failing(-1, 0, made):
            save(place, [])
        todo += [(save, at, how) for at in range(len(made)) for how in ERRORS]
    failures = []
    for number, (save, at, how) in enumerate(dice.sample(todo, min(runs, len(todo)))):
        place = folder / str(number)
        place.mkdir()
        if fault := fault_of(save, place, at, how):
            failures.append(f"{save.__name__}, call {at}, {errno.errorcode[how]}: {fault}")
    return Outcome(min(runs, len(todo)), tuple(failures))


ATTACKS = (Attack("a save of which one call to the system fails", strike_faults, 250, 100_000),)
