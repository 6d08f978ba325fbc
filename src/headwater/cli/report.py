"""The report command: one case, written as a page or as Markdown, for the shop or its customer."""

from __future__ import annotations

import argparse
from datetime import date

from headwater import outputs
from headwater.cli.chosen import book_of, case_of, form_of, pictures_of, target_of
from headwater.cli.main import Terminal
from headwater.cli.show import status_of
from headwater.render.look import MARK
from headwater.session.pricelist import read_prices
from headwater.session.session import open_session
from headwater.view.options import Pricing
from headwater.view.shop import Reporting


def run_report(args: argparse.Namespace, terminal: Terminal, on: date | None = None) -> int:
    """Write the report of a case; `on` is the day it bears."""

    form = form_of(args)
    target = target_of(args, args.out, MARK)
    book = book_of(args)
    case = case_of(args.case, terminal)
    session = open_session(book, case)
    prices = read_prices(args.prices, book.book) if args.prices else None
    pricing = Pricing(session, prices) if prices else None
    pictures = pictures_of(args.case, case) if case.pictures else {}
    reporting = Reporting(session, on or date.today(), pricing, pictures)
    target.write(outputs.paper_file(f"{args.reader}-report", reporting, form))
    terminal.screen.raw(f"Written for the {args.reader}: {args.out}")
    return status_of(session)
