"""The commands of the ledger, a shop's memory."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from headwater.cli.arguments import Commands, add_json

STATES = ("open", "waiting", "ordered", "in-work", "done", "archived")
"""The states of `ledger.records`, which is not imported only to be listed."""


def add_ledger_option(parser: argparse.ArgumentParser) -> None:
    """Let the user name another ledger."""
    parser.add_argument(
        "--ledger",
        metavar="URL",
        help="a file, or postgresql://HOST/NAME",
    )


def add_ledger(commands: Commands) -> None:
    """Add `ledger` with its actions."""
    ledger = commands.add_parser("ledger", help="the shop's memory: cases, what was done, returns")
    inner = ledger.add_subparsers(dest="ledger_command", metavar="ACTION", required=True)

    init = _action(inner, "init", "make a new ledger")
    init.add_argument("--zone", default="", metavar="ZONE", help="time zone of the shop: Etc/UTC")

    add = _action(inner, "add", "put case files in; the cases go on there")
    add.add_argument("files", nargs="+", type=Path, metavar="FILE", help="case files")
    add.add_argument("--as", dest="name", default="", metavar="NAME", help="its name there")

    listed = _action(inner, "list", "cases, the last changed first")
    listed.add_argument("--state", action="append", choices=STATES, help="only those in this state")
    _add_most(listed)

    find = _action(inner, "find", "cases by customer, phone, plate, unit number or words")
    find.add_argument("words", nargs="+", metavar="WORDS", help="what to look for")
    _add_most(find)

    show = _action(inner, "show", "one case in full, and who did what when")
    _add_case(show)

    export = _action(inner, "export", "write cases as case files, with their photographs")
    export.add_argument("cases", nargs="*", metavar="CASE", help="cases; all, if none is named")
    export.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="where they go")


def _action(inner: Any, name: str, line: str) -> argparse.ArgumentParser:
    """Add an action, with the options that all have."""
    parser: argparse.ArgumentParser = inner.add_parser(name, help=line)
    add_ledger_option(parser)
    parser.add_argument("--who", default="", metavar="NAME", help="who does it, for the log")
    add_json(parser)
    parser.set_defaults(run=f"ledger:run_{name.replace('-', '_')}")
    return parser


def _add_case(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="the name of a case in the ledger")


def _add_most(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--csv", action="store_true", help="print a CSV table")
    parser.add_argument("--most", type=int, default=50, metavar="N", help="so many at most (50)")
