"""The book that the command line asks for."""

from __future__ import annotations

import argparse
from pathlib import Path

from headwater.session.openbook import OpenBook
from headwater.shipped import open_packs, packs_with


def packs_of(args: argparse.Namespace) -> list[Path]:
    """Return the packs to load: those of `--book`, or the shipped ones; then those of `--shop`."""
    return packs_with(args.book or (), args.shop or ())


def book_of(args: argparse.Namespace, samples: bool = False) -> OpenBook:
    """Return the book that the command line asks for, a kept one if there is one."""
    return open_packs(packs_of(args), samples)
