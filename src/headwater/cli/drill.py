"""The command `drill`: for the trainer and the apprentice."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from headwater.cli.options import add_book_options, add_json

if TYPE_CHECKING:
    from headwater.cli.main import Terminal

LEVELS = (1, 2, 3, 4, 5)


def add_commands(commands: Any) -> None:
    """Add the command."""
    drill = commands.add_parser("drill", help="training: walk a chain, solve a unit, explain back")
    modes = drill.add_subparsers(dest="mode", metavar="MODE", required=True)

    walk = modes.add_parser("walk", help="step a class along a chain or a stored case")
    what = walk.add_mutually_exclusive_group(required=True)
    what.add_argument("chain", nargs="?", metavar="CHAIN", help="a chain's id, or words for it")
    what.add_argument("--case", type=Path, metavar="CASE", help="a stored case, names removed")
    walk.set_defaults(run=run_walk)

    solve = modes.add_parser("solve", help="find the origin in a hidden unit")
    solve.add_argument("--level", type=int, choices=LEVELS, help="1 is the easiest (default 1)")
    solve.add_argument("--seed", type=_seed, metavar="N", help="the same seed, the same unit")
    solve.set_defaults(run=run_solve)

    order = modes.add_parser("order", help="put the links of a chain in order, with evidence")
    order.add_argument("chain", metavar="CHAIN", help="a chain's id, or words for it")
    order.add_argument("--seed", type=_seed, default=0, metavar="N", help="another shuffle")
    order.set_defaults(run=run_order)

    for mode in (solve, order):
        mode.add_argument("--who", metavar="NAME", default="", help="the apprentice")
        mode.add_argument("--progress", type=Path, metavar="FILE", help="file that keeps progress")
    for mode in (walk, solve, order):
        mode.add_argument("--answers", type=Path, metavar="FILE", help="take input from a file")
        add_json(mode)
        add_book_options(mode)


def _seed(text: str) -> int:
    if not text.isdecimal() or len(text) > 12:
        raise argparse.ArgumentTypeError("a seed is a whole number from 0 up")
    return int(text)


def run_walk(args: argparse.Namespace, terminal: Terminal) -> int:
    """Step along a chain or a case."""
    from headwater.cli.lesson import walk

    return walk(args, terminal)


def run_solve(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold an exercise."""
    from headwater.cli.lesson import solve

    return solve(args, terminal)


def run_order(args: argparse.Namespace, terminal: Terminal) -> int:
    """Have a chain explained back."""
    from headwater.cli.lesson import order

    return order(args, terminal)
