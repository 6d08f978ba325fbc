"""The commands: `report`, and the drawing of `trace`."""

from __future__ import annotations

import os
import re
from io import StringIO
from pathlib import Path

import pytest
from render.conftest import CASES, HEAD, PUMP

from headwater.cli.main import Terminal, run

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MARK = "<!-- Headwater report -->"


def called(*words: object) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    status = run([*map(str, words), "--book", str(PUMP)], Terminal(out, err, StringIO(), width=80))
    return status, out.getvalue(), err.getvalue()


def shipped(*words: object) -> int:
    """Run a command on the shipped book; it must have nothing to complain of."""
    out, err = StringIO(), StringIO()
    status = run([*map(str, words)], Terminal(out, err, StringIO(), width=80))
    assert err.getvalue() == ""
    return status


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "mill.yaml"
    path.write_text(HEAD + CASES["settled"], encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("name", "start"), [("a.html", "<!DOCTYPE html>"), ("a.HTM", "<!DOCTYPE html>"), ("a.md", MARK)]
)
def test_the_ending_says_the_form(case: Path, tmp_path: Path, name: str, start: str) -> None:
    status, out, err = called("report", case, "-o", tmp_path / name)
    assert (status, err) == (0, "")
    assert "Written for the shop: " in out
    assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)


def test_the_form_may_be_said(case: Path, tmp_path: Path) -> None:
    assert called("report", case, "-o", tmp_path / "a.txt", "--form", "markdown")[0] == 0
    status, _, err = called("report", case, "-o", tmp_path / "b.txt")
    assert status == 2
    assert err.count("\n") == 1
    assert "end it in .html, .pdf or .md" in err


def test_for_the_customer(case: Path, tmp_path: Path) -> None:
    assert called("report", case, "-o", tmp_path / "a.md", "--for", "customer")[0] == 0
    text = (tmp_path / "a.md").read_text(encoding="utf-8")
    assert "oil comes out at the front" in text
    assert "shaft seal leaks" not in text


def test_a_held_case_says_so_by_its_status(tmp_path: Path) -> None:
    path = tmp_path / "open.yaml"
    path.write_text(HEAD + CASES["open"], encoding="utf-8")
    assert called("report", path, "-o", tmp_path / "a.md")[0] == 1
    assert (tmp_path / "a.md").is_file()


def test_a_report_is_written_over_and_nothing_else(case: Path, tmp_path: Path) -> None:
    target = tmp_path / "a.html"
    assert called("report", case, "-o", target)[0] == 0
    assert called("report", case, "-o", target, "--for", "customer")[0] == 0
    before = case.read_bytes()
    status, _, err = called("report", case, "-o", case, "--form", "html")
    assert status == 2
    assert err.count("\n") == 1
    assert "is read by this very command; choose another name" in err
    assert case.read_bytes() == before
    assert called("report", case, "-o", target, "--force")[0] == 0
    other = tmp_path / "notes.md"
    other.write_text("my notes\n", encoding="utf-8")
    assert called("report", case, "-o", other)[0] == 2
    assert called("report", case, "-o", other, "--force")[0] == 0
    assert other.read_text(encoding="utf-8").startswith(MARK)


@pytest.mark.parametrize("place", ["nowhere/a.html", "mill.yaml/a.html", ".", "x" * 300 + ".html"])
def test_a_place_that_cannot_be_written_is_one_line(case: Path, tmp_path: Path, place: str) -> None:
    target = tmp_path / place
    words = ["report", case, "-o", target, "--form", "html"]
    status, out, err = called(*words)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert str(target)[:50] in err
    assert target.name[-50:] in err
    assert len(err) <= 300
    assert [p.name for p in tmp_path.iterdir()] == ["mill.yaml"], "nothing is left behind"


def test_a_full_disk_leaves_the_old_report(
    case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "a.html"
    called("report", case, "-o", target)
    before = target.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    status, _, err = called("report", case, "-o", target)
    assert status == 2
    assert "no space left on device" in err
    assert target.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.html", "mill.yaml"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no pipes by name")
def test_only_ordinary_files_are_written(case: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.html"
    os.mkfifo(pipe)
    status, _, err = called("report", case, "-o", pipe, "--force")
    assert status == 2
    assert "is a pipe; choose another name" in err


def test_a_hostile_file_name_stays_out_of_the_page(tmp_path: Path) -> None:
    path = tmp_path / "<script>x.yaml"
    path.write_text(HEAD + CASES["settled"], encoding="utf-8")
    assert called("report", path, "-o", tmp_path / "a.html")[0] == 0
    assert "<script" not in (tmp_path / "a.html").read_text(encoding="utf-8")


def test_trace_draws(tmp_path: Path) -> None:
    target = tmp_path / "seal.svg"
    status, out, err = called("trace", "seal-leaks", "--svg", target)
    assert (status, err) == (0, "")
    assert "Drawn: " in out
    assert target.read_text(encoding="utf-8").splitlines()[1] == MARK
    assert called("trace", "seal-leaks", "--svg", target)[0] == 0, "its own drawing gives way"
    target.write_text("mine", encoding="utf-8")
    assert called("trace", "seal-leaks", "--svg", target)[0] == 2
    assert called("trace", "seal-leaks", "--svg", target, "--force")[0] == 0
    assert called("trace", "seal-leaks", "--svg", tmp_path / "no" / "a.svg")[0] == 2


def test_priced_options_stand_in_the_report(tmp_path: Path) -> None:
    prices = EXAMPLES / "prices" / "winter-list.yaml"
    for reader, opened in (("shop", True), ("customer", False)):
        target = tmp_path / f"{reader}.md"
        words = ("report", EXAMPLES / "ridge-07.yaml", "-o", target, "--for", reader)
        assert shipped(*words, "--prices", prices) == 0
        text = target.read_text(encoding="utf-8")
        row = re.search(r"\| 1 repair as planned \| (\d+) \| [\d.]+ \|", text)
        assert row
        labour = f"labour {row[1]} min x 64.00 / 60 = {64 * int(row[1]) / 60:.2f}"
        assert (labour in text) is opened


def test_a_held_case_prices_no_bare_part(tmp_path: Path) -> None:
    prices = EXAMPLES / "prices" / "winter-list.yaml"
    target = tmp_path / "a.md"
    words = ("report", EXAMPLES / "plan-undetermined.yaml", "-o", target, "--prices", prices)
    assert shipped(*words) == 1
    text = target.read_text(encoding="utf-8")
    assert "| 1 repair as planned | refused |" in text
    before, _, cover = text.partition("Correct every live candidate, cheapest set:")
    assert "input bearing: replace" not in before
    assert cover.index("front housing half: scrap") < cover.index("input bearing: replace")


def test_a_price_file_that_is_not_there(case: Path, tmp_path: Path) -> None:
    words = ("report", case, "-o", tmp_path / "a.md", "--prices", tmp_path / "no.yaml")
    status, _, err = called(*words)
    assert (status, err.count("\n")) == (2, 1)
    assert not (tmp_path / "a.md").exists()
