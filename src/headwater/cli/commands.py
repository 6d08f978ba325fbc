"""The commands: their words, their options, and which function runs each.

Only `argparse` is needed to understand a command line or to print its help. The function that runs
a command is named, `module:function` within `headwater.cli`, and imported when its turn comes.
"""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from headwater.cli.arguments import (
    Commands,
    add_book_options,
    add_json,
    add_letterhead_file,
    add_paper_file,
)
from headwater.cli.bookcommands import add_book
from headwater.cli.classcommands import add_class
from headwater.cli.ledgercommands import add_ledger
from headwater.cli.servecommands import add_people, add_serve


def function_of(args: argparse.Namespace) -> Callable[..., int]:
    """Return the function that runs the command that was chosen."""
    module, _, name = args.run.partition(":")
    found: Callable[..., int] = getattr(importlib.import_module(f"headwater.cli.{module}"), name)
    return found


def add_demo(commands: Commands) -> None:
    """Add `demo`."""
    demo = commands.add_parser("demo", help="play a shipped case and explain it")
    add_json(demo)
    add_book_options(demo)
    demo.set_defaults(run="case:run_demo")


def add_diagnose(commands: Commands) -> None:
    """Add `diagnose`."""
    diagnose = commands.add_parser("diagnose", help="judge a case file: origin, parts, plan")
    diagnose.add_argument("case", type=Path, metavar="CASE", help="the case file")
    diagnose.add_argument(
        "--why", metavar="CONDITION", help="only why this condition stands as it does, or does not"
    )
    form = diagnose.add_mutually_exclusive_group()
    add_json(form)
    form.add_argument("--csv", action="store_true", help="print the findings as a CSV table")
    add_book_options(diagnose)
    diagnose.set_defaults(run="case:run_diagnose")


def add_trace(commands: Commands) -> None:
    """Add `trace`."""
    trace = commands.add_parser("trace", help="show the chains through a condition")
    trace.add_argument("condition", metavar="CONDITION", help="a condition's id, or words for it")
    form = trace.add_mutually_exclusive_group()
    add_json(form)
    form.add_argument("--svg", type=Path, metavar="FILE", help="draw them into an SVG file")
    trace.add_argument("--force", action="store_true", help="write over any FILE")
    add_book_options(trace)
    trace.set_defaults(run="case:run_trace")


def _add_seat(commands: Commands, name: str, line: str, description: str) -> Any:
    """Add a guided command over a case file, with the options that all seats have."""
    parser = commands.add_parser(name, help=line, description=description)
    parser.add_argument("case", type=Path, metavar="CASE", help="case file; a new one is made")
    parser.add_argument("--answers", type=Path, metavar="FILE", help="take answers from a file")
    parser.add_argument(
        "--family", default="", metavar="A=B,C=D", help="what the unit is: housing=magnesium,..."
    )
    parser.add_argument("--complaint", default="", metavar="TEXT", help="the customer's words")
    parser.add_argument(
        "--earlier", type=Path, metavar="FILE", help="the earlier case, for a unit that came back"
    )
    add_json(parser)
    add_book_options(parser)
    return parser


def add_call(commands: Commands) -> None:
    """Add `call`."""
    call = _add_seat(
        commands,
        "call",
        "triage on the phone: may it be driven, what not to buy, what to bring",
        "Asks a caller at most 8 questions; ends in a call sheet. The case goes on at the bench.",
    )
    call.add_argument(
        "--sheet", type=Path, metavar="FILE.md", help="write the call sheet there too"
    )
    call.add_argument("--force", action="store_true", help="write over any FILE.md")
    call.add_argument(
        "--prices", type=Path, metavar="FILE", help="add what it may cost, by the shop's price list"
    )
    call.set_defaults(run="call:run")


def add_bench(commands: Commands) -> None:
    """Add `bench`."""
    bench = _add_seat(
        commands,
        "bench",
        "guided questions over a torn-down unit",
        "Asks one question at a time, most telling first, and names the origin.",
    )
    bench.add_argument("--closed", action="store_true", help="the unit is not taken apart yet")
    bench.set_defaults(run="bench:run", seat="bench")


