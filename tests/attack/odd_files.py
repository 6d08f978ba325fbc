"""Pipes, devices, loops and names of every kind as every file that any command takes.

The commands and their files are read off the parser, so a new option is attacked without being
named here.
"""

from __future__ import annotations

import argparse
import os
import shutil
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from random import Random
from types import FrameType

from attack.registry import Attack, Outcome
from attack.seats import faults_of, play
from small_book import write_book

from headwater.cli.main import make_parser

SECONDS = 20
CASE = """\
case: a
unit: {family: {drive: chain}}
findings:
  - {check: pads, answer: burnt}
  - {check: bore-float, answer: 0.9 mm}
"""


def socket_at(path: Path) -> None:
    """Put a socket there; the name may be no longer than a hundred signs."""
    here = Path.cwd()
    os.chdir(path.parent)
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(path.name)
    os.chdir(here)


def huge(path: Path) -> None:
    """Put a file of 60 MB there that takes no room."""
    with path.open("wb") as file:
        file.truncate(60_000_000)


def link_to_pipe(path: Path) -> None:
    """Put a link to a pipe there."""
    os.mkfifo(path.with_name("fifo"))
    path.symlink_to("fifo")


def pack_of_pipe(path: Path) -> None:
    """Put a pack there whose head is a pipe."""
    path.mkdir()
    os.mkfifo(path / "pack.yaml")


def pack_with_pipe(path: Path) -> None:
    """Put a pack there with a pipe among its files."""
    os.mkfifo(write_book(path) / "x.yaml")


def endless_pack(path: Path) -> None:
    """Put a pack there whose cases have no end."""
    (write_book(path) / "x.cases.yaml").symlink_to("/dev/zero")


def earlier_pipe(path: Path) -> None:
    """Put a case there whose earlier case is a pipe."""
    os.mkfifo(path.with_name("before"))
    path.write_text(CASE + "earlier: before\n", "utf-8")


MADE: dict[str, Callable[[Path], object]] = {
    "pipe": os.mkfifo,
    "socket": socket_at,
    "folder": Path.mkdir,
    "loop": lambda path: path.symlink_to(path),
    "link to nothing": lambda path: path.symlink_to("nothing"),
    "link to a pipe": link_to_pipe,
    "link to zeros": lambda path: path.symlink_to("/dev/zero"),
    "link to a full device": lambda path: path.symlink_to("/dev/full"),
    "link to the input": lambda path: path.symlink_to("/proc/self/fd/0"),
    "link to memory": lambda path: path.symlink_to("/proc/self/mem"),
    "link to the case": lambda path: path.symlink_to("a.yaml"),
    "empty": Path.touch,
    "zeros": lambda path: path.write_bytes(b"\0" * 5000),
    "huge": huge,
    "not text": lambda path: path.write_bytes(b"case: \xff\xfe\n"),
    "UTF-16": lambda path: path.write_bytes(CASE.encode("utf-16")),
    "strange": lambda path: path.write_text("mine\n", "utf-8"),
    "pack of a pipe": pack_of_pipe,
    "pack with a pipe": pack_with_pipe,
    "pack with endless cases": endless_pack,
    "earlier a pipe": earlier_pipe,
    "earlier endless": lambda path: path.write_text(CASE + "earlier: /dev/zero\n", "utf-8"),
    "earlier itself": lambda path: path.write_text(CASE + f"earlier: {path.name}\n", "utf-8"),
}
NAMES = {
    "too long a name": "n" * 256,
    "no text for a name": "caf\udce9.yaml",
    "in a file": "a.yaml/x.yaml",
    "nowhere": "none/x.yaml",
    "root": "/",
    "nothing": "",
}
KINDS = (*MADE, *NAMES)
ENDINGS = {"out": ".html", "svg": ".svg", "sheet": ".md"} | dict.fromkeys(
    ("cases", "folder", "book", "shop"), ""
)
FILLED = {
    "case": "a.yaml", "condition": "pads-burnt", "chain": "bore-burns-pads", "out": "r.html",
    "id": "pads-burnt", "folder": "out", "path": "small", "old": "small", "new": "small",
    "what": "chain", "text": "it leaks", "who": "ana", "progress": "p.yaml", "file": "new.yaml",
}  # fmt: skip
TYPED = ["", "", "pads: burnt", "done", "", ""]


