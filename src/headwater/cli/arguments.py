"""Options that several commands share."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

Commands = Any
"""What `add_subparsers` returns; the library does not name it in public."""


def add_book_options(parser: argparse.ArgumentParser) -> None:
    """Let the user choose the packs."""
    parser.add_argument(
        "--book", action="append", metavar="FOLDER", help="pack to use instead of the shipped ones"
    )
    parser.add_argument(
        "--shop",
        action="append",
        metavar="FOLDER",
        help="the shop's own pack, laid over the others",
    )


def add_json(parser: Any) -> None:
    """Let the user ask for JSON; `parser` may be a group of forms that exclude one another."""
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def add_paper_file(parser: argparse.ArgumentParser, *, required: bool = False) -> None:
    """Let the user have a page or Markdown written."""
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        required=required,
        metavar="FILE",
        help="the file to write: FILE.html, FILE.pdf or FILE.md",
    )
    forms = ("html", "pdf", "markdown")
    parser.add_argument("--form", choices=forms, help="by the ending of FILE, if not said")
    more = "write over FILE even if Headwater did not write it"
    parser.add_argument("--force", action="store_true", help=more)


def add_letterhead_file(parser: Any) -> None:
    """Add the option that names what the shop has on its papers."""
    parser.add_argument(
        "--letterhead", type=Path, metavar="FILE", help="the shop's name, address, tax and warranty"
    )
