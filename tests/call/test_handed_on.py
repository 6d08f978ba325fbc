"""A call handed on to the hoist and the bench, and finished there: nothing is asked twice."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import pytest

from headwater.book.records import Book
from headwater.cli.main import Terminal, run
from headwater.yamltext import Table, parse

from .conftest import PACK

TRUTH = {
    "range-hub-teeth": "ramped-outer-end",
    "range-fork-pads": "burnt",
    "input-bearing-float": "0.045 in",
}
MOST = 120
OF_THE_BUILD = "It matters to what is asked next."
"""Stands below a question of how the unit is built; this technician does not know."""


class Technician(StringIO):
    """Types what is true of the unit to the question on the screen, '?' to all others."""

    def __init__(self, book: Book, screen: StringIO) -> None:
        """Watch a screen."""
        super().__init__()
        self.asks = {" ".join(c.ask.split()): c.id for c in book.checks.values()}
        self.screen = screen
        self.asked: list[str] = []

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]
        """Answer the last question."""
        text = " ".join(self.screen.getvalue()[-3000:].split())
        found = [(text.rfind(ask), cid) for ask, cid in self.asks.items() if ask in text]
        if not found:
            return "done\n"
        at, check = max(found)
        if text.rfind(OF_THE_BUILD) > at:
            return "\n"
        self.asked.append(check)
        return "done\n" if len(self.asked) > MOST else f"{TRUTH.get(check, '?')}\n"


def answers_in(path: Path) -> list[tuple[str, str, str]]:
    """Return check, answer and seat of every finding of a case file."""
    tree = parse(path.read_text(encoding="utf-8"), str(path)).data
    assert isinstance(tree, Table)
    rows = tree.entries["findings"].data
    assert isinstance(rows, tuple)
    tables = [row.data for row in rows if isinstance(row.data, Table)]
    return [
        tuple(str(t.entries[key].data) for key in ("check", "answer", "seat"))  # type: ignore[misc]
        for t in tables
        if "check" in t.entries
    ]


@pytest.mark.trial
def test_call_goes_on_at_hoist_and_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caller_book: Book
) -> None:
    """From the caller's words to the origin that leads, in one file: what was told is told once."""
    monkeypatch.chdir(tmp_path)
    said = ["popping out of four low", "", "no", *["not sure"] * 12]
    out = StringIO()
    stdin = StringIO("".join(f"{line}\n" for line in said))
    status = run(["call", "u.yaml", "--book", str(PACK)], Terminal(out, StringIO(), stdin, 100))
    assert status == 1
    assert "STOP, do not drive." in out.getvalue()
    on_phone = [check for check, _, _ in answers_in(Path("u.yaml"))]
    assert len(on_phone) > 3

    out = StringIO()
    run(
        ["hoist", "u.yaml", "--book", str(PACK)],
        Terminal(out, StringIO(), StringIO("skip\nx\nx\ndone\n"), 100),
    )
    at_hoist = [check for check, _, seat in answers_in(Path("u.yaml")) if seat == "hoist"]
    assert len(at_hoist) == 2

    screen, result = StringIO(), StringIO()
    technician = Technician(caller_book, screen)
    run(
        ["bench", "u.yaml", "--json", "--book", str(PACK)],
        Terminal(result, screen, technician, 100),
    )
    verdict = json.loads(result.getvalue().split("\nSaved in")[0])
    first = verdict["origins"][0]
    assert first["id"] == "front-bore-worn", "it leads; one reading alone proves nothing"
    assert first["status"] == "open"
    assert all(part["action"] in (None, "inspect", "clean") for part in verdict["parts"])
    at_bench = [check for check, _, seat in answers_in(Path("u.yaml")) if seat == "bench"]
    assert set(TRUTH) <= set(at_bench)
    everything = [check for check, _, _ in answers_in(Path("u.yaml"))]
    assert all(everything.count(check) == 1 for check in TRUTH), "what was told is not asked again"
    assert max(map(everything.count, everything)) <= 2, "nobody is asked a third time"
    assert everything == [*on_phone, *at_hoist, *at_bench]
