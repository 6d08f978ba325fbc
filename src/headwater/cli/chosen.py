"""What the command line names: the book, the case that is read, the file that is written."""

from __future__ import annotations

import argparse
from pathlib import Path

from headwater.case.model import Case
from headwater.caseplace import case_place
from headwater.cli.main import Terminal
from headwater.errors import Place
from headwater.files import Destination, WriteError
from headwater.session.openbook import OpenBook
from headwater.shipped import open_packs, packs_with

FORMS = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown", ".pdf": "pdf"}


def packs_of(args: argparse.Namespace) -> list[Path]:
    """Return the packs to load: those of `--book`, or the shipped ones; then those of `--shop`."""
    return packs_with(args.book or (), args.shop or ())


def book_of(args: argparse.Namespace, samples: bool = False) -> OpenBook:
    """Return the book that the command line asks for, a kept one if there is one."""
    return open_packs(packs_of(args), samples)


def case_of(path: Path, terminal: Terminal) -> Case:
    """Return the case in a file or in the ledger; a torn last line is said beside the result."""
    place = case_place(path)
    try:
        return place.read(terminal.complain)
    finally:
        place.close()


def pictures_of(path: Path, case: Case) -> dict[str, bytes]:
    """Return the photographs of a case that are kept with it, by name."""
    place = case_place(path)
    try:
        found = {name: place.picture(name) for name in case.pictures}
    finally:
        place.close()
    return {name: data for name, data in found.items() if data is not None}


def target_of(args: argparse.Namespace, path: Path, mark: str) -> Destination:
    """Return a file that a command may write, which is none that it reads. Raises WriteError."""
    named = [one for given in vars(args).values() for one in _several(given)]
    inputs = [one for one in named if isinstance(one, Path) and one is not path]
    return Destination(path, mark, args.force, (*inputs, *packs_of(args))).check()


def form_of(args: argparse.Namespace) -> str:
    """Return the form of a paper: as told, or by the ending of its file. Raises WriteError."""
    form: str | None = args.form or FORMS.get(args.out.suffix.lower())
    if form is None:
        message = "its ending does not say the form; end it in .html, .pdf or .md, or say --form"
        raise WriteError(message, Place(str(args.out)))
    return form


def _several(given: object) -> list[object]:
    return given if isinstance(given, list) else [given]
