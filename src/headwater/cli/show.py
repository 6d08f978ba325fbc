"""Shows an output of the table (`headwater.outputs`) in the form that the command line asks for."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from headwater import outputs
from headwater.cli.main import DONE, HELD, Terminal
from headwater.errors import HeadwaterError

if TYPE_CHECKING:
    from headwater.cli.console import Screen
    from headwater.session.session import Session


def show(terminal: Terminal, args: argparse.Namespace, name: str, told: Any) -> None:
    """Print an output as lines, or as JSON or as a table where that was asked for."""
    if args.json:
        terminal.write(outputs.json_text(name, told) + "\n")
    elif "csv" in args and args.csv:
        if not outputs.BY_NAME[name].table:
            raise HeadwaterError("there is no table of this; leave '--csv' out")
        terminal.screen.raw(outputs.csv_text(name, told))
    else:
        say(terminal.screen, name, told)


def say(screen: Screen, name: str, told: Any) -> None:
    """Print an output as lines on a screen."""
    screen.show(outputs.lines(name, told))


def status_of(session: Session) -> int:
    """Return the exit status that a verdict stands for."""
    return DONE if session.fine else HELD
