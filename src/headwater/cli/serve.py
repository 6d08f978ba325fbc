"""The command `serve`: the pages, for this machine alone."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable
from pathlib import Path

from headwater.caseshelf import open_shelf
from headwater.cli.chosen import book_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.ownfault import own_fault
from headwater.cli.seat import now
from headwater.ledger.place import ledger_here
from headwater.session.pricelist import read_prices
from headwater.web.extra import needs_web

with needs_web():
    from headwater.web.house import House
    from headwater.web.server import Address, bind, serve
    from headwater.web.visits import Visits


def run_serve(args: argparse.Namespace, terminal: Terminal) -> int:
    """Serve the pages until Ctrl-C; every answer is on disk before the page that follows it."""
    folder: Path | None = args.folder
    shelf = open_shelf(folder, ledger_here(os.environ))
    address = Address(port=args.port)
    listener = bind(address)
    say: Callable[[str], None] = terminal.screen.raw
    visits = Visits(time.monotonic)

    def link() -> str:
        port = listener.getsockname()[1]
        return f"http://{address.interface}:{port}/enter/{visits.new_link()}"

    book = book_of(args)
    if args.prices:
        read_prices(args.prices, book.book)  # what is wrong with it is said now
    house = House(
        book,
        shelf,
        visits,
        now,
        prices=args.prices,
        fault=lambda error: terminal.complain(str(own_fault(error))),
        entered=lambda: say(f"It was used. For another browser here: {link()}"),
    )
    serve(house, address, listener, lambda: _greet(say, shelf.where, link()))
    say("Stopped. Every answer is saved.")
    return DONE


def _greet(say: Callable[[str], None], where: str, link: str) -> None:
    say(f"Headwater serves the cases of {where}, to this machine alone.")
    say(f"Open this link in a browser; it works once: {link}")
    say("Ctrl-C stops it.")
