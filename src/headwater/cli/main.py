"""The command line of Headwater: one parser, one place where faults become one line and a status.

Exit status: 0 done; 1 the case is held or the book has faults; 2 the input cannot be used.
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import IO

from headwater import __version__
from headwater.cli.console import Screen
from headwater.errors import HeadwaterError

DONE, HELD, UNUSABLE = 0, 1, 2

ABOUT = """\
Headwater finds why a driveline unit failed. It follows the chain from what is burnt, cut or leaking
back to where it began, and it refuses to recommend a part before the origin of its damage is named.

  headwater demo                   see it work, in under a minute
  headwater bench my-unit.yaml     guided questions over a torn-down unit
  headwater diagnose my-unit.yaml  judge a case file once
"""


@dataclass(slots=True)
class Terminal:
    """The streams a command talks to, and the screen over its output."""

    out: IO[str]
    err: IO[str]
    stdin: IO[str]
    width: int | None = None

    @property
    def screen(self) -> Screen:
        """Return a screen over the output."""
        return Screen(self.out, self.width)

    @property
    def side(self) -> Screen:
        """Return a screen over the error stream, for what is not the result."""
        return Screen(self.err, self.width)


MODULES = {
    "case": ("demo", "diagnose", "trace"),
    "bench": ("bench",),
    "planning": ("plan", "options", "audit"),
    "book": ("book",),
    "work": ("work",),
}
"""Module of `headwater.cli` -> the commands it adds, in the order of the help."""


def make_parser(wanted: str | None = None) -> argparse.ArgumentParser:
    """Return the parser; only of the wanted command's module if it is known, to start faster."""
    known = [name for name, commands in MODULES.items() if wanted in commands]
    parser = argparse.ArgumentParser(
        prog="headwater", description=ABOUT, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--version", action="version", version=f"headwater {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in known or MODULES:
        importlib.import_module(f"headwater.cli.{name}").add_commands(commands)
    return parser


def run(argv: Sequence[str], terminal: Terminal) -> int:
    """Run one command and return its exit status. A user's fault becomes one line."""
    parser = make_parser(argv[0] if argv else None)
    try:
        args = parser.parse_args(argv)
    except SystemExit as stop:
        return int(stop.code or 0)
    try:
        status: int = args.run(args, terminal)
        return status
    except HeadwaterError as error:
        print(f"headwater: {error}", file=terminal.err)
        return UNUSABLE
    except KeyboardInterrupt:
        print("headwater: stopped", file=terminal.err)
        return UNUSABLE


def entry() -> None:
    """Run the command line of this process."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        status = run(sys.argv[1:], Terminal(sys.stdout, sys.stderr, sys.stdin))
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader of a pipe has gone: nothing is wrong, and nobody is left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = DONE
    sys.exit(status)