def add_hoist(commands: Commands) -> None:
    """Add `hoist`."""
    hoist = _add_seat(
        commands,
        "hoist",
        "guided questions with the vehicle on the hoist",
        "Asks what can be seen before the unit is out; the case goes on at the bench.",
    )
    hoist.set_defaults(run="bench:run", seat="hoist", closed=False)


def _add_case(parser: argparse.ArgumentParser) -> Any:
    """Add the case and the packs; return the group of forms, of which one may be chosen."""
    parser.add_argument("case", type=Path, metavar="CASE", help="the case file")
    form = parser.add_mutually_exclusive_group()
    add_json(form)
    add_book_options(parser)
    return form


def add_plan(commands: Commands) -> None:
    """Add `plan`."""
    plan = commands.add_parser("plan", help="the job sheet of a case")
    form = _add_case(plan)
    form.add_argument("--csv", action="store_true", help="print the plan as a CSV table")
    plan.set_defaults(run="planning:run_plan")


def add_options(commands: Commands) -> None:
    """Add `options`."""
    options = commands.add_parser("options", help="ways to put a unit right, priced")
    _add_case(options)
    options.add_argument("--prices", type=Path, metavar="FILE", help="price list, or a folder")
    options.add_argument(
        "--parts", metavar="LIST", help="what the customer asks for: 'range fork, chain'"
    )
    options.set_defaults(run="planning:run_options")


def add_audit(commands: Commands) -> None:
    """Add `audit`."""
    audit = commands.add_parser(
        "audit",
        help="what a proposed repair leaves uncorrected",
        epilog="A case that names an earlier one is compared with it as well.",
    )
    _add_case(audit)
    proposed = audit.add_mutually_exclusive_group()
    proposed.add_argument("--plan", type=Path, metavar="PLAN", help="the repair, as a file")
    proposed.add_argument("--parts", metavar="LIST", help="a bare list: 'range fork, chain'")
    audit.set_defaults(run="planning:run_audit")


def add_drill(commands: Commands) -> None:
    """Add `drill` with its modes."""
    drill = commands.add_parser("drill", help="training: walk a chain, solve a unit, explain back")
    modes = drill.add_subparsers(dest="mode", metavar="MODE", required=True)

    walk = modes.add_parser("walk", help="step a class along a chain or a stored case")
    what = walk.add_mutually_exclusive_group(required=True)
    what.add_argument("chain", nargs="?", metavar="CHAIN", help="a chain's id, or words for it")
    what.add_argument("--case", type=Path, metavar="CASE", help="a stored case, names removed")
    walk.add_argument("-o", "--out", type=Path, metavar="FILE", help="a page to project: FILE.html")
    walk.add_argument("--force", action="store_true", help="write over any FILE")
    walk.set_defaults(run="lessons:run_walk")

    solve = modes.add_parser("solve", help="find the origin in a hidden unit")
    solve.add_argument("--level", type=int, choices=LEVELS, help="1 is the easiest (default 1)")
    solve.add_argument("--seed", type=_seed, metavar="N", help="the same seed, the same unit")
    solve.set_defaults(run="drill:run_solve")

    order = modes.add_parser("order", help="put the links of a chain in order, with evidence")
    order.add_argument("chain", metavar="CHAIN", help="a chain's id, or words for it")
    order.add_argument("--seed", type=_seed, default=0, metavar="N", help="another shuffle")
    order.set_defaults(run="lessons:run_order")

    ready = modes.add_parser("ready", help="draw units ahead, so that exercises begin at once")
    ready.add_argument("--level", type=int, choices=LEVELS, help="only this level")
    ready.add_argument("--units", type=_units, default=2, metavar="N", help="of a level (2)")
    ready.set_defaults(run="ahead:run_ready")
    add_book_options(ready)

    for mode in (solve, order, ready):
        mode.add_argument("--who", metavar="NAME", default="", help="the apprentice")
        mode.add_argument("--progress", type=Path, metavar="FILE", help="file that keeps progress")
    for mode in (walk, solve, order):
        mode.add_argument("--answers", type=Path, metavar="FILE", help="take input from a file")
        add_json(mode)
        add_book_options(mode)


LEVELS = range(1, 6)
"""The levels of `drill.truth`, which is not imported only to be listed."""


