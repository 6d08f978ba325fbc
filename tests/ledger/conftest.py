"""A ledger for each test, in a file or on a server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from headwater.ledger.door import Ledger, make_ledger
from ledger.ledgers import KINDS, fresh_data_base, server, why_no_server


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The folder with the socket of a server."""
    if why := why_no_server():
        pytest.skip(why)
    with server() as folder:
        yield folder


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new ledger may be made."""
    if request.param == "sqlite":
        return str(tmp_path / "shop.sqlite")
    return fresh_data_base(request.getfixturevalue("postgres"))


@pytest.fixture
def shop(address: str) -> Iterator[Ledger]:
    """An empty ledger."""
    ledger = make_ledger(address, {"zone": "Etc/UTC"})
    yield ledger
    ledger.close()
