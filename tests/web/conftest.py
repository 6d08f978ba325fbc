"""A house for tests: the shipped book, a few cases in a folder, and browsers that come in."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from headwater.book.records import Book
from headwater.caseshelf import FolderShelf
from headwater.session.openbook import OpenBook
from headwater.shipped import open_packs
from headwater.web.app import make_app
from headwater.web.house import House
from headwater.web.visits import Visits

ROOT = Path(__file__).resolve().parents[2]
HOST = "127.0.0.1:8620"
NOW = "2031-04-09T10:00:00+02:00"


@dataclass
class Standing:
    """A house under test: its folder, its clock, and what it told its terminal."""

    folder: Path
    house: House
    seconds: list[float]
    faults: list[Exception] = field(default_factory=list)

    def client(self) -> TestClient:
        """Return a browser that nobody let in yet."""
        app = make_app(self.house, [HOST])
        return TestClient(app, f"http://{HOST}", follow_redirects=False)

    def inside(self) -> TestClient:
        """Return a browser that came in by the one-time link."""
        client = self.client()
        assert client.get(f"/enter/{self.house.visits.new_link()}").status_code == 303
        return client


def token(page: str) -> str:
    """Return the token of the forms on a page."""
    found = re.search(r'name="csrf" value="([^"]+)"', page)
    assert found
    return found[1]


@pytest.fixture(scope="session")
def open_book(book: Book) -> OpenBook:
    return OpenBook(book)


@pytest.fixture
def standing(tmp_path: Path, open_book: OpenBook) -> Iterator[Standing]:
    folder = tmp_path / "cases"
    folder.mkdir()
    shutil.copy(ROOT / "examples" / "ridge-07.yaml", folder)
    seconds = [1000.0]
    faults: list[Exception] = []
    visits = Visits(lambda: seconds[0])
    house = House(open_book, FolderShelf(folder), visits, lambda: NOW, faults.append)
    yield Standing(folder, house, seconds, faults)
    assert faults == []


FROZEN = ROOT / "tests" / "frozen"


@pytest.fixture(scope="session")
def winch() -> OpenBook:
    return open_packs([FROZEN / "looks", FROZEN / "winch"])


@pytest.fixture
def yard(tmp_path: Path, winch: OpenBook) -> Iterator[Standing]:
    """A house over the small frozen book and its stored cases."""
    folder = tmp_path / "yard"
    shutil.copytree(FROZEN / "cases", folder)
    seconds, faults = [1000.0], list[Exception]()
    visits = Visits(lambda: seconds[0])
    house = House(winch, FolderShelf(folder), visits, lambda: NOW, faults.append)
    yield Standing(folder, house, seconds, faults)
    assert faults == []
