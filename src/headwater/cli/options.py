"""Options that several commands share."""

from __future__ import annotations

import argparse
from typing import Any


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
