"""Whole units: every stored case of the examples comes out as the file beside it says."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from expected import read_expected, stored_cases
from sessions import replay

from headwater.author.sample import differences
from headwater.book.records import Book
from headwater.case.read import read_case
from headwater.session.session import Session
from headwater.verdict.assess import Reasoner
from headwater.verdict.ending import Ending

ROOT = Path(__file__).resolve().parents[2]
CASES = stored_cases(ROOT / "examples" / "units")


Judge = Callable[[Path], Session]


@pytest.fixture(scope="module")
def judge(book: Book, reasoner: Reasoner) -> Judge:
    """Judge a stored unit, each once."""
    return cache(lambda path: replay(book, read_case(path), reasoner))


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_unit_comes_out_as_expected(path: Path, book: Book, judge: Judge) -> None:
    found = judge(path)
    assert book.assumed | found.case.unit.family == book.family
    assert list(differences(found.verdict, read_expected(path).expect)) == []


def test_the_collection_is_as_broad_as_it_says(book: Book, judge: Judge) -> None:
    found = {path.stem: judge(path) for path in CASES}
    origins = {name: len(r.verdict.origins) for name, r in found.items()}
    outcome = {name: r.verdict.ending for name, r in found.items()}
    assert sum(count in (2, 3) for count in origins.values()) >= 18
    assert sum(o is Ending.UNDETERMINED for o in outcome.values()) >= 5
    assert sum(o is Ending.SOUND for o in outcome.values()) >= 5
    assert sum(bool(read_case(path).earlier) for path in CASES) >= 5
    outside = [
        name
        for name, r in found.items()
        if r.verdict.origins
        and all(
            (part := book.conditions[o].part) is not None and book.parts[part].outside
            for o in r.verdict.origins
        )
    ]
    assert len(outside) >= 5
    assert len(CASES) >= 40
