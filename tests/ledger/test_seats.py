"""The seats and the ledger: a case is in a file or in the ledger, and goes from seat to seat."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from process import ROOT, environment
from small_book import write_book

from headwater.case.read import read_case
from headwater.cli.main import Terminal, run
from headwater.ledger.door import open_ledger
from headwater.ledger.kept import LedgerCase
from headwater.ledger.place import ledger_address

TYPED = "burnt pads\n\n\nbore-float: 0.9 mm\ndone\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a small book, in which the usual ledger is `shop.sqlite`, not made yet."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEADWATER_LEDGER", str(tmp_path / "shop.sqlite"))
    write_book(tmp_path / "small")
    return tmp_path


def play(*words: str, typed: str = "") -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    seat = words[0] in ("bench", "hoist", "call", "diagnose", "audit")
    book = ("--book", "small") if seat else ()
    status = run([*words, *book], Terminal(out, err, io.StringIO(typed), width=80))
    return status, out.getvalue(), err.getvalue()


def test_without_a_ledger_a_name_is_that_of_a_file(folder: Path) -> None:
    status, out, _ = play("bench", "unit", typed=TYPED)
    assert status in (0, 1)
    assert "Saved in unit. Go on with: headwater bench unit" in out
    assert read_case(folder / "unit").findings
    assert not (folder / "shop.sqlite").exists()


def test_with_one_it_is_a_case_of_the_ledger(folder: Path) -> None:
    assert play("ledger", "init") == (
        0, f"The ledger is {folder / 'shop.sqlite'}.\n" if len(str(folder)) < 40 else
        play_text(folder), "",
    )  # fmt: skip
    _, out, err = play("bench", "R-1041", typed=TYPED)
    assert "Saved in the ledger as 'R-1041'. Go on with: headwater bench R-1041" in out
    assert err == ""
    assert sorted(path.name for path in folder.iterdir() if path.suffix != ".sqlite-wal") != []
    assert not (folder / "R-1041").exists()
    _, again, _ = play("bench", "R-1041", typed="list\ndone\n")
    assert "Going on." in again
    _, judged, _ = play("diagnose", "R-1041", "--json")
    assert [one["check"] for one in json.loads(judged)["findings"]][-1] == "bore-float"


def play_text(folder: Path) -> str:
    """Return what `init` says where its line is wrapped."""
    from headwater.cli.console import Screen

    out = io.StringIO()
    screen = Screen(out, 80)
    screen.say(f"The ledger is {folder / 'shop.sqlite'}.")
    screen.say("A case that is named without an ending goes there: headwater bench NAME")
    return out.getvalue()


def test_a_file_stays_a_file(folder: Path) -> None:
    play("ledger", "init")
    (folder / "old").write_text("case: old\nfindings:\n")
    for name in ("unit.yaml", "old", "small/../unit2.yaml"):
        play("bench", name, typed=TYPED)
        assert read_case(folder / name).findings, name
    _, out, _ = play("ledger", "list")
    assert out == "0 cases\n"


def test_a_case_in_which_nothing_was_said_is_not_kept(folder: Path) -> None:
    play("ledger", "init")
    status, _, err = play("bench", "R-1", typed="")
    assert (status, err) == (2, "headwater: the input ended; nothing was answered yet\n")
    _, out, _ = play("ledger", "list")
    assert out == "0 cases\n"
    _, _, err = play("bench", "R-1", typed="burnt pads\n\n")
    assert "all answers are saved in the ledger as 'R-1'; go on with 'headwater bench R-1'" in err
    assert len(list(folder.glob("*.yaml"))) == 0


def test_an_earlier_case_is_known_at_every_seat(folder: Path) -> None:
    play("ledger", "init")
    play("bench", "first", typed=TYPED)
    for seat, name in (("hoist", "again"), ("call", "rung"), ("bench", "third")):
        _, out, err = play(seat, name, "--earlier", "first", typed="it leaks\n\n\nlist\ndone\n\n\n")
        assert "there is no case" not in err
        kept = LedgerCase(open_ledger(str(folder / "shop.sqlite")), name).case()
        assert kept.earlier_case is not None
        assert kept.earlier_case.case == "first"
        assert "first" in out
    _, _, err = play("bench", "lost", "--earlier", "zebra", typed=TYPED)
    assert "there is no case 'zebra'" in err
    _, out, _ = play("audit", "third")
    assert "It came back: earlier case first" in out


def test_files_go_in_and_out_by_hand(folder: Path) -> None:
    play("ledger", "init")
    text = "case: pine\ncustomer: rescue\nphotographs: [a.jpg]\nfindings:\n  - {told: it howls}\n"
    (folder / "pine.yaml").write_text(text)
    status, out, err = play("ledger", "add", "pine.yaml", "lost.yaml")
    assert (status, out) == (2, "pine.yaml is in the ledger as 'pine'.\n")
    assert err == (
        "headwater: pine.yaml: 'a.jpg' is not beside it; its name alone is kept\n"
        "headwater: lost.yaml: no such file; check the name\n"
    )
    _, out, _ = play("ledger", "find", "resc", "howl", "--csv")
    assert out.splitlines()[1].startswith("pine,open,,rescue,")
    assert play("ledger", "list", "--most", "-1")[0] == 2
    _, out, _ = play("ledger", "find", "zebra")
    assert out == "0 cases with 'zebra'\n"
    _, out, _ = play("ledger", "show", "pine", "--json")
    assert json.loads(out)["told"] == ["it howls"]
    (folder / "out").mkdir()
    assert play("ledger", "export", "--to", "out")[0] == 0
    assert (folder / "out" / "pine.yaml").read_text() == text
    status, _, err = play("ledger", "show", "zebra")
    assert (status, err.count("\n")) == (2, 1)


def test_another_ledger_is_named_on_the_line(folder: Path) -> None:
    status, _, err = play("ledger", "list", "--ledger", "other.sqlite")
    assert status == 2
    assert err == (
        "headwater: other.sqlite: there is no ledger here; 'headwater ledger init' makes one\n"
    )
    assert play("ledger", "init", "--zone", "Nowhere/Town")[0] == 2
    assert play("ledger", "init", "--ledger", "other.sqlite")[0] == 0
    assert (folder / "other.sqlite").exists()
    assert not (folder / "shop.sqlite").exists()


def test_where_the_usual_ledger_is() -> None:
    home = {"HOME": "/home/shop"}
    own = "/home/shop/.local/share/headwater/ledger.sqlite"
    if sys.platform == "linux":
        assert ledger_address(home) == own
        assert ledger_address(home | {"XDG_DATA_HOME": "/d"}) == "/d/headwater/ledger.sqlite"
    assert ledger_address(home | {"HEADWATER_LEDGER": "off"}) is None
    assert ledger_address(home | {"HEADWATER_LEDGER": "x"}) == "x"
    assert ledger_address(home | {"HEADWATER_LEDGER": "x"}, "y") == "y"
    assert ledger_address({}) is None


WITHOUT = """
import sys
sys.modules["sqlalchemy"] = None
from headwater.cli.main import Terminal, run
print(run(sys.argv[1:], Terminal(sys.stdout, sys.stdout, sys.stdin)))
"""


def test_a_plain_install_says_how_to_get_what_is_missing(tmp_path: Path) -> None:
    here = environment(HEADWATER_LEDGER=str(tmp_path / "x"))
    command = [sys.executable, "-c", WITHOUT, "ledger"]
    done = subprocess.run(
        [*command, "list"], capture_output=True, text=True, env=here, cwd=ROOT, check=True
    )
    mend = "pip install '.[ledger]' in Headwater's folder"
    assert done.stdout == f"headwater: the ledger needs the extra 'ledger': {mend}\n2\n"


class TypedWhileOthersAnswer(io.StringIO):
    """What is typed; before the line that is named, somebody else adds to the case."""

    def __init__(self, typed: str, line: str, other: LedgerCase) -> None:
        super().__init__(typed)
        self.line, self.other = line, other

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
        typed = super().readline(-1 if size is None else size)
        if typed.strip() == self.line:
            self.other.append('  - {told: "it leaks, too"}\n')
        return typed


def test_two_who_answer_one_case_at_once_lose_nothing(folder: Path) -> None:
    """The second is told, with what was not saved; the first one's stands. Then it goes on."""
    play("ledger", "init")
    play("bench", "R-1", typed="burnt pads\n\n\ndone\n")
    ledger = open_ledger(str(folder / "shop.sqlite"))
    line = "bore-float: 0.9 mm"
    typed = TypedWhileOthersAnswer(f"{line}\ndone\n", line, LedgerCase(ledger, "R-1"))
    out, err = io.StringIO(), io.StringIO()
    words = ["bench", "R-1", "--book", "small"]
    assert run(words, Terminal(out, err, typed, width=80)) == 2
    said = "case 'R-1' of the ledger: was changed by somebody else meanwhile; this is not saved"
    assert err.getvalue() == f"headwater: {said}: open it again to go on\n"
    assert LedgerCase(ledger, "R-1").case().findings[-1].told == "it leaks, too"
    play("bench", "R-1", typed=f"{line}\ndone\n")
    found = LedgerCase(ledger, "R-1").case().findings
    assert {"it leaks, too"} <= {entry.told for entry in found}
    assert any(entry.check == "bore-float" for entry in found)
    ledger.close()
