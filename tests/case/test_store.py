"""The case file: every answer on disk at once, nothing lost, whoever wrote the file."""

from __future__ import annotations

import errno
import json
import os
import signal
from pathlib import Path

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from process import run, say, session, wait_for
from sessions import raw_findings, replay
from small_book import write_book

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import Seat
from headwater.case.grow import with_findings_last
from headwater.case.model import LogEntry
from headwater.case.read import CaseError, case_from_json, parse_case, read_case
from headwater.case.store import (
    CaseWriter,
    case_data,
    entry_line,
    new_case_text,
    value_of,
)
from headwater.errors import HeadwaterError
from headwater.measure.answer import RawAnswer
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.yamltext import TextError

HEAD = "case: a-case\nunit:\n  family: {drive: chain}\n"


def finding_line(check: str, given: RawAnswer, seat: Seat, at: str = "", note: str = "") -> str:
    return entry_line(
        LogEntry(check=Ref(check), answer=value_of(given), seat=seat, at=at, note=note)
    )


def removal_line(removal: str, seat: Seat, at: str = "") -> str:
    return entry_line(LogEntry(removed=Ref(removal), seat=seat, at=at))


FLOAT = finding_line("bore-float", "0.9 mm", Seat.BENCH)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


@pytest.fixture
def small(folder: Path) -> Book:
    return load_book([folder])


def given_in(path: Path) -> list[tuple[str, RawAnswer]]:
    """Return the answers in a file."""
    return [(check, given) for check, given, _ in raw_findings(read_case(path))]


# One line at a time -----------------------------------------------------------------------------


