"""The shipped book keeps every rule of the book and is as large as it says."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

from headwater.book.check import check_book
from headwater.book.load import read_packs
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.cli.main import Terminal, run
from headwater.measure.registry import input_names

ROOT = Path(__file__).resolve().parents[2]
PACKS = sorted(head.parent for head in (ROOT / "knowledge").glob("*/pack.yaml"))


def test_every_rule_is_kept() -> None:
    book, faults = read_packs(PACKS)
    problems = [*faults, *check_book(book, input_names())]
    assert [str(p) for p in problems if p.severity == "error"] == []


def test_size_of_the_transfer_case_pack(book: Book) -> None:
    assert len(book.origins) >= 60
    assert len(book.conditions) >= 150
    assert len(book.checks) >= 200
    assert len(book.links) >= 250
    assert sum(len(samples) for samples in book.samples.values()) >= 120
    for seat in Seat:
        assert sum(seat in check.seats for check in book.checks.values()) >= 30


def test_every_measured_arithmetic_runs_in_a_real_check(book: Book) -> None:
    works = {c.reading.work for c in book.checks.values() if c.reading and c.reading.work}
    assert len(works) >= 7


def test_check_command_is_clean() -> None:
    out, err = StringIO(), StringIO()
    assert run(["book", "check"], Terminal(out, err, StringIO(), width=80)) == 0
    assert "0 errors" in out.getvalue()
