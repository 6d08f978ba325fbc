"""Temporary front door: `book check` and `book cases` only."""

from __future__ import annotations

import sys
from pathlib import Path

from headwater.book.check import check_book
from headwater.book.load import read_packs
from headwater.case.sample import SampleRunner
from headwater.measure.registry import WORKS


def entry() -> None:
    """Run the checker over the given pack folders."""
    folders = [Path(p) for p in sys.argv[3:]] or [Path("knowledge/transfer-case")]
    book, problems = read_packs(folders)
    if sys.argv[2] == "cases":
        problems = list(SampleRunner(book).problems())
    else:
        works = {name: [i.name for i in w.inputs] for name, w in WORKS.items()}
        problems = sorted([*problems, *check_book(book, works)])
    for problem in problems:
        print(problem)
    counts = {kind: len(book.table(kind)) for kind in ("conditions", "checks", "chains", "links")}
    print(len(problems), "problems;", counts, "origins", len(book.origins))
    sys.exit(1 if problems else 0)
