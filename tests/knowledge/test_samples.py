"""Every case beside a chain of the shipped packs comes out as its author says it must.

The authors of the chains wrote the cases: they guard against change and prove nothing. The plain
run plays those of one chain in eight; `pytest -m trial` and `headwater book check --cases` all.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from headwater.author.sample import SampleRunner
from headwater.book.records import Book
from headwater.session.openbook import OpenBook

ROOT = Path(__file__).resolve().parents[2]
CHAINS = sorted(
    path.name.removesuffix(".cases.yaml")
    for path in (ROOT / "knowledge" / "transfer-case").rglob("*.cases.yaml")
)


@pytest.fixture(scope="module")
def runner(book: Book) -> SampleRunner:
    return SampleRunner(OpenBook(book))


EVERY = 8


@pytest.mark.parametrize(
    "chain",
    [pytest.param(c, marks=pytest.mark.trial if n % EVERY else ()) for n, c in enumerate(CHAINS)],
)
def test_cases_beside_the_chain(chain: str, runner: SampleRunner) -> None:
    samples = runner.book.samples[chain]
    assert len(samples) >= 2
    told = [str(p) for sample in samples for p in runner.problems_of(chain, sample)]
    assert told == []


def test_every_check_is_answered_in_some_case(book: Book) -> None:
    """`book cover` tells it too, but takes minutes."""
    answered = {
        str(ref) for samples in book.samples.values() for sample in samples for ref in sample.given
    }
    assert sorted(set(book.checks) - answered) == []