def leaves(
    parser: argparse.ArgumentParser, words: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], argparse.ArgumentParser]]:
    """Yield every command with its parser."""
    inner = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    if not inner:
        yield words, parser
    for action in inner:
        for name, below in action.choices.items():
            yield from leaves(below, (*words, name))


def takes_file(action: argparse.Action) -> bool:
    """Say whether an argument is a file or a folder."""
    return action.type is Path or action.dest in ("book", "shop")


def command_with(
    words: tuple[str, ...], parser: argparse.ArgumentParser, attacked: argparse.Action, value: str
) -> list[str]:
    """Return a whole command line in which one file is that value."""
    line = [*words]
    exclusive = [g._group_actions for g in parser._mutually_exclusive_groups]
    rivals = {a.dest for group in exclusive if attacked in group for a in group} - {attacked.dest}
    for action in parser._actions:
        partner = action.dest == "who" and attacked.dest == "progress"
        given = value if action is attacked else FILLED.get(action.dest, "")
        wanted = action is attacked or action.required or not action.option_strings or partner
        if action.dest in rivals or (not (wanted and given) and action is not attacked):
            continue
        if action.dest == "path" and action is not attacked and words[-1] != "new":
            continue
        line += [action.option_strings[-1], given] if action.option_strings else [given]
        if action.dest == "path" and words[-1] == "new":
            line[-1:] = ["pads-burnt", "bore-worn"]
    options = {text for action in parser._actions for text in action.option_strings}
    if "--book" in options and attacked.dest != "book":
        line += ["--book", "small"]
    return line


ARGUMENTS = [
    (words, parser, action)
    for words, parser in leaves(make_parser())
    for action in parser._actions
    if takes_file(action)
]


def place_of(kind: str, action: argparse.Action) -> str:
    """Put something of a kind into the working folder and return its name."""
    if kind in NAMES:
        return NAMES[kind]
    name = "odd" + ENDINGS.get(action.dest, ".yaml")
    MADE[kind](Path(name))
    return name


@contextmanager
def bell() -> Iterator[None]:
    """Raise TimeoutError after so many seconds."""

    def ring(_signal: int, _frame: FrameType | None) -> None:
        raise TimeoutError(f"not done in {SECONDS} s")

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(SECONDS)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def fault_of(line: list[str], kind: str, name: str) -> str:
    """Say what is wrong with how a command took it, if anything is."""
    odd = Path(name)
    before = [Path("a.yaml").read_bytes(), mode_of(odd)]
    mine = odd.read_bytes() if kind in ("strange", "not text", "UTF-16") else None
    try:
        with bell():
            status, _, err = play(*line, steps=TYPED)
    except Exception as error:  # whatever comes through is a failure of what is attacked
        return repr(error)
    if faults := faults_of(status, err):
        return f"{faults} {err[:200]!r}"
    if mine is not None and mine != odd.read_bytes():
        return "it was written over"
    if before[1] is not None and before[1] != mode_of(odd):
        return "it was written over"
    if Path("a.yaml").read_bytes() != before[0] and name != "a.yaml" and line[0] not in SEATS:
        return "the case was written over"
    return ""


SEATS = ("bench", "hoist", "call")


def mode_of(path: Path) -> int | None:
    """Return what kind of file there is, links not followed; None where nothing is."""
    with suppress(OSError, ValueError):
        return path.lstat().st_mode >> 12
    return None


def strike_odd_files(dice: Random, runs: int, folder: Path) -> Outcome:
    """Try all kinds for all arguments, or as many of them as are wanted."""
    todo = [(kind, *argument) for kind in KINDS for argument in ARGUMENTS]
    pipes = [one for one in todo if one[0] == "pipe"]
    others = [one for one in todo if one[0] != "pipe"]
    todo = [*pipes, *dice.sample(others, min(len(others), max(0, runs - len(pipes))))]
    here, failures = Path.cwd(), []
    for number, (kind, words, parser, action) in enumerate(todo):
        place = folder / str(number)
        (place / "out").mkdir(parents=True)
        write_book(place / "small")
        (place / "a.yaml").write_text(CASE, "utf-8")
        os.chdir(place)
        try:
            name = place_of(kind, action)
            line = command_with(words, parser, action, name)
            if fault := fault_of(line, kind, name):
                failures.append(f"{kind}: {' '.join(line)}: {fault}")
        finally:
            os.chdir(here)
        shutil.rmtree(place)
    return Outcome(len(todo), tuple(failures))


ATTACKS = (Attack("odd files as every file of every command", strike_odd_files, 150, 100_000),)
