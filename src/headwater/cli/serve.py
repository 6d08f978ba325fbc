"""The command `serve`: the pages, for this machine alone or for the people of a house."""

from __future__ import annotations

import argparse
import ctypes
import os
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import date

from headwater.book.cache import cache_folder
from headwater.caseshelf import open_shelf
from headwater.cli.ahead import draw_ahead
from headwater.cli.chosen import book_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.ownfault import own_fault
from headwater.cli.seat import now
from headwater.drill.classhour import ClassRoom
from headwater.drill.progress import open_progress
from headwater.drill.shelf import shelf_for
from headwater.errors import HeadwaterError, Place
from headwater.ledger.place import ledger_here
from headwater.session.letterhead import read_letterhead
from headwater.session.pricelist import prices_on
from headwater.web.extra import needs_web

with needs_web():
    from headwater.web.house import House
    from headwater.web.people import People, Tries, people_file
    from headwater.web.server import Address, bind, check_keys, own_names, serve
    from headwater.web.visits import Visits

M_MMAP_THRESHOLD = -3
"""Of malloc.h: from which size on a piece of memory stands by itself, and is given back."""
LARGE_BYTES = 256 * 1024
INSECURE = (
    "Without TLS everybody on this network can read every page, every password and every cookie, "
    "and change what is sent. Use --cert and --key where you can."
)


def run_serve(args: argparse.Namespace, terminal: Terminal) -> int:
    """Serve the pages until Ctrl-C; every answer is on disk before the page that follows it."""
    _check(args)
    _give_memory_back()
    keys = check_keys(args.cert, args.key) if args.cert else None
    people = _people(args) if args.network else None
    shelf = open_shelf(args.folder, ledger_here(os.environ))
    book = book_of(args)
    if args.prices:
        prices_on(args.prices, book.book, date.today())  # what is wrong with it is said now
    head = read_letterhead(args.letterhead) if args.letterhead else None
    if args.progress:
        open_progress(args.progress, "")
    address = _address(args)
    listener = bind(address)
    port = listener.getsockname()[1]
    say: Callable[[str], None] = terminal.screen.raw
    visits = Visits(time.monotonic)
    base = f"{'https' if keys else 'http'}://{(address.names or ('127.0.0.1',))[0]}:{port}"

    def link() -> str:
        return f"{base}/enter/{visits.new_link()}"

    def fault(error: Exception) -> None:
        terminal.complain(str(own_fault(error)))

    units = shelf_for(cache_folder(os.environ), book.book)
    house = House(
        book,
        shelf,
        visits,
        now,
        fault=fault,
        entered=lambda: say(f"It was used. For another browser here: {link()}"),
        secure=keys is not None,
        prices=args.prices,
        letterhead=head,
        address=base if args.network else "",
        people=people,
        tries=Tries(time.monotonic),
        room=ClassRoom(
            args.progress, units, fault=fault, ahead=lambda level: draw_ahead(args, units, level)
        ),
    )

    def greet() -> None:
        if args.network:
            say(f"Headwater serves the cases of {shelf.where}, to this network: {base}/")
            say(f"It also goes by: {', '.join(address.names)}. Who may come in: 'people list'.")
        else:
            say(f"Headwater serves the cases of {shelf.where}, to this machine alone.")
            say(f"Open this link in a browser; it works once: {link()}")
        if args.network and not keys:
            terminal.complain(INSECURE)
        say("Ctrl-C stops it.")
        threading.Thread(target=lambda: book.index, daemon=True).start()  # for the first words

    serve(house, address, listener, greet, keys)
    say("Stopped. Every answer is saved.")
    return DONE


def _give_memory_back() -> None:
    """Have large arrays given back to the system as they are freed, where its C library can do it.

    Left to itself glibc keeps ever larger pieces, small ones in between (mallopt(3), on
    M_MMAP_THRESHOLD): after 240 answers the pages had 650 MB of memory, and 290 MB of it in use.
    """
    with suppress(OSError, AttributeError, TypeError):  # another library, or none that can be named
        ctypes.CDLL(None).mallopt(M_MMAP_THRESHOLD, LARGE_BYTES)


def _check(args: argparse.Namespace) -> None:
    """Raise HeadwaterError where the options do not go together."""
    if bool(args.cert) != bool(args.key):
        raise HeadwaterError("a certificate needs its key: --cert FILE --key FILE")
    if args.network and not args.cert and not args.insecure_lan:
        text = "others can listen without TLS: give --cert and --key, or say --insecure-lan"
        raise HeadwaterError(text)
    if not args.network and (args.insecure_lan or args.cert or args.host or args.people):
        text = "--cert, --key, --host, --people and --insecure-lan are for --network; say it too"
        raise HeadwaterError(text)


def _people(args: argparse.Namespace) -> People:
    people = People(people_file(os.environ, args.people))
    if not people.every():
        mend = "headwater people add NAME --role foreman"
        raise HeadwaterError(f"nobody may come in yet; '{mend}'", Place(str(people.path)))
    return people


def _address(args: argparse.Namespace) -> Address:
    if not args.network:
        return Address(port=args.port)
    return Address("0.0.0.0", args.port, tuple(args.host or own_names()))