def _units(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text[:4]) <= 50 or len(text) > 2:
        raise argparse.ArgumentTypeError("it is a whole number from 1 to 50")
    return int(text)


def _seed(text: str) -> int:
    if not text.isdecimal() or len(text) > 12:
        raise argparse.ArgumentTypeError("a seed is a whole number from 0 up")
    return int(text)


def add_report(commands: Commands) -> None:
    """Add `report`."""
    report = commands.add_parser("report", help="write a case as a page or as Markdown")
    report.add_argument("case", type=Path, metavar="CASE", help="the case file")
    add_paper_file(report, required=True)
    report.add_argument(
        "--for",
        dest="reader",
        choices=("shop", "customer"),
        default="shop",
        help="in full for the shop (default), or in plain words for the customer",
    )
    report.add_argument(
        "--prices", type=Path, metavar="FILE", help="add the ways to put it right, priced"
    )
    add_letterhead_file(report)
    add_book_options(report)
    report.set_defaults(run="report:run_report")


def add_work(commands: Commands) -> None:
    """Add `work`."""
    work = commands.add_parser(
        "work", help="bench arithmetic: fits, floats, ratios, oil", epilog="Without NAME: the list."
    )
    work.add_argument("name", nargs="?", metavar="NAME", help="what to work out")
    work.add_argument("inputs", nargs="*", metavar="INPUT=READING", help="such as 'bore=80.02 mm'")
    add_json(work)
    work.set_defaults(run="work:run")


def add_hear(commands: Commands) -> None:
    """Add `hear`."""
    hear = commands.add_parser("hear", help="what is understood of a sentence")
    hear.add_argument("text", nargs="+", metavar="TEXT", help="what somebody said")
    add_json(hear)
    add_book_options(hear)
    hear.set_defaults(run="hear:run")


def _add_blank(commands: Commands, name: str, line: str, new: str, file: str) -> Any:
    """Add a command whose action `new` writes a file to be filled in; return its parser."""
    actions = commands.add_parser(name, help=line).add_subparsers(
        dest="action", metavar="ACTION", required=True
    )
    parser = actions.add_parser("new", help=new)
    parser.add_argument(
        "file", nargs="?", type=Path, default=Path(file), metavar="NAME", help=f"file ({file})"
    )
    add_book_options(parser)
    parser.set_defaults(run=f"blank:run_{name}")
    return parser


def add_case(commands: Commands) -> None:
    """Add `case`."""
    new = _add_blank(
        commands, "case", "start a case file by hand", "write a case to fill in", "case.yaml"
    )
    new.add_argument(
        "--family", default="", metavar="A=B,C=D", help="what the unit is: housing=magnesium,..."
    )
    new.add_argument("--complaint", default="", metavar="TEXT", help="the customer's words")


def add_prices(commands: Commands) -> None:
    """Add `prices`."""
    line, new = "start a price list", "write a price list to fill in, every part in it"
    _add_blank(commands, "prices", line, new, "prices.yaml")


def add_letterhead(commands: Commands) -> None:
    """Add `letterhead`."""
    line, new = "start a letterhead", "write what stands on the shop's papers, to fill in"
    _add_blank(commands, "letterhead", line, new, "letterhead.yaml")


def add_proposal(commands: Commands) -> None:
    """Add `proposal`."""
    line, new = "start a plan file for 'audit'", "write a proposed repair to fill in"
    _add_blank(commands, "proposal", line, new, "plan.yaml")


COMMANDS: dict[str, Callable[[Commands], None]] = {
    "demo": add_demo,
    "diagnose": add_diagnose,
    "trace": add_trace,
    "call": add_call,
    "bench": add_bench,
    "hoist": add_hoist,
    "plan": add_plan,
    "options": add_options,
    "audit": add_audit,
    "drill": add_drill,
    "class": add_class,
    "report": add_report,
    "book": add_book,
    "ledger": add_ledger,
    "serve": add_serve,
    "people": add_people,
    "work": add_work,
    "hear": add_hear,
    "case": add_case,
    "prices": add_prices,
    "letterhead": add_letterhead,
    "proposal": add_proposal,
}
"""Command -> what adds its parser, in the order of the help."""