def test_each_answer_is_on_disk_before_the_next_question(
    small: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    forced: list[int] = []
    fsync = os.fsync

    def force(fd: int) -> None:
        forced.append(fd)
        fsync(fd)

    monkeypatch.setattr(os, "fsync", force)
    text = new_case_text("a", small, {"drive": "chain"}, Seat.BENCH)
    with CaseWriter.create(path, text) as writer:
        session = open_session(OpenBook(small), writer.case(), writer=writer)
        session.answer("pads", "burnt")
        assert given_in(path) == [("pads", "burnt")]
        before = len(forced)
        session.answer("bore-float", "0.9 mm")
        assert given_in(path) == [("pads", "burnt"), ("bore-float", "0.9 mm")]
        assert len(forced) == before + 1


def test_an_answer_that_is_not_understood_is_not_written(small: Book, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    with CaseWriter.create(path, new_case_text("a", small, {}, Seat.BENCH)) as writer:
        session = open_session(OpenBook(small), writer.case(), writer=writer)
        before = path.read_text()
        with pytest.raises(HeadwaterError, match="unit is missing"):
            session.answer("bore-float", "0.9")
        assert path.read_text() == before
        assert session.findings == []


def test_what_was_opened_for_a_check_is_written_with_its_answer(
    small: Book, tmp_path: Path
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(HEAD + "  removed: []\nfindings:\n")
    with CaseWriter(path) as writer:
        session = open_session(OpenBook(small), writer.case(), writer=writer)
        session.answer("pads", "burnt")
    case = read_case(path)
    assert [str(e.removed or e.check) for e in case.findings] == ["cover", "half", "pads"]
    assert replay(small, case).verdict.stand.removed == {"cover", "half"}


TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1)


@settings(max_examples=draws(60))
@given(
    name=TEXT.filter(str.strip),
    answer=TEXT | st.lists(TEXT, min_size=1, max_size=3).map(tuple) | st.dictionaries(TEXT, TEXT),
    note=TEXT,
)
def test_any_text_written_reads_back(name: str, answer: RawAnswer, note: str) -> None:
    line = finding_line("check", answer, Seat.CALL, "2026-01-01", note)
    line += removal_line("cover", Seat.BENCH, note)
    text = new_case_text(name, Book(), {"drive": name}, Seat.CALL, note) + line
    case = parse_case(text, "x.yaml")
    assert case.case == " ".join(name.split())
    assert case.seat is Seat.CALL
    ((_, given, _),) = raw_findings(case)
    assert given == answer
    assert str(case.findings[1].removed) == "cover"
    assert line.count("\n") == 2
    again = case_from_json(json.dumps(case_data(case)))
    assert raw_findings(again) == raw_findings(case)
    assert case_data(again) == case_data(case)


def test_a_name_that_is_no_text_still_makes_a_case(tmp_path: Path) -> None:
    text = new_case_text("unit-\udce9", Book(), {}, Seat.BENCH)
    with CaseWriter.create(tmp_path / "a.yaml", text) as writer:
        assert writer.case().case == "unit-?"


# Crashes, disks and neighbours ------------------------------------------------------------------


def test_a_kill_in_mid_session_loses_nothing(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    process = session("bench", path, "--book", folder, "--family", "drive=chain")
    try:
        say(process, "")  # no earlier work
        say(process, "")  # nothing told of by itself
        say(process, "pads: burnt")
        wait_for(lambda: path.exists() and "check: pads" in path.read_text())
        process.send_signal(signal.SIGKILL)
    finally:
        process.kill()
        process.communicate()
    assert given_in(path) == [("pads", "burnt")]
    went_on = run("bench", path, "--book", folder, typed="bore-float: 0.9 mm\ndone\n")
    assert went_on.returncode == 0, went_on.stderr
    assert given_in(path) == [("pads", "burnt"), ("bore-float", "0.9 mm")]


def test_a_second_session_on_the_same_file_is_refused(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    with CaseWriter.create(path, HEAD + "findings:\n"):
        second = run("bench", path, "--book", folder)
        assert second.returncode == 2
        assert second.stderr == (
            f"headwater: {path}: is open in another session; close that one first\n"
        )
    with CaseWriter(path) as writer:
        writer.append(FLOAT)
    assert given_in(path) == [("bore-float", "0.9 mm")]


def test_a_file_put_in_place_of_the_open_one_is_not_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, other = tmp_path / "a.yaml", tmp_path / "b.yaml"
    path.write_text(HEAD + "findings:\n")
    other.write_text(HEAD + "findings:\n")
    really_open = os.open

    def open_then_replace(*args: object) -> int:
        fd = really_open(*args)  # type: ignore[arg-type]
        monkeypatch.undo()
        other.replace(path)
        return fd

    monkeypatch.setattr(os, "open", open_then_replace)
    with pytest.raises(CaseError, match="is open in another session"):
        CaseWriter(path)


def test_a_full_disk_cuts_back_to_the_last_whole_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    write = os.write

    def half_then_full(fd: int, data: bytes) -> int:
        if len(data) > 20:
            return write(fd, bytes(data)[:20])
        raise OSError(errno.ENOSPC, "No space left on device")

    with CaseWriter.create(path, HEAD + "findings:\n") as writer:
        writer.append(FLOAT)
        before = path.read_bytes()
        monkeypatch.setattr(os, "write", half_then_full)
        with pytest.raises(CaseError) as caught:
            writer.append("  - {check: pads, answer: burnt, seat: bench}\n"[:-6])
        monkeypatch.undo()
        assert path.read_bytes() == before
        writer.append(finding_line("pads", "burnt", Seat.BENCH))
    assert str(caught.value) == (
        f"{path}: cannot be written (no space left on device); this is not saved, all before it is"
    )
    assert given_in(path) == [("bore-float", "0.9 mm"), ("pads", "burnt")]


def test_a_full_disk_makes_no_new_case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.yaml"

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(CaseError, match=r"cannot be written \(no space left on device\)"):
        CaseWriter.create(path, HEAD)
    assert not path.exists()


def test_a_full_disk_leaves_a_file_written_by_hand_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(HEAD)

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(HeadwaterError, match="no space left on device"):
        CaseWriter(path)
    assert path.read_text() == HEAD
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["none/a.yaml", "folder", "n" * 300])
def test_places_where_no_case_can_be_made(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(CaseError):
        CaseWriter.create(tmp_path / name, HEAD)
    with pytest.raises(HeadwaterError):
        CaseWriter(tmp_path / name)


def test_a_read_only_folder_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    path = tmp_path / "a.yaml"
    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(CaseError, match=r"a.yaml: cannot be written \(permission denied\)"):
        CaseWriter.create(path, HEAD)
    path.write_text(HEAD)
    with pytest.raises(CaseError, match=r"a.yaml: cannot be written \(permission denied\)"):
        CaseWriter(path)


def test_a_case_that_exists_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("mine\n")
    with pytest.raises(CaseError, match="exists already; open it or choose another name"):
        CaseWriter.create(path, HEAD)
    assert path.read_text() == "mine\n"


# Files written by hand --------------------------------------------------------------------------

ONE = "{check: pads, answer: burnt}"
BY_HAND = {
    "no findings": HEAD,
    "empty findings": HEAD + "findings:\n",
    "an empty list": HEAD + "findings: []  # none yet\n",
    "no last newline": HEAD + f"findings:\n  - {ONE}",
    "not last": f"case: a-case\nfindings:\n  - {ONE}\nunit:\n  family: {{drive: chain}}\n",
    "first of all": f"findings:\n- {ONE}\ncase: a-case\nunit:\n  family: {{drive: chain}}\n",
    "no indent": HEAD + f"findings:\n- {ONE}\n",
    "deep indent": HEAD + f"findings:\n        - {ONE}\n",
    "block items": HEAD + "findings:\n    - check: pads\n      answer: burnt\n",
    "no indent, block": HEAD
    + "findings:\n- check: pads\n  answer: burnt\n  note: |\n   a\n    b\n",
    "comments": f"# top\n{HEAD}findings:  # what was found\n# a remark\n    # another\n"
    f"    - {ONE}  # burnt black\n# the end\n",
    "comments, not last": "findings:\n      # in\n# out\n"
    f"      - {ONE}\n\n# the unit\n{HEAD}# end\n",
    "over lines": HEAD + "findings:\n    - {check: pads,\n   answer: burnt}\n",
    "windows": (HEAD + f"findings:\n- {ONE}\n").replace("\n", "\r\n"),
    "marked": "---\n" + HEAD + f"findings:\n- {ONE}\n",
    "quoted key": HEAD + f'"findings":\n   - {ONE}\n',
}


@pytest.mark.parametrize("text", BY_HAND.values(), ids=BY_HAND.keys())
def test_a_file_written_by_hand_survives_appends(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(text.encode())
    before = given_in(path)
    for _ in range(2):
        with CaseWriter(path) as writer:
            writer.append(FLOAT)
    case = read_case(path)
    assert given_in(path) == [*before, ("bore-float", "0.9 mm"), ("bore-float", "0.9 mm")]
    assert (case.case, case.unit.family) == ("a-case", {"drive": "chain"})
    assert list(tmp_path.iterdir()) == [path]
    kept = path.read_text()
    for remark in (
        "top",
        "what was found",
        "a remark",
        "another",
        "burnt black",
        "the end",
        "in",
        "out",
        "the unit",
        "end",
        "none yet",
    ):
        assert (f"# {remark}" in kept) == (f"# {remark}" in text), remark


CANNOT_GROW = {
    "all in braces": "{case: a-case, unit: {family: {drive: chain}}, findings: []}\n",
    "braces, none": "{case: a-case}\n",
    "in brackets": HEAD + f"findings: [{ONE}]\n",
    "brackets below": HEAD + f"findings:\n  [{ONE},\n   {ONE}]\n",
    "end mark": HEAD + "findings:\n...\n",
}


@pytest.mark.parametrize("text", CANNOT_GROW.values(), ids=CANNOT_GROW.keys())
def test_a_file_that_cannot_grow_is_refused_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(text)
    with pytest.raises(CaseError, match="write the findings one to a line, each behind '  - '"):
        CaseWriter(path)
    assert path.read_text() == text
    assert list(tmp_path.iterdir()) == [path]


@settings(max_examples=draws(150))
@given(
    st.permutations(
        [
            "case: a\n",
            "complaint: |\n  it jumps\n   out\n\n  of low\n",
            "unit:\n    history: >-\n      long\n      life\n",
            "# a remark\n",
            "\n",
            "outcome: {comeback: true}\n",
        ]
    ),
    st.integers(0, 7),
    st.sampled_from([f"- {ONE}", "- check: pads\n&answer: burnt\n&note: 'a\n\n& b'", "# none\n"]),
    st.integers(0, 6),
)
def test_any_order_and_indent_grows_without_a_change(
    blocks: list[str], at: int, item: str, indent: int
) -> None:
    lines = item.replace("&", "  ").splitlines() * 2
    findings = "findings:\n" + "".join(f"{' ' * indent}{line}\n" for line in lines)
    text = "".join([*blocks[:at], findings, *blocks[at:]])
    grown = with_findings_last(text, "x.yaml") + FLOAT
    old, new = parse_case(text, "x.yaml"), parse_case(grown, "x.yaml")
    assert (new.complaint, new.unit.history) == (old.complaint, old.unit.history)
    assert new.outcome is not None
    told = raw_findings(old)
    assert raw_findings(new) == [
        *told,
        ("bore-float", "0.9 mm", ""),
    ]
    assert with_findings_last(grown, "x.yaml") == grown


def test_a_link_to_a_case_is_followed(tmp_path: Path) -> None:
    path, link = tmp_path / "a.yaml", tmp_path / "link.yaml"
    path.write_text(HEAD)
    path.chmod(0o640)
    link.symlink_to(path)
    with CaseWriter(link) as writer:
        writer.append(FLOAT)
    assert link.is_symlink()
    assert given_in(path) == [("bore-float", "0.9 mm")]
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("text", ["", "- a\n", "text\n", "case: [\n", "case: 7\n"])
def test_what_is_no_case_is_not_opened(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(text)
    with pytest.raises((CaseError, TextError)) as caught:
        CaseWriter(path)
    assert str(caught.value).startswith(f"{path}:")
    assert path.read_text() == text


def test_no_answer_is_added_to_json(tmp_path: Path) -> None:
    """It is read whole or not at all; a new case under such a name is refused before it is made."""
    path = tmp_path / "a.json"
    with pytest.raises(CaseError, match=r"use a name in \.yaml"):
        CaseWriter.create(path, HEAD)
    assert not path.exists()
    path.write_text('{"case": "a"}')
    with pytest.raises(CaseError, match=r"use a name in \.yaml"):
        CaseWriter(path)
    assert path.read_text() == '{"case": "a"}'
