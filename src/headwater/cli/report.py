"""The report command: one case, written as a page or as Markdown, for the shop or its customer."""

from __future__ import annotations

import argparse
from datetime import date

from headwater import outputs
from headwater.cli.chosen import book_of, case_of, form_of, pictures_of, target_of
from headwater.cli.main import Terminal
from headwater.cli.show import status_of
from headwater.render.look import MARK
from headwater.session.letterhead import read_letterhead
from headwater.session.pricelist import prices_on
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
    day = on or date.today()
    prices = prices_on(args.prices, book.book, day) if args.prices else None
    pricing = Pricing(session, prices) if prices else None
    head = read_letterhead(args.letterhead) if args.letterhead else None
    pictures = pictures_of(args.case, case) if case.pictures else {}
    reporting = Reporting(session, day, pricing, pictures, head)
    target.write(outputs.paper_file(f"{args.reader}-report", reporting, form))
    terminal.screen.raw(f"Written for the {args.reader}: {args.out}")
    return status_of(session)
