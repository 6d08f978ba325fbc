"""The packs that stand beside the transfer-case book, each loaded once."""

from __future__ import annotations

from pathlib import Path

import pytest

from headwater.book.load import load_book
from headwater.book.records import Book

KNOWLEDGE = Path(__file__).resolve().parents[2] / "knowledge"


@pytest.fixture(scope="session")
def modes() -> Book:
    """Return the shared damage modes alone."""
    return load_book([KNOWLEDGE / "damage-modes"])


@pytest.fixture(scope="session")
def axle() -> Book:
    """Return the drive-axle pack with the modes that it uses, and its cases."""
    return load_book([KNOWLEDGE / "drive-axle"], samples=True)


@pytest.fixture(scope="session")
def vehicle() -> Book:
    """Return every shipped pack, as for both units in one vehicle."""
    return load_book([KNOWLEDGE / "driveline"], samples=True)
