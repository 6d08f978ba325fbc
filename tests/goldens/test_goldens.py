"""Golden screens: what each command prints on the small frozen book of `tests/frozen`.

They were printed by the program itself, so they guard against change and prove nothing: what must
be true is asserted elsewhere. A book of their own keeps them still when the shipped one grows.
`HEADWATER_REFRESH=1 pytest -n 0 tests/goldens` writes them anew; read the difference before you
commit it.
"""

from __future__ import annotations

import os
import shlex
import shutil
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from goldens.screens import SCREENS

from headwater import __version__
from headwater.cli.main import Terminal, run

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
GOLDENS = Path(__file__).resolve().parent / "screens"
WIDTH = 80


class Day(date):
    """A day on which every report is written."""

    @classmethod
    def today(cls) -> Day:
        return cls(2031, 4, 9)


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in a folder with the stored cases, on a day that does not pass."""
    shutil.copytree(FROZEN / "cases", tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("headwater.cli.report.date", Day)
    monkeypatch.setattr("time.monotonic", lambda: 0.0)
    for seat in ("bench", "call"):
        monkeypatch.setattr(f"headwater.cli.{seat}.now", lambda: "2031-04-09T08:00:00+00:00")
    return tmp_path


def shown(line: str) -> str:
    """Run a line of a script and return it with what it prints; `show FILE` prints a file."""
    words, _, typed = line.partition(" << ")
    command, *rest = shlex.split(words)
    if command == "show":
        return f"$ {line}\n{Path(rest[0]).read_text(encoding='utf-8')}"
    out, err = StringIO(), StringIO()
    stdin = StringIO("".join(f"{text}\n" for text in typed.split("|")) if typed else "")
    books = ["--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch")]
    rest = [word.replace("YARD", str(FROZEN / "yard")) for word in rest]
    own = [] if command == "work" else books
    status = run([command, *rest, *own], Terminal(out, err, stdin, width=WIDTH))
    if (
        not {"--json", "--csv"} & {*rest} and command != "book"
    ):  # `book` prints paths of this machine
        assert [text for text in out.getvalue().splitlines() if len(text) > WIDTH] == []
    return f"$ headwater {words}\n{err.getvalue()}{out.getvalue()}[{status}]\n"


@pytest.mark.parametrize("name", SCREENS)
@pytest.mark.usefixtures("place")
def test_screen(name: str) -> None:
    screen = "\n".join(shown(line) for line in SCREENS[name])
    screen = screen.replace(str(FROZEN), "FROZEN").replace(__version__, "VERSION")
    text = "".join(f"{line.rstrip()}\n" for line in screen.splitlines())
    path = GOLDENS / f"{name}.txt"
    if os.environ.get("HEADWATER_REFRESH"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


def test_every_golden_is_of_a_screen() -> None:
    if os.environ.get("HEADWATER_REFRESH"):
        pytest.skip("they are being written, in whatever order")
    assert {path.stem for path in GOLDENS.iterdir()} == set(SCREENS)
