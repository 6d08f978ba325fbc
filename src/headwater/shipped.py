"""Where the shipped book and examples are, in a wheel or in the source tree, and how to open it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from headwater.book.cache import cache_folder, kept_book
from headwater.session.openbook import OpenBook


def data_folder() -> Path:
    """Return the folder of `knowledge` and `examples`: in the wheel, or in the source tree."""
    packaged = Path(__file__).resolve().parent / "_data"
    return packaged if packaged.is_dir() else Path(__file__).resolve().parents[2]


def shipped_packs() -> list[Path]:
    """Return the folders of the shipped packs."""
    return sorted(head.parent for head in (data_folder() / "knowledge").glob("*/pack.yaml"))


def schema_head(name: str) -> str:
    """Return the line that tells an editor by which schema of the package a file is written."""
    schema = Path(__file__).resolve().parent / "schema" / f"{name}.schema.json"
    return f"# yaml-language-server: $schema={schema.as_uri()}\n"


def packs_with(packs: Iterable[Path | str] = (), shop: Iterable[Path | str] = ()) -> list[Path]:
    """Return the folders of the packs named, or the shipped ones; then those of a shop's own."""
    chosen = [Path(folder) for folder in packs]
    return (chosen or shipped_packs()) + [Path(folder) for folder in shop]


def open_packs(folders: list[Path], samples: bool = False) -> OpenBook:
    """Return the book of some packs, a kept one if there is one. Raises BookError on a fault."""
    return OpenBook(kept_book(folders, samples, cache_folder(os.environ)))
