"""Runs the commands of the ledger."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.errors import HeadwaterError
from headwater.ledger.extra import needs_extra
from headwater.ledger.place import data_home, is_address, wanted_address
from headwater.ledger.records import CaseState, LedgerError, Noted

with needs_extra():
    from headwater.ledger.door import Ledger, make_ledger, open_ledger
    from headwater.ledger.hand import this_hand
    from headwater.ledger.look import find_cases, list_cases, show_case
    from headwater.ledger.taken import (
        add_case,
        add_pictures,
        earlier_files,
        export_cases,
        read_case_file,
    )
    from headwater.ledger.times import zone_named
    from headwater.ledger.warranty import read_term


@contextmanager
def opened(args: argparse.Namespace) -> Iterator[Ledger]:
    """Open the ledger that the command line names, or the usual one."""
    ledger = open_ledger(wanted_address(os.environ, args.ledger))
    try:
        yield ledger
    finally:
        ledger.close()


def note(terminal: Terminal, args: argparse.Namespace, ledger: Ledger, *lines: str) -> int:
    """Show what was done to the ledger."""
    show(terminal, args, "ledger-noted", Noted(str(ledger.place), lines))
    return DONE


def run_init(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make a new ledger."""
    zone_named(args.zone)
    read_term(args.warranty)
    address = wanted_address(os.environ, args.ledger)
    usual_folder(address)
    ledger = make_ledger(address, _settings(args))
    try:
        made = f"The ledger is {ledger.place}."
        more = "A case that is named without an ending goes there: headwater bench NAME"
        return note(terminal, args, ledger, made, more)
    finally:
        ledger.close()


def usual_folder(address: str) -> None:
    """Make the folder of the usual ledger, if that is the one; no other folder is made."""
    home = data_home(os.environ)
    if home and not is_address(address) and Path(address).parent == home / "headwater":
        Path(address).parent.mkdir(parents=True, exist_ok=True)


def _settings(args: argparse.Namespace) -> dict[str, str]:
    term = {"warranty": args.warranty, "warranty-from": args.warranty_from}
    return {"zone": args.zone, **term}


def run_add(args: argparse.Namespace, terminal: Terminal) -> int:
    """Put case files into the ledger, each with the earlier ones that it names."""
    if args.name and len(args.files) > 1:
        raise LedgerError("--as names one case; add the files one by one")
    said: list[str] = []
    with opened(args) as ledger:
        faults: list[HeadwaterError] = []
        for path in args.files:
            try:
                said += _added(ledger, path, args, terminal)
            except HeadwaterError as fault:
                faults += fault.every
        if said or not faults:
            note(terminal, args, ledger, *said)
        if faults:
            faults[0].others = tuple(faults[1:])
            raise faults[0]
    return DONE


def _added(
    ledger: Ledger, path: Path, args: argparse.Namespace, terminal: Terminal
) -> Iterator[str]:
    hand = this_hand(args.who)
    given = read_case_file(path, terminal.complain)
    for one in (*earlier_files(given, terminal.complain), given):
        name = add_case(ledger, one, hand, args.name if one is given else "")
        for picture in add_pictures(ledger, name, one):
            terminal.complain(f"{one.path}: '{picture}' is not beside it; its name alone is kept")
        yield f"{one.path} is in the ledger as '{name}'."


def run_list(args: argparse.Namespace, terminal: Terminal) -> int:
    """List cases."""
    with opened(args) as ledger:
        states = [CaseState(state) for state in args.state or ()]
        show(terminal, args, "ledger-cases", list_cases(ledger, states, args.most))
    return DONE


def run_find(args: argparse.Namespace, terminal: Terminal) -> int:
    """Look for cases."""
    with opened(args) as ledger:
        show(terminal, args, "ledger-cases", find_cases(ledger, " ".join(args.words), args.most))
    return DONE


def run_show(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show one case in full."""
    with opened(args) as ledger:
        show(terminal, args, "ledger-card", show_case(ledger, args.case))
    return DONE


def run_export(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write cases as case files."""
    with opened(args) as ledger:
        written = export_cases(ledger, args.cases, args.to)
        return note(terminal, args, ledger, *(f"written: {path}" for path in written))
