"""What the planning tests share: cases of the examples, the price list, commands in process."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from sessions import replay

from headwater.book.records import Book
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.session.pricelist import read_prices
from headwater.session.session import Session
from headwater.verdict.assess import Reasoner
from headwater.verdict.prices import Prices

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples"

Judge = Callable[[str], Session]
Play = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session")
def prices(book: Book) -> Prices:
    return read_prices(EXAMPLES / "prices" / "winter-list.yaml", book)


@pytest.fixture(scope="session")
def judge(book: Book, reasoner: Reasoner) -> Judge:
    """Judge an example by name, each once."""
    known: dict[str, Session] = {}

    def judged(name: str) -> Session:
        if name not in known:
            known[name] = replay(book, read_case(EXAMPLES / f"{name}.yaml"), reasoner)
        return known[name]

    return judged


@pytest.fixture
def play(monkeypatch: pytest.MonkeyPatch) -> Play:
    """Run a command in process, in the root of the project, at width 80."""

    def played(*argv: str) -> tuple[int, str, str]:
        monkeypatch.chdir(ROOT)
        out, err = StringIO(), StringIO()
        status = run(list(argv), Terminal(out, err, StringIO(), width=80))
        return status, out.getvalue(), err.getvalue()

    return played
