"""A small book for reports, with a case for each verdict."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from sessions import replay

from headwater.book.load import load_book
from headwater.case.read import parse_case
from headwater.session.session import Session

HERE = Path(__file__).resolve().parent
PUMP = HERE / "pump"
ON = date(2031, 4, 9)

HEAD = """\
case: mill-3
complaint: oil on the ground under the front
unit: {family: {body: alloy}, history: forestry winch truck of an invented fleet}
findings:
"""
BORE = "  - {check: bore-size, answer: 20.2 mm, seat: bench, at: 2031-04-08, note: measured cold}\n"
ROTOR = "  - {check: rotor-look, answer: scored, seat: bench}\n"
SEAL = "  - {check: seal-look, answer: wet, seat: hoist}\n"
STONE = "  - {check: body-look, answer: cracked, seat: bench}\n"
SOUND = "  - {check: body-look, answer: whole, seat: bench}\n"
UNKNOWN = "  - {check: body-look, answer: cannot-check, seat: bench}\n"
NO_BORE = "  - {check: bore-size, answer: cannot-check, seat: bench}\n"
DRY = "  - {check: seal-look, answer: dry, seat: bench}\n"

CASES = {
    "settled": ROTOR + SEAL + BORE,
    "open": ROTOR + SEAL,
    "probable": SEAL + ROTOR + NO_BORE + UNKNOWN,
    "undetermined": SEAL + NO_BORE + UNKNOWN,
    "healthy": DRY + SOUND,
    "two-origins": SEAL + BORE + STONE + ROTOR,
    "nothing": "",
}

Judge = Callable[[str], Session]


def judged(findings: str, *packs: Path) -> Session:
    """Return the verdict of a case with these lines of findings."""
    text = HEAD + (findings or "  []\n")
    return replay(load_book(packs or [PUMP]), parse_case(text, "case.yaml"))


@pytest.fixture(scope="session")
def judge() -> Judge:
    """Return the verdict of a case of CASES by name, judged once."""
    known: dict[str, Session] = {}

    def of(name: str) -> Session:
        if name not in known:
            known[name] = judged(CASES[name])
        return known[name]

    return of
