"""What all rooms share: a terminal that is the same everywhere, the shipped book and a reasoner."""

from __future__ import annotations

import os
from pathlib import Path

import once
import pytest
from hypothesis import HealthCheck, settings

once.keep()  # before the program's modules take the functions over by name

from headwater.book.load import load_book  # noqa: E402
from headwater.book.records import Book  # noqa: E402
from headwater.verdict.assess import Reasoner, build_reasoner  # noqa: E402

ROOT = Path(__file__).resolve().parent.parent
FIRST = "tests/test_tools.py"

# A test meets the same terminal in a window, in a pipe and in the background.
os.environ["COLUMNS"] = "80"
for name in ("LINES", "NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "TTY_COMPATIBLE"):
    os.environ.pop(name, None)

# Others use the machine too: time says nothing of whether an answer is right.
settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the type checker: the one long process; the other workers go on beside it."""
    items.sort(key=lambda item: not item.nodeid.startswith(FIRST))


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, exitstatus: int, config: pytest.Config
) -> None:
    """Say after a failure in what order the tests ran: a quiet run does not say it before."""
    seed = config.getoption("randomly_seed", default=None)
    if exitstatus and seed is not None:
        terminalreporter.write_line(f"The same order again: --randomly-seed={seed}")


# No test writes into the cache of whoever runs it; those of the cache name a folder of their own.
os.environ["HEADWATER_CACHE"] = "off"
# Nor into a ledger that they may have.
os.environ["HEADWATER_LEDGER"] = "off"


@pytest.fixture(scope="session")
def book() -> Book:
    """The shipped transfer-case book with its sample cases."""
    return load_book([ROOT / "knowledge" / "transfer-case"], samples=True)


@pytest.fixture(scope="session")
def reasoner(book: Book) -> Reasoner:
    """A reasoner of the shipped book for the family its examples assume."""
    return build_reasoner(book, book.family)
