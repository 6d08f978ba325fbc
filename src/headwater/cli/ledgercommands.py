"""The commands of the ledger, a shop's memory."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from headwater.cli.arguments import Commands, add_book_options, add_json, add_paper_file

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
    init.add_argument(
        "--warranty", default="", metavar="TERM", help="usual term: '12 months, 20000 km'"
    )
    init.add_argument(
        "--warranty-from", choices=("repair", "return"), default="repair", help=_TERM_FROM
    )

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

    _add_outcome(inner)
    _add_figures(inner)
    _add_upkeep(inner)

    export = _action(inner, "export", "write cases as case files, with their photographs")
    export.add_argument("cases", nargs="*", metavar="CASE", help="cases; all, if none is named")
    export.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="where they go")


_TERM_FROM = "a repair of a return keeps the first term, or begins a new one"


def _add_outcome(inner: Any) -> None:
    """Add what says how far a case is, and how it turned out."""
    mark = _action(inner, "mark", "say how far a case is")
    _add_case(mark)
    mark.add_argument("state", choices=STATES, help="its state; 'done' says what was done")
    mark.add_argument("--for", dest="waits_for", default="", metavar="WHOM", help="it waits for")

    done = _action(inner, "done", "say what was really done, and that the unit has left")
    _add_case(done)
    done.add_argument(
        "--did", action="append", metavar="DEED", help="'replace: range fork'; may be repeated"
    )
    done.add_argument("--as-planned", action="store_true", help="all that the plan asked for")
    done.add_argument("--warranty", default="", metavar="TERM", help="instead of the usual; 'none'")
    _add_day(done, "it left on this day", "at this distance")
    add_book_options(done)

    returned = _action(inner, "returned", "the unit came back: open a case that knows the earlier")
    returned.add_argument("earlier", metavar="EARLIER", help="the case that was done")
    returned.add_argument("case", metavar="NAME", help="the name of the new case")
    returned.add_argument("--complaint", default="", metavar="TEXT", help="the customer's words")
    same = returned.add_mutually_exclusive_group()
    same.add_argument("--same", action="store_true", help="with the same complaint")
    same.add_argument("--other", action="store_true", help="with another complaint")
    _add_day(returned, "it came on this day", "at this distance")

    seen = _action(inner, "seen", "a repaired unit is known to run, or has gone")
    _add_case(seen)
    seen.add_argument("--gone", choices=GONE, default="", help="it will not come back here")
    _add_day(seen, "on this day", "at this distance")


def _add_upkeep(inner: Any) -> None:
    """Add what looks after the ledger itself."""
    sheet = _action(inner, "import", "cases of the past from a CSV file")
    sheet.add_argument("file", type=Path, metavar="FILE", help="the CSV file, a row for a repair")
    sheet.add_argument(
        "--column",
        action="append",
        metavar="WHAT=HEAD",
        help="which column is what: 'case=Job', 'out=Left on'",
    )
    sheet.add_argument("--miles", action="store_true", help="bare distances are miles, not km")
    sheet.add_argument("--dry-run", action="store_true", help="only say what would be done")

    backup = _action(inner, "backup", "write all of it into one new file, while others go on")
    backup.add_argument("file", type=Path, metavar="FILE", help="the file, which is not there yet")

    restore = _action(inner, "restore", "make a new ledger of a backup")
    restore.add_argument("file", type=Path, metavar="FILE", help="the backup")

    _action(inner, "check", "look all of it through")

    merge = _action(inner, "merge", "two customers, vehicles or units are one")
    merge.add_argument("kind", choices=("customer", "vehicle", "unit"), help="what they are")
    merge.add_argument("stays", metavar="STAYS", help="the one that stays")
    merge.add_argument("goes", metavar="GOES", help="the one that goes into it")

    erase = _action(inner, "erase", "take a customer's name and phone out; the cases stay")
    erase.add_argument("customer", metavar="CUSTOMER", help="the name")


def _add_figures(inner: Any) -> None:
    """Add what the cases tell together."""
    trends = _action(inner, "trends", "what fails: origins and parts, and whether they grow")
    trends.add_argument(
        "--by", default="", metavar="WHAT", help="season, distance, family, or an attribute: drive"
    )
    trends.add_argument("--split", default="", metavar="DAY", help="compare before and after")
    trends.add_argument("--fleet", action="store_true", help="instead: repairs as units run on")
    trends.add_argument("--customer", default="", metavar="NAME", help="of --fleet: whose units")
    trends.add_argument("--csv", action="store_true", help="print a CSV table")
    returns = _action(inner, "returns", "what came back: how often, how soon, after which repair")
    calibrate = _action(inner, "calibrate", "how right the book was, and what nobody could say")
    calibrate.add_argument(
        "--questions",
        type=_most,
        default=0,
        metavar="N",
        help="which questions never changed a verdict, in the last N cases: a second for each",
    )
    add_book_options(calibrate)
    for parser in (trends, returns, calibrate):
        add_paper_file(parser)
    learn = _action(inner, "learn", "what the cases make of the book's figures; changes nothing")
    learn.add_argument(
        "-o",
        "--out",
        type=Path,
        metavar="FOLDER",
        help="a new folder for the pack that is proposed, to be laid over with --shop",
    )
    add_book_options(learn)
    for parser in (trends, returns):
        parser.add_argument("--since", default="", metavar="DAY", help="from this day: 2031-04-09")
        parser.add_argument("--until", default="", metavar="DAY", help="up to this day")


GONE = ("sold", "elsewhere", "scrapped")
"""Where a unit may go, of `ledger.outcome`, which is not imported only to be listed."""


def _add_day(parser: argparse.ArgumentParser, on: str, distance: str) -> None:
    parser.add_argument("--on", default="", metavar="DAY", help=f"{on}: 2031-04-09 (today)")
    parser.add_argument("--distance", default="", metavar="READING", help=f"{distance}: 84000 km")


def _action(inner: Any, name: str, line: str) -> argparse.ArgumentParser:
    """Add an action, with the options that all have."""
    parser: argparse.ArgumentParser = inner.add_parser(name, help=line)
    add_ledger_option(parser)
    parser.add_argument("--who", default="", metavar="NAME", help="who does it, for the log")
    add_json(parser)
    parser.set_defaults(run=f"{_MODULES.get(name, 'ledger')}:run_{name}")
    return parser


_MODULES = {
    **dict.fromkeys(("mark", "done", "returned", "seen"), "outcome"),
    **dict.fromkeys(("trends", "returns", "calibrate"), "figures"),
    "learn": "learn",
    **dict.fromkeys(("import", "backup", "restore", "check", "merge", "erase"), "upkeep"),
}
"""Action -> the module that runs it, if it is not `ledger`."""


def _add_case(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="the name of a case in the ledger")


def _add_most(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--csv", action="store_true", help="print a CSV table")
    parser.add_argument("--most", type=_most, default=50, metavar="N", help="so many at most (50)")


def _most(text: str) -> int:
    if not text.isdecimal() or len(text) > 6 or not int(text):
        raise argparse.ArgumentTypeError("it is a whole number from 1 up")
    return int(text)
