"""The command `work`: bench arithmetic with its formula, numbers, uncertainty and source."""

from __future__ import annotations

import argparse

from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.measure.faults import MeasureError
from headwater.measure.registry import WORKS, find_work, run_work
from headwater.measure.work import Work


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Work something out, or say what it needs."""

    if args.name is None:
        for work in WORKS.values():
            terminal.screen.say(f"{work.name}: {work.title}")
        return DONE
    work = find_work(args.name)
    if not args.inputs:
        _explain(work, terminal)
        return DONE
    given: dict[str, str] = {}
    for pair in args.inputs:
        name, mark, reading = pair.partition("=")
        if not mark:
            raise MeasureError(f"'{pair}' must be written INPUT=READING, such as 'bore=80.02 mm'")
        given[name.strip()] = reading.strip()
    show(terminal, args, "work", run_work(args.name, given))
    return DONE


def _explain(work: Work, terminal: Terminal) -> None:
    screen = terminal.screen
    screen.say(f"{work.name}: {work.title}", "head")
    screen.say(f"formula: {work.formula}", indent=2)
    screen.say(f"source: {work.source}", indent=2)
    screen.say("It asks for:", indent=2)
    for item in work.inputs:
        choices = f", one of {', '.join(item.choices)}" if item.choices else f", {item.dimension}"
        taken = f", {item.default} if not given" if item.default else ""
        may = ", may be left out" if item.optional else ""
        screen.say(f"{item.name}{choices}{taken}{may}: {item.ask}", indent=4)
