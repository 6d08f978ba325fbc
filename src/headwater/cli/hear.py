"""The command `hear`: what is understood of a sentence, for authors and tests."""

from __future__ import annotations

import argparse

from headwater.cli.chosen import book_of
from headwater.cli.main import DONE, Terminal
from headwater.cli.show import show
from headwater.hearing.understand import understand
from headwater.view.heard import Overheard


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Say what is understood of a text."""
    book = book_of(args)
    text = " ".join(args.text)
    show(terminal, args, "heard", Overheard(book.book, text, understand(book.index, text)))
    return DONE
