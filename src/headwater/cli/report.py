"""The report command: one case, written as a page or as Markdown, for the shop or its customer."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from headwater.case.read import read_case
from headwater.cli.books import book_of
from headwater.cli.case import status_of_case
from headwater.cli.main import Terminal
from headwater.errors import Place
from headwater.files import WriteError, check_target, write_whole
from headwater.report.look import MARK
from headwater.session.session import open_session

FORMS = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}


def run_report(args: argparse.Namespace, terminal: Terminal, on: date | None = None) -> int:
    """Write the report of a case; `on` is the day it bears."""
    from headwater.report.markdown import markdown_report
    from headwater.report.options_section import options_section
    from headwater.report.owner import owner_paper
    from headwater.report.page import page
    from headwater.report.shop import shop_paper
    from headwater.verdict.options import make_options
    from headwater.verdict.prices import read_prices

    form = args.form or _form_of(args.out)
    check_target(args.out, MARK, args.force)
    book = book_of(args)
    found = open_session(book, read_case(args.case))
    for_shop = args.reader == "shop"
    priced = []
    if args.prices:
        prices = read_prices(args.prices, book.book)
        options = make_options(found.verdict, prices, [])
        priced.append(options_section(found.verdict, options, prices, in_full=for_shop))
    make = shop_paper if for_shop else owner_paper
    paper = make(found, on or date.today(), priced)
    write_whole(args.out, page(paper) if form == "html" else markdown_report(paper))
    terminal.screen.raw(f"Written for the {args.reader}: {args.out}")
    return status_of_case(found)


def _form_of(path: Path) -> str:
    form = FORMS.get(path.suffix.lower())
    if form is None:
        message = "its ending does not say the form; end it in .html or .md, or say --form"
        raise WriteError(message, Place(str(path)))
    return form
