"""The trainer's commands: their words and options."""

from __future__ import annotations

import argparse
from pathlib import Path

from headwater.cli.arguments import Commands, add_book_options, add_json, add_paper_file

LEVELS = range(1, 6)
"""The levels of `drill.truth`, which is not imported only to be listed."""


def add_class(commands: Commands) -> None:
    """Add `class` with its actions."""
    room = commands.add_parser("class", help="the trainer's side: class list, tasks, sheets")
    inner = room.add_subparsers(dest="action", metavar="ACTION", required=True)

    listed = inner.add_parser("list", help="what each has done, by chain and kind of mistake")
    assign = inner.add_parser("assign", help="set the next exercise for one, some, or all")
    for parser in (listed, assign):
        parser.add_argument(
            "--progress",
            type=Path,
            required=True,
            metavar="FILE",
            help="file that keeps what the class does; 'assign' begins it",
        )
        parser.add_argument("--who", action="append", metavar="NAME", help="only them; repeat")
        add_json(parser)
    listed.set_defaults(run="classroom:run_list")
    what = assign.add_mutually_exclusive_group()
    what.add_argument("--chain", metavar="CHAIN", help="a chain's id, or words for it")
    what.add_argument("--case", type=Path, metavar="CASE", help="the chain that a case came to")
    assign.set_defaults(run="classroom:run_assign")

    sheet = inner.add_parser("sheet", help="an exercise on paper, or the answers to it")
    sheet.add_argument("--chain", metavar="CHAIN", help="a chain's id, or words for it")
    sheet.add_argument("--seed", type=_number, metavar="N", help="the number of the exercise")
    sheet.add_argument("--answers", action="store_true", help="the trainer's answers")
    add_paper_file(sheet)
    sheet.set_defaults(run="classroom:run_sheet")

    for parser in (assign, sheet):
        parser.add_argument("--level", type=int, choices=LEVELS, help="1 is the easiest (1)")
    for parser in (listed, assign, sheet):
        add_book_options(parser)


def _number(text: str) -> int:
    if not text.isdecimal() or len(text) > 12:
        raise argparse.ArgumentTypeError("it is a whole number from 0 up")
    return int(text)
