"""A book to practise on, and the same opened, shared by the tests of the drill."""

from __future__ import annotations

from pathlib import Path

import pytest
from drill.drill_book import practice_book

from headwater.session.openbook import OpenBook


@pytest.fixture(scope="session")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("practice") / "book"
    practice_book(folder)
    return folder


@pytest.fixture(scope="session")
def practised(practice: Path) -> OpenBook:
    return OpenBook(practice_book(practice))
