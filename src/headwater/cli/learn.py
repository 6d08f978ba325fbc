"""Runs `ledger learn`."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from headwater.cli.chosen import book_of
from headwater.cli.ledger import opened
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.errors import Place
from headwater.files import fault_of_folder, write_new
from headwater.ledger.extra import needs_extra
from headwater.ledger.records import LedgerError
from headwater.shipped import data_folder

with needs_extra():
    from headwater.ledger.learn import learning
    from headwater.ledger.proposal import pack_files


def run_learn(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show what the cases make of the book's figures; write the pack that is asked for."""
    if args.out:
        _check(args.out)
    book = book_of(args)
    with opened(args) as ledger:
        found = learning(ledger, book, terminal.complain)
    if args.out and found.moved:
        args.out.mkdir(exist_ok=True)
        schemas = (data_folder() / "knowledge" / "schema").resolve().as_uri()
        written = write_new(pack_files(found, args.out, schemas))
        found = replace(found, written=tuple(map(str, written)))
    show(terminal, args, "ledger-learn", found)
    if args.out and not found.moved:
        terminal.complain("no figure is proposed anew, so no pack was written")
    return DONE


def _check(folder: Path) -> None:
    """Raise LedgerError where no new folder can be made, before cases are read for minutes."""
    if folder.is_dir() and any(folder.iterdir()):
        raise LedgerError("is a folder with something in it; name a new one", Place(str(folder)))
    if folder.exists() and not folder.is_dir():
        raise LedgerError("is a file; name a new folder", Place(str(folder)))
    if fault := fault_of_folder(folder.parent):
        raise LedgerError(fault, Place(str(folder)))
