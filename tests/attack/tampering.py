"""A case file that others replace, move, delete, cut or edit while a session has it open.

Every answer that was acknowledged must stand in the case or in the file that is named, and 'Saved'
is said only of a case in which all of them stand.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from random import Random

from attack.registry import Attack, Outcome
from attack.seats import Step, bench, faults_of
from sessions import raw_findings
from small_book import write_book

from headwater.case.read import read_case
from headwater.errors import HeadwaterError

Tamper = Callable[[Path], None]
FOREIGN = "  - {check: pads, answer: burnt, note: from elsewhere}\n"


def save_as_editors_do(path: Path) -> None:
    """Copy it and move the copy over it."""
    copy = path.with_name("u~")
    shutil.copy(path, copy)
    copy.replace(path)


def save_changed(path: Path) -> None:
    """Do the same with a line more at the top."""
    copy = path.with_name("u~")
    copy.write_bytes(b"customer: Bo\n" + path.read_bytes())
    copy.replace(path)


def save_older(path: Path) -> None:
    """Save what an editor loaded before the last answer."""
    copy = path.with_name("u~")
    copy.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    copy.replace(path)


def save_longer(path: Path) -> None:
    """Save a copy with a finding more at its end."""
    copy = path.with_name("u~")
    copy.write_bytes(path.read_bytes() + FOREIGN.encode())
    copy.replace(path)


def append(path: Path, text: str) -> None:
    """Add to its end."""
    with path.open("ab") as file:
        file.write(text.encode())


def cut(path: Path) -> None:
    """Cut it short by a few bytes."""
    os.truncate(path, max(0, path.stat().st_size - 9))


def edit(path: Path) -> None:
    """Change it in place, its size the same."""
    path.write_bytes(path.read_bytes().replace(b"family", b"famiyl", 1))


def put_pipe(path: Path) -> None:
    """Put a pipe in its place."""
    path.unlink()
    os.mkfifo(path)


def put_folder(path: Path) -> None:
    """Put a folder in its place."""
    path.unlink()
    path.mkdir()


def move(path: Path) -> None:
    """Move it away."""
    path.replace(path.with_name("moved.yaml"))


def put_link(path: Path) -> None:
    """Move it, and put a link to it in its place: all of it is there still."""
    path.replace(path.with_name("moved.yaml"))
    path.symlink_to("moved.yaml")


TAMPERS: dict[str, Tamper] = {
    "saved by an editor": save_as_editors_do,
    "saved changed": save_changed,
    "saved from before the last answer": save_older,
    "saved longer": save_longer,
    "a finding added": partial(append, text=FOREIGN),
    "half a line added": partial(append, text=FOREIGN[:20]),
    "a key added": partial(append, text="customer: Bo\n"),
    "rubbish added": partial(append, text="]\n\0"),
    "cut": cut,
    "emptied": lambda path: os.truncate(path, 0),
    "edited": edit,
    "deleted": Path.unlink,
    "moved": move,
    "a pipe": put_pipe,
    "a folder": put_folder,
    "a link": put_link,
}


def given_in(path: Path) -> set[str]:
    """Return the answers that stand in a file."""
    try:
        return {str(given) for _, given, _ in raw_findings(read_case(path, lambda _: None))}
    except HeadwaterError:
        return set()


def acknowledged(out: str) -> set[str]:
    """Return the readings after which the session went on to another question or to its end."""
    typed = re.split(r"^> ", out, flags=re.MULTILINE)
    answers = [re.match(r"bore-float: (\S+ mm)$", one.split("\n", 1)[0]) for one in typed]
    ended = "Saved in" in out
    return {m[1] for m in (answers if ended else answers[:-1]) if m}


def session_steps(dice: Random, path: Path, tamper: Tamper) -> Iterator[Step]:
    """Yield a session of some answers, with the tampering at one moment of it."""
    count = dice.randrange(2, 6)
    at = dice.randrange(0, count + 1)
    yield from ("", "")
    for number in range(count):
        yield f"bore-float: 0.{number + 100} mm"
        if number + 1 == at:
            yield lambda: tamper(path)
    yield "list"
    if dice.random() < 0.7:
        yield "done"


def fault_of(dice: Random, folder: Path, book: Path, tamper: Tamper) -> str:
    """Say what is wrong with how one session ended, if anything is."""
    path = folder / "a.yaml"
    try:
        status, out, err = bench(path, book, session_steps(dice, path, tamper))
    except OSError as error:
        return repr(error)
    if faults := faults_of(status, err):
        return f"{faults} {err!r}"
    told = re.search(r"is in (\S+): go on with that", err)
    answers, saved = acknowledged(out), f"Saved in {path}" in out
    there = given_in(path)
    if saved and (status == 2 or not answers <= there):
        return f"said to be saved, {answers - there} is not there"
    if not answers <= there | (given_in(Path(told[1])) if told else set()):
        return f"{answers - there} is lost: {err!r}"
    if "all answers are saved in" in err and not answers <= there:
        return f"said to be saved in {path}: {err!r}"
    return ""


def strike_tampering(dice: Random, runs: int, folder: Path) -> Outcome:
    """Hold sessions, each with its file tampered with once."""
    book, failures = write_book(folder / "small"), []
    for number in range(runs):
        name = list(TAMPERS)[number % len(TAMPERS)]
        place = folder / str(number)
        place.mkdir()
        if fault := fault_of(dice, place, book, TAMPERS[name]):
            failures.append(f"{name}: {fault}")
        shutil.rmtree(place)
    return Outcome(runs, tuple(failures))


ATTACKS = (Attack("files tampered with in mid session", strike_tampering, 48, 2_000),)
