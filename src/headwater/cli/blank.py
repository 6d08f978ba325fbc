"""The commands `case new`, `prices new` and their like: files for a person to fill in."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from headwater.book.records import Book
from headwater.case.read import JSON
from headwater.cli.chosen import book_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.seat import parse_family
from headwater.errors import HeadwaterError, Place
from headwater.files import write_new
from headwater.session.blanks import blank_case, blank_letterhead, blank_plan, blank_prices
from headwater.shipped import schema_head


def run_case(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write a case to be filled in."""

    def text(name: str, book: Book) -> str:
        return blank_case(name, book, parse_family(book, args.family), args.complaint)

    path = _write(args, "case", text, terminal)
    terminal.screen.say(f"Fill it in, or go on with it: headwater bench {path}")
    return DONE


def run_prices(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write a price list to be filled in."""
    path = _write(args, "prices", blank_prices, terminal)
    terminal.screen.say(f"Fill it in, then: headwater options CASE --prices {path}")
    return DONE


def run_letterhead(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write a letterhead to be filled in."""
    path = _write(args, "letterhead", blank_letterhead, terminal)
    terminal.screen.say(f"Fill it in, then: headwater report CASE -o FILE --letterhead {path}")
    return DONE


def run_proposal(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write a proposed repair to be filled in."""
    path = _write(args, "plan-file", blank_plan, terminal)
    terminal.screen.say(f"Fill it in, then: headwater audit CASE --plan {path}")
    return DONE


def _write(
    args: argparse.Namespace, schema: str, text: Callable[[str, Book], str], terminal: Terminal
) -> Path:
    path: Path = args.file
    if path.suffix == JSON:
        raise HeadwaterError("takes no remarks, being JSON; use a name in .yaml", Place(str(path)))
    if not path.name:
        raise HeadwaterError("is a folder; name a file in it", Place(str(path)))
    path = path if path.suffix else path.with_name(f"{path.name}.yaml")
    write_new({path: schema_head(schema) + text(path.stem, book_of(args).book)})
    terminal.write(f"wrote {path}\n")
    return path
