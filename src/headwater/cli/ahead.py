"""Units drawn ahead: on request, and by a second process while somebody works on one."""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
from datetime import UTC, datetime

from headwater.book.cache import cache_folder
from headwater.cli.chosen import book_of
from headwater.cli.lessons import progress_of
from headwater.cli.main import DONE, Terminal
from headwater.drill.exercise import Wish
from headwater.drill.run import DrillError
from headwater.drill.shelf import Shelf, drawing_alone, shelf_for
from headwater.drill.truth import LEVELS

SEEDS = 1_000_000
AHEAD = 2
"""Units of a level that are to wait, where nobody says otherwise."""


def run_ready(args: argparse.Namespace, terminal: Terminal) -> int:
    """Draw units until enough of them wait."""
    open_book = book_of(args)
    shelf = shelf_for(cache_folder(os.environ), open_book.book)
    if shelf.path is None:
        mend = "let HEADWATER_CACHE name a folder, or leave it out"
        raise DrillError(f"there is no folder to keep units in; {mend}")
    record = progress_of(args).record
    near = record.next_from(open_book.book, datetime.now(UTC))
    with drawing_alone(shelf) as alone:
        if not alone:
            raise DrillError("units are being drawn already; try again later")
        for level in [args.level] if args.level else LEVELS:
            while shelf.ready(level, near) < args.units:
                seed = random.SystemRandom().randrange(SEEDS)
                shelf.stock(open_book, Wish(level, seed, near, record.last))
            terminal.screen.say(f"level {level}: {shelf.ready(level)} waiting")
    return DONE


def draw_ahead(args: argparse.Namespace, shelf: Shelf, level: int) -> None:
    """Have the next units drawn by another process, which is in nobody's way and ends by itself."""
    if shelf.path is None:
        return
    words = ["drill", "ready", "--level", str(level), "--units", str(AHEAD)]
    for option, folders in (("--book", args.book), ("--shop", args.shop)):
        for folder in folders or ():
            words += [option, str(folder)]
    if args.who:
        words += ["--who", args.who, "--progress", str(args.progress)]
    quiet = subprocess.DEVNULL
    command = [sys.executable, "-m", "headwater", *words]
    subprocess.Popen(
        command,
        stdin=quiet,
        stdout=quiet,
        stderr=quiet,
        start_new_session=True,
        preexec_fn=_step_back if hasattr(os, "nice") else None,
    )


def _step_back() -> None:
    os.nice(10)
