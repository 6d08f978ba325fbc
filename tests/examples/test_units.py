"""Whole units: every stored case of the examples comes out as the file beside it says."""

from __future__ import annotations

from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.case.expected import read_expected, stored_cases
from headwater.case.load import read_case, replay
from headwater.case.sample import differences
from headwater.verdict.assess import Ending, Reasoner

ROOT = Path(__file__).resolve().parents[2]
CASES = stored_cases(ROOT / "examples" / "units")


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_unit_comes_out_as_expected(path: Path, book: Book, reasoner: Reasoner) -> None:
    case = read_case(path)
    assert case.unit.family == book.family
    found = replay(book, case, reasoner)
    assert list(differences(found.assessment, read_expected(path).expect)) == []


def test_the_collection_is_as_broad_as_it_says(book: Book, reasoner: Reasoner) -> None:
    found = {path.stem: replay(book, read_case(path), reasoner) for path in CASES}
    origins = {name: len(r.assessment.origins) for name, r in found.items()}
    outcome = {name: r.assessment.ending for name, r in found.items()}
    assert sum(count in (2, 3) for count in origins.values()) >= 20
    assert sum(o is Ending.UNDETERMINED for o in outcome.values()) >= 5
    assert sum(o is Ending.HEALTHY for o in outcome.values()) >= 5
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
