"""A unit that came back: same chain again, missed origin, fitting error, new, or not to be told."""

from __future__ import annotations

from pathlib import Path

import pytest
from planning.conftest import Play
from sessions import replay

from headwater.book.records import Book
from headwater.case.read import CaseError, read_case
from headwater.errors import HeadwaterError
from headwater.session.comeback import Comeback, Return, compare
from headwater.verdict.assess import Reasoner

FORK = ("range-fork-pads: burnt",)
BORE = ("range-fork-pads: burnt", "input-bearing-float: 0.045 in", "front-groove: past-limit")


def write(path: Path, findings: tuple[str, ...], done: str = "", earlier: str = "") -> Path:
    lines = [f"case: {path.stem}", "seat: bench"]
    lines += [f"earlier: {earlier}"] if earlier else []
    lines += [f"done: [{done}]"] if done else []
    lines += ["findings:"]
    lines += [f"  - {{check: {f.split(': ')[0]}, answer: {f.split(': ')[1]}}}" for f in findings]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def compared(
    tmp_path: Path,
    book: Book,
    reasoner: Reasoner,
    then: tuple[str, ...],
    done: str,
    now: tuple[str, ...],
) -> Comeback:
    write(tmp_path / "then.yaml", then, done)
    case = read_case(write(tmp_path / "now.yaml", now, earlier="then.yaml"))
    found = compare(replay(book, case, reasoner))
    assert found is not None
    return found


def test_the_bare_fork_ran_the_same_chain_again(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    found = compared(tmp_path, book, reasoner, BORE, "{action: replace, on: range-fork}", BORE)
    (one,) = found.returned
    assert (one.origin, one.kind) == ("front-bore-worn", Return.SAME_CHAIN)
    assert one.evidence == ("it was named then (proven)", "nothing that was done corrects it")
    assert "range-fork-pads-burnt" in found.again


def test_corrected_on_paper_and_found_again(tmp_path: Path, book: Book, reasoner: Reasoner) -> None:
    done = "{action: scrap, on: front-housing}, {action: replace, on: range-fork}"
    (one,) = compared(tmp_path, book, reasoner, BORE, done, BORE).returned
    assert one.kind is Return.SAME_CHAIN
    assert one.evidence[-1] == "its correction is written down as done, and it is found again"


def test_nobody_measured_the_bore_then(tmp_path: Path, book: Book, reasoner: Reasoner) -> None:
    found = compared(tmp_path, book, reasoner, FORK, "{action: replace, on: range-fork}", BORE)
    (one,) = found.returned
    assert (one.origin, one.kind) == ("front-bore-worn", Return.MISSED)
    assert any("its chain reaches 'range-fork pads burnt', found then" in e for e in one.evidence)


def test_dowels_that_were_in_before_the_work(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    now = ("joint-leak-place: wet", "halves-offset: 0.18 mm", "dowel-count: missing")
    done = "{action: scrap, on: front-housing}"
    (one,) = compared(tmp_path, book, reasoner, (*BORE, "dowel-count: both"), done, now).returned
    assert (one.origin, one.kind) == ("dowels-left-out", Return.FITTING)
    assert "it was looked at and ruled out before that work" in one.evidence


def test_dowels_that_nobody_looked_for_may_be_an_earlier_hand(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    now = ("joint-leak-place: wet", "halves-offset: 0.18 mm", "dowel-count: missing")
    then = ("joint-leak-place: wet",)
    (one,) = compared(
        tmp_path, book, reasoner, then, "{action: repair, on: rear-housing}", now
    ).returned
    assert one.kind is Return.FITTING
    assert any(e.startswith("an earlier hand is not excluded") for e in one.evidence)


def test_without_any_opening_missing_dowels_were_missed(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    now = ("joint-leak-place: wet", "halves-offset: 0.18 mm", "dowel-count: missing")
    then = ("joint-leak-place: wet",)
    (one,) = compared(tmp_path, book, reasoner, then, "{action: advise, on: driver}", now).returned
    assert one.kind is Return.MISSED


def test_another_trouble_is_new(tmp_path: Path, book: Book, reasoner: Reasoner) -> None:
    now = (
        "bang-under-load-in-four-wheel-drive: 'yes'",
        "sprocket-tips: hammered",
        "chain-elongation: 2.1 %",
        "tyres-asked: unlike",
        "tyre-sidewalls: other-size",
    )
    found = compared(tmp_path, book, reasoner, BORE, "{action: replace, on: range-fork}", now)
    one = next(r for r in found.returned if r.origin == "tyre-mismatch")
    assert one.kind is Return.NEW
    assert one.evidence[-1] == "nothing found then points to it"


def test_as_long_as_no_origin_is_named_nothing_is_told(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    (one,) = compared(tmp_path, book, reasoner, BORE, "", FORK).returned
    assert (one.origin, one.kind) == (None, Return.UNTOLD)


def test_a_case_without_an_earlier_one_is_no_comeback(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    case = read_case(write(tmp_path / "now.yaml", FORK))
    assert compare(replay(book, case, reasoner)) is None


def test_faults_in_the_earlier_case_are_told(
    tmp_path: Path, book: Book, reasoner: Reasoner
) -> None:
    with pytest.raises(HeadwaterError, match=r"then\.yaml.*'swapped' is not something done"):
        compared(tmp_path, book, reasoner, BORE, "{action: swapped, on: chain}", BORE)
    case = read_case(write(tmp_path / "now.yaml", FORK, earlier="gone.yaml"))
    with pytest.raises(HeadwaterError, match=r"gone\.yaml: no such file"):
        compare(replay(book, case, reasoner))
    assert issubclass(CaseError, HeadwaterError)


def test_the_command_leaves_the_decision_to_the_shop(play: Play) -> None:
    status, screen, _ = play("audit", "examples/plan-dowels-back.yaml")
    assert status == 0
    assert "Fitting error: alignment dowels left out" in screen
    assert screen.rstrip().endswith("is for the shop to decide.")


def test_what_was_done_to_a_part_that_is_not_known_is_told(tmp_path: Path, play: Play) -> None:
    """'Gasket only' is work, too; a slip of the keyboard brings the nearest part."""
    done = "{action: replace, on: doodad only}, {action: replace, on: alignment dowelz}"
    write(tmp_path / "then.yaml", FORK, f"{done}, {{action: replace, on: Range fork}}")
    now = write(tmp_path / "now.yaml", BORE, earlier="then.yaml")
    _, out, err = play("audit", str(now), "--book", "knowledge/transfer-case")
    told = " ".join(out.split())
    assert err == ""
    assert "Done then: range fork with its pads ('Range fork'): replace" in told
    assert "doodad only, done then: the book knows no such part " in told
    assert "alignment dowelz, done then: the book knows no such part; did you mean 'dowels'" in told
