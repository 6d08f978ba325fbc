"""What the planning tests share: cases of the examples, the price list, golden screens."""

from __future__ import annotations

import os
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from sessions import replay

from headwater.book.records import Book
from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.session.session import Session
from headwater.verdict.assess import Reasoner
from headwater.verdict.prices import Prices, read_prices

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples"
GOLDEN = Path(__file__).resolve().parent / "golden"

Judge = Callable[[str], Session]
Play = Callable[..., tuple[int, str, str]]
Compare = Callable[[str, str], None]


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


@pytest.fixture
def golden() -> Compare:
    """Compare a screen with its golden file; HEADWATER_REFRESH=1 writes it anew."""

    def compare(name: str, screen: str) -> None:
        path = GOLDEN / f"{name}.txt"
        if os.environ.get("HEADWATER_REFRESH"):
            path.write_text(screen, encoding="utf-8")
        assert screen == path.read_text(encoding="utf-8")
        assert max(len(line) for line in screen.splitlines()) <= 80

    return compare
