"""The report command: one case, written as a page or as Markdown, for the shop or its customer."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from headwater.cli.books import book_of
from headwater.cli.options import add_book_options
from headwater.cli.show import status_of
from headwater.errors import Place

if TYPE_CHECKING:
    from headwater.cli.main import Terminal

FORMS = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}


def add_commands(commands: Any) -> None:
    """Add the command of this module."""
    report = commands.add_parser("report", help="write a case as a page or as Markdown")
    report.add_argument("case", type=Path, metavar="CASE", help="the case file")
    report.add_argument(
        "-o", "--out", type=Path, required=True, metavar="FILE", help="the file to write"
    )
    report.add_argument(
        "--for",
        dest="reader",
        choices=("shop", "customer"),
        default="shop",
        help="in full for the shop (default), or in plain words for the customer",
    )
    report.add_argument(
        "--form", choices=("html", "markdown"), help="by the ending of FILE, if not said"
    )
    report.add_argument(
        "--force", action="store_true", help="write over FILE even if it is no report"
    )
    report.add_argument(
        "--prices", type=Path, metavar="FILE", help="add the ways to put it right, priced"
    )
    add_book_options(report)
    report.set_defaults(run=run_report)


def run_report(args: argparse.Namespace, terminal: Terminal, on: date | None = None) -> int:
    """Write the report of a case; `on` is the day it bears."""
    from headwater import outputs
    from headwater.case.read import read_case
    from headwater.files import check_target, write_whole
    from headwater.render.look import MARK
    from headwater.session.session import open_session
    from headwater.verdict.prices import read_prices
    from headwater.view.options import Pricing
    from headwater.view.shop import Reporting

    form = args.form or _form_of(args.out)
    check_target(args.out, MARK, args.force)
    book = book_of(args)
    session = open_session(book, read_case(args.case))
    prices = read_prices(args.prices, book.book) if args.prices else None
    pricing = Pricing(session, prices) if prices else None
    reporting = Reporting(session, on or date.today(), pricing)
    write = outputs.html_text if form == "html" else outputs.markdown_text
    write_whole(args.out, write(f"{args.reader}-report", reporting))
    terminal.screen.raw(f"Written for the {args.reader}: {args.out}")
    return status_of(session)


def _form_of(path: Path) -> str:
    from headwater.files import WriteError

    form = FORMS.get(path.suffix.lower())
    if form is None:
        message = "its ending does not say the form; end it in .html or .md, or say --form"
        raise WriteError(message, Place(str(path)))
    return form
