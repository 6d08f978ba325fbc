"""The frozen book is sound, its cases come out as written, and it holds what screens must show."""

from __future__ import annotations

from io import StringIO

import pytest
from goldens.test_goldens import FROZEN

from headwater.book.load import load_book
from headwater.book.seal import unseal
from headwater.book.tables import Drive, Nature, Seat
from headwater.cli.main import Terminal, run
from headwater.graph.causal import causal_graph, loops

WINCH = [FROZEN / "looks", FROZEN / "winch"]


@pytest.mark.parametrize("packs", [WINCH, [*WINCH, FROZEN / "yard"]], ids=["winch", "yard"])
def test_it_keeps_every_rule_and_its_cases_hold(packs: list[str]) -> None:
    out, err = StringIO(), StringIO()
    words = ["book", "check", "--cases", *map(str, packs[:2])]
    words += [text for pack in packs[2:] for text in ("--shop", str(pack))]
    assert run(words, Terminal(out, err, StringIO(), width=80)) == 0, out.getvalue()
    assert "0 errors" in out.getvalue()


def test_it_holds_every_kind_of_record_that_a_screen_shows() -> None:
    book = load_book(WINCH)
    conditions, checks = book.conditions.values(), book.checks.values()
    assert len(conditions) >= 25
    assert len(checks) >= 20
    assert max(len(chain.path()) for chain in book.chains.values()) >= 4
    assert loops(causal_graph(book))
    causes = [effect for _, effect in book.links]
    assert max(causes.count(effect) for effect in causes) >= 3
    origins = [c.origin for c in conditions if c.origin]
    assert any(o.at_fitting for o in origins)
    assert any(action.unless for o in origins for action in unseal(o.corrections))
    assert any(part.outside for part in book.parts.values())
    assert any(c.unobservable for c in conditions)
    assert {c.danger.advice for c in conditions if c.danger} == {Drive.STOP, Drive.LIMP}
    complaints = [c for c in conditions if c.kind is Nature.COMPLAINT]
    assert all(c.plain and c.said for c in complaints)
    for seat in Seat:
        assert sum(seat in check.seats for check in checks) >= 6
    readings = [check.reading for check in checks if check.reading]
    assert any(reading.gauge for reading in readings)
    assert any(reading.work for reading in readings)
    assert any(check.modes for check in checks)
    assert any(limit.families for limit in book.limits.values())
    assert any(removal.fitting for removal in book.removals.values())
    assert any(removal.cautions for removal in book.removals.values())
    assert load_book([*WINCH, FROZEN / "yard"]).overrides
