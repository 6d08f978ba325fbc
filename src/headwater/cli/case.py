"""Commands on a case or a condition: diagnose, trace, demo."""

from __future__ import annotations

import argparse
from dataclasses import replace

from headwater import outputs
from headwater.case.read import read_case
from headwater.cli.chosen import book_of, case_of, target_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import say, show, status_of
from headwater.render.look import MARK
from headwater.session.search import find_condition
from headwater.session.session import open_session
from headwater.shipped import data_folder
from headwater.view.asking import Doubt
from headwater.view.trace import Tracing

DEMO_CASE = "ridge-07.yaml"


def run_diagnose(args: argparse.Namespace, terminal: Terminal) -> int:
    """Judge a case file once."""

    session = open_session(book_of(args), case_of(args.case, terminal))
    if args.why is not None:
        condition = find_condition(session.open_book, args.why, session.book)
        show(terminal, args, "why", Doubt(session, condition))
    else:
        show(terminal, args, "verdict", session)
    return status_of(session)


def run_demo(args: argparse.Namespace, terminal: Terminal) -> int:
    """Play a shipped case: what is found alone, a reading that points, the look that proves it."""

    book = book_of(args)
    case = read_case(data_folder() / "examples" / DEMO_CASE)
    session = open_session(book, case)
    if args.json:
        show(terminal, args, "verdict", session)
        return DONE
    found, measured = (
        open_session(book, replace(case, findings=case.findings[:count])) for count in (1, 2)
    )
    screen = terminal.screen
    screen.say("A unit of an invented mountain-rescue fleet lies on the bench.", "head")
    screen.say(f"Its driver said: {case.complaint}")
    screen.say()
    screen.say("1. One thing was found: the pads of the range fork are burnt.", "head")
    screen.say("It would be easy to stop here, at the last link of the chain. Headwater does not:")
    say(screen, "state", found)
    say(screen, "next", found)
    screen.say()
    screen.say("2. The bench measures: the input bearing moves 0.045 in within its bore.", "head")
    screen.say("One origin leads now. Float can have other causes, so nothing is scrapped for it:")
    say(screen, "state", measured)
    say(screen, "next", measured)
    screen.say()
    screen.say("3. The rear flank of the groove is rolled, and the chain is named.", "head")
    screen.say()
    say(screen, "verdict", session)
    screen.say()
    screen.say("Now try it yourself: headwater bench my-unit.yaml", "head")
    return DONE


def run_trace(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the chains that end in or pass through a condition."""

    opened = book_of(args)
    tracing = Tracing(opened.book, find_condition(opened, args.condition))
    if args.svg:
        target_of(args, args.svg, MARK).write(outputs.svg_text("trace", tracing))
        terminal.screen.raw(f"Drawn: {args.svg}")
    else:
        show(terminal, args, "trace", tracing)
    return DONE
