"""Finds the shipped book and examples, and loads the book that the user asks for."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from headwater.book.cache import cache_folder, kept_book
from headwater.session.openbook import OpenBook


def data_folder() -> Path:
    """Return the folder of `knowledge` and `examples`: in the wheel, or in the source tree."""
    packaged = Path(__file__).resolve().parent.parent / "_data"
    return packaged if packaged.is_dir() else Path(__file__).resolve().parents[3]


def shipped_packs() -> list[Path]:
    """Return the folders of the shipped packs."""
    return sorted(head.parent for head in (data_folder() / "knowledge").glob("*/pack.yaml"))


def packs_of(args: argparse.Namespace) -> list[Path]:
    """Return the packs to load: those of `--book`, or the shipped ones; then those of `--shop`."""
    chosen = [Path(p) for p in args.book or ()]
    return (chosen or shipped_packs()) + [Path(p) for p in args.shop or ()]


def book_of(args: argparse.Namespace, samples: bool = False) -> OpenBook:
    """Return the book that the command line asks for, a kept one if there is one."""
    return OpenBook(kept_book(packs_of(args), samples, cache_folder(os.environ)))
