"""Runs the commands that look after the ledger itself: import, backup, restore, check and more."""

from __future__ import annotations

import argparse
import os

from headwater.cli.ledger import note, opened, usual_folder
from headwater.cli.main import DONE, HELD, Terminal
from headwater.cli.show import show
from headwater.ledger.extra import needs_extra
from headwater.ledger.place import wanted_address
from headwater.ledger.records import LedgerError, Noted

with needs_extra():
    from headwater.ledger.copies import back_up, restore
    from headwater.ledger.hand import this_hand
    from headwater.ledger.people import erase_customer, merge
    from headwater.ledger.sheet import import_rows, read_sheet
    from headwater.ledger.soundness import problems_of


def run_import(args: argparse.Namespace, terminal: Terminal) -> int:
    """Put cases of the past into the ledger."""
    columns: dict[str, str] = {}
    for told in args.column or ():
        what, mark, head = told.partition("=")
        if not (what and mark and head):
            raise LedgerError(f"--column: '{told}' must be written WHAT=HEAD")
        columns[what.strip()] = head.strip()
    with opened(args) as ledger:
        rows = read_sheet(args.file, columns, "mi" if args.miles else "km")
        number = import_rows(ledger, rows, this_hand(args.who), args.dry_run)
        what = "would be put" if args.dry_run else "were put"
        return note(terminal, args, ledger, f"{number} rows {what} into {ledger.place}")


def run_backup(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write all of the ledger into a file, and look through what was written."""
    with opened(args) as ledger:
        counts = back_up(ledger, args.file)
        lines = (f"{args.file} holds: {_counted(counts)}.", "It was opened and looked through.")
        return note(terminal, args, ledger, *lines)


def run_restore(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make a new ledger of a backup."""
    address = wanted_address(os.environ, args.ledger)
    usual_folder(address)
    counts = restore(args.file, address)
    told = Noted(str(args.file), (f"The new ledger holds: {_counted(counts)}.",))
    show(terminal, args, "ledger-noted", told)
    return DONE


def _counted(counts: dict[str, int]) -> str:
    names = {"cases": "cases", "findings": "findings", "pictures": "photographs"}
    return ", ".join(f"{name} {counts[table]}" for table, name in names.items())


def run_check(args: argparse.Namespace, terminal: Terminal) -> int:
    """Look all of the ledger through."""
    with opened(args) as ledger:
        problems = problems_of(ledger)
        note(terminal, args, ledger, *(problems or ["Nothing is wrong with it."]))
    return HELD if problems else DONE


def run_merge(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make two customers, vehicles or units one."""
    with opened(args) as ledger:
        moved = merge(ledger, args.kind, args.stays, args.goes, this_hand(args.who))
        return note(
            terminal,
            args,
            ledger,
            f"{args.goes} is {args.stays} now; cases moved: {moved}",
        )


def run_erase(args: argparse.Namespace, terminal: Terminal) -> int:
    """Take a person out of the ledger."""
    with opened(args) as ledger:
        names = erase_customer(ledger, args.customer, this_hand(args.who))
        stays = "Words that were told stay: read them, for they may name somebody"
        lines = (
            f"Name and phone are gone from {len(names)} case{'s' * (len(names) != 1)}.",
            f"{stays}: {', '.join(names)}",
        )
        return note(terminal, args, ledger, *lines)
