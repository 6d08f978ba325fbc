"""Whole units: every stored case of the examples comes out as the file beside it says."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from headwater.book.load import Book
from headwater.case.expected import read_expected, stored_cases
from headwater.case.load import Replay, read_case, replay
from headwater.case.sample import differences
from headwater.verdict.assess import Outcome, Reasoner

ROOT = Path(__file__).resolve().parents[2]
CASES = stored_cases(ROOT / "examples" / "units")


Judge = Callable[[Path], Replay]


@pytest.fixture(scope="module")
def judge(book: Book, reasoner: Reasoner) -> Judge:
    """Judge a stored unit, each once."""
    return cache(lambda path: replay(book, read_case(path), reasoner))


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_unit_comes_out_as_expected(path: Path, book: Book, judge: Judge) -> None:
    found = judge(path)
    assert found.case.unit.family == book.family
    assert list(differences(found.assessment, read_expected(path).expect)) == []


def test_the_collection_is_as_broad_as_it_says(book: Book, judge: Judge) -> None:
    found = {path.stem: judge(path) for path in CASES}
    origins = {name: len(r.assessment.origins) for name, r in found.items()}
    outcome = {name: r.assessment.outcome for name, r in found.items()}
    assert sum(count in (2, 3) for count in origins.values()) >= 20
    assert sum(o is Outcome.UNDETERMINED for o in outcome.values()) >= 5
    assert sum(o is Outcome.HEALTHY for o in outcome.values()) >= 5
    assert sum(bool(read_case(path).earlier) for path in CASES) >= 5
    outside = [
        name
        for name, r in found.items()
        if r.assessment.origins
        and all(
            (part := book.conditions[o].part) is not None and book.parts[part].outside
            for o in r.assessment.origins
        )
    ]
    assert len(outside) >= 5
    assert len(CASES) >= 40
