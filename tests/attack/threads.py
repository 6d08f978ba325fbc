"""One compiled book, many threads: each verdict must be what one thread alone comes to."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

from attack.registry import Attack, Outcome
from sessions import contract, screen

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.case.model import Case
from headwater.case.read import read_case
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session

ROOT = Path(__file__).resolve().parents[2]
FROZEN = ROOT / "tests" / "frozen"
THREADS = 16


@cache
def _frozen() -> tuple[Book, tuple[Case, ...]]:
    book = load_book([FROZEN / "looks", FROZEN / "winch"])
    names = ("bore", "pads", "two", "loop", "disputed", "undetermined", "healthy", "overload")
    return book, tuple(read_case(FROZEN / "cases" / f"{name}.yaml") for name in names)


@cache
def _shipped() -> tuple[Book, tuple[Case, ...]]:
    book = load_book([ROOT / "knowledge" / "transfer-case"])
    every = sorted((ROOT / "examples" / "units").rglob("*.yaml"))
    units = [path for path in every if not path.name.endswith(".expect.yaml")][:8]
    return book, tuple(read_case(path) for path in (ROOT / "examples" / "ridge-07.yaml", *units))


def _told(opened: OpenBook, case: Case) -> str:
    """Return the sum of everything that a verdict says to programs and to people."""
    session = open_session(opened, case)
    shown = [screen(name, session) for name in ("verdict", "plan", "next")]
    heard = session.understand(case.complaint)
    return hashlib.sha256(f"{contract(session)}{shown}{heard}".encode()).hexdigest()


def _shared(book: Book, cases: tuple[Case, ...], dice: Random, runs: int) -> Outcome:
    """Judge cases one after the other, then mixed by many threads on a book nobody has used."""
    alone = [_told(OpenBook(replace(book)), case) for case in cases]
    order = [dice.randrange(len(cases)) for _ in range(runs)]
    opened = OpenBook(replace(book))  # a copy: what is kept for other tests is not for this one

    def judge(number: int) -> str:
        case = cases[number]
        try:
            said = _told(opened, case)
        except Exception as error:
            return f"{case.case}: {type(error).__name__} ({error})"
        return "" if said == alone[number] else f"{case.case}: another verdict"

    with ThreadPoolExecutor(THREADS) as pool:
        failures = tuple(filter(None, pool.map(judge, order)))
    return Outcome(runs, failures)


def _strike(dice: Random, runs: int, folder: Path) -> Outcome:  # noqa: ARG001 - as all attacks
    """Judge the frozen cases; of many runs, one in 25 is of the shipped book."""
    found = _shared(*_frozen(), dice, runs)
    if runs < 1000:
        return found
    more = _shared(*_shipped(), dice, runs // 25)
    return Outcome(found.runs + more.runs, (*found.failures, *more.failures))


ATTACKS = (Attack("16 threads on one compiled book", _strike, 48, 10_000),)
