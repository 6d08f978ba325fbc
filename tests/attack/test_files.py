"""What an attack once found about files, each finding under its own name.

The commands are met as a person meets them, so that these tests could be laid over the program that
was attacked: all but a few forms of them failed there.
"""

from __future__ import annotations

import os
import re
import signal
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Thread

import pytest
from attack.seats import FAMILY, Step, bench, faults_of, play
from process import environment, run
from small_book import write_book

from headwater.case.read import CaseError, read_case
from headwater.case.store import CaseWriter
from headwater.drill.progress import Apprentice, open_progress, read_progress

GOOD = """\
case: a
unit: {family: {drive: chain}}
findings:
  - {check: pads, answer: burnt}
"""
PADS = ["", "", "pads: burnt"]


@pytest.fixture
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return write_book(tmp_path / "small")


@pytest.fixture
def case(small: Path) -> Path:
    path = small.parent / "a.yaml"
    path.write_text(GOOD, "utf-8")
    return path


def refused(*words: str | Path, steps: list[str] | None = None) -> str:
    """Return the one line with which a command is refused."""
    status, _, err = play(*words, steps=steps or [])
    assert (status, faults_of(status, err)) == (2, [])
    assert err.count("\n") == 1
    return err.removeprefix("headwater: ").rstrip("\n")


# 1. Overwriting ---------------------------------------------------------------------------------


@pytest.mark.parametrize("begun", [True, False], ids=["a case", "a new case"])
@pytest.mark.parametrize("named", ["itself", "a link", "a hard link", "another way"])
def test_1_the_sheet_never_goes_over_the_case(small: Path, begun: bool, named: str) -> None:
    path = small.parent / "c.yaml"
    if begun:
        path.write_text(GOOD, "utf-8")
    sheet = {"itself": path, "another way": small / ".." / "c.yaml"}.get(named, Path("sheet.md"))
    if named == "a link":
        sheet.symlink_to(path)
    if named == "a hard link":
        if not begun:
            return
        os.link(path, sheet)
    words = ("call", path, "--sheet", sheet, "--force", "--book", small, "--complaint", "it leaks")
    assert "is read by this very command" in refused(*words)
    assert not path.exists() if not begun else path.read_text("utf-8") == GOOD


@pytest.mark.parametrize("force", [(), ("--force",)], ids=["plain", "forced"])
def test_1_a_page_never_goes_over_what_it_is_made_from(
    case: Path, small: Path, force: tuple[str, ...]
) -> None:
    Path("link.html").symlink_to(case)
    (small / "notes.md").write_text("mine\n", "utf-8")
    for out in (case, "link.html", small / "pack.yaml", small / "notes.md"):
        refused("report", case, "-o", out, "--form", "html", "--book", small, *force)
    assert case.read_text("utf-8") == GOOD
    assert (small / "notes.md").read_text("utf-8") == "mine\n"
    assert play("report", case, "-o", "r.html", "--book", small)[0] == 1


def test_1_a_strangers_file_is_left_alone(case: Path, small: Path) -> None:
    notes = Path("notes.md")
    notes.write_text("mine\n", "utf-8")
    assert "holds something else" in refused("call", case, "--sheet", notes, "--book", small)
    assert "holds something else" in refused("report", case, "-o", notes, "--book", small)
    assert "holds something else" in refused("trace", "pads-burnt", "--svg", notes, "--book", small)
    (small.parent / "out").mkdir()
    (small.parent / "out" / "chain.schema.json").write_text("{}\n", "utf-8")
    assert "holds something else" in refused("book", "schema", "out")
    assert notes.read_text("utf-8") == "mine\n"


@pytest.mark.parametrize("place", ["none/s.md", "folder", "pipe.md", "/dev/full", "a.yaml/s.md"])
def test_1_a_bad_place_is_noticed_before_the_call(case: Path, small: Path, place: str) -> None:
    Path("folder").mkdir()
    os.mkfifo("pipe.md")
    asked = Path("asked")
    words = ("call", case, "--sheet", place, "--force", "--book", small)
    status, out, err = play(*words, steps=["", asked.touch])
    assert (status, faults_of(status, err)) == (2, [])
    assert out == ""
    assert not asked.exists()


# 2. The file under an open session --------------------------------------------------------------


Tamper = dict[str, Callable[[], object]]


def replaced(path: Path, text: str | None = None) -> None:
    """Save as many editors do."""
    copy = path.with_name("u~")
    copy.write_text(path.read_text("utf-8") if text is None else text, "utf-8")
    copy.replace(path)


def test_2_a_copy_moved_over_the_case_is_gone_on_with(small: Path) -> None:
    path = small.parent / "a.yaml"
    steps: list[Step] = [*PADS, lambda: replaced(path), "bore-float: 0.9 mm", "done"]
    status, out, err = bench(path, small, steps)
    assert status == 0
    assert err == (
        f"headwater: {path}: was put there anew with nothing in it changed; "
        "this session goes on in it\n"
    )
    assert f"Saved in {path}" in out
    assert path.read_text("utf-8").count("check:") == 2


def test_2_a_second_session_that_gets_in_by_it_costs_no_answer(small: Path) -> None:
    path = small.parent / "a.yaml"

    def second() -> None:
        replaced(path)
        status, _, _ = bench(path, small, ["", "bore-float: 0.7 mm", "done"])
        assert status in (0, 1)

    status, out, err = bench(path, small, [*PADS, second, "bore-float: 0.9 mm", "done"])
    assert (status, faults_of(status, err)) == (2, [])
    assert "Saved in" not in out
    assert "what was answered here was added too: open it again" in err
    text = path.read_text("utf-8")
    assert text.index("0.7 mm") < text.index("0.9 mm")
    assert play("diagnose", path, "--book", small)[0] in (0, 1)


@pytest.mark.parametrize("how", ["deleted", "moved", "cut", "emptied", "edited"])
def test_2_what_is_done_to_the_case_is_said_and_no_answer_is_lost(small: Path, how: str) -> None:
    path = small.parent / "a.yaml"
    away = path.with_name("away.yaml")
    hows: Tamper = {
        "deleted": path.unlink,
        "moved": lambda: path.replace(away),
        "cut": lambda: os.truncate(path, path.stat().st_size - 9),
        "emptied": lambda: os.truncate(path, 0),
        "edited": lambda: replaced(path, "customer: Bo\n" + path.read_text("utf-8")),
    }

    def do() -> None:
        hows[how]()

    status, out, err = bench(path, small, [*PADS, do, "bore-float: 0.9 mm", "done"])
    assert (status, faults_of(status, err)) == (2, [])
    assert "Saved in" not in out
    told = re.search(r"all that was answered here is in (\S+): go on with that", err)
    assert told
    kept = Path(told[1])
    assert kept.parent == path.parent
    assert kept.read_text("utf-8").count("check:") == 2
    assert bench(kept, small, ["done"])[0] == 0
    if how == "edited":
        assert path.read_text("utf-8").startswith("customer: Bo\n")


def test_2_it_is_noticed_at_the_end_as_well(small: Path) -> None:
    path = small.parent / "a.yaml"
    status, out, err = bench(path, small, [*PADS, path.unlink, "done"])
    assert (status, "Saved in" in out) == (2, False)
    assert "was deleted while it was open here" in err
    status, _, err = bench(path, small, [*PADS, path.unlink])  # the input ends
    assert (status, "all answers are saved" in err) == (2, False)


def test_2_half_a_line_of_somebody_else_is_left_to_them(small: Path) -> None:
    path = small.parent / "a.yaml"

    def half() -> None:
        with path.open("a", encoding="utf-8") as file:
            file.write("  - {check: pa")

    status, _, err = bench(path, small, [*PADS, half, "bore-float: 0.9 mm", "done"])
    assert status == 2
    assert "a-kept-1.yaml: go on with that" in err
    assert path.read_text("utf-8").endswith("  - {check: pa")


def test_2_a_copy_moved_over_it_while_an_answer_is_written_costs_no_answer(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = small.parent / "a.yaml"
    write = os.write

    def beaten(handle: int, data: bytes) -> int:
        monkeypatch.setattr(os, "write", write)
        replaced(path)
        return write(handle, data)

    def aim() -> None:
        monkeypatch.setattr(os, "write", beaten)

    asked = Path("asked")
    status, out, err = bench(path, small, [*PADS, aim, "bore-float: 0.9 mm", asked.touch, "done"])
    assert (status, "Saved in" in out, asked.exists()) == (2, False, False)
    told = re.search(r"all that was answered here is in (\S+): go on with that", err)
    assert told
    assert "0.9 mm" in Path(told[1]).read_text("utf-8")


# 7. The progress file ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["a: b", "x\nevil: 1", "no", "#", "'\"\\", "\u202e", "- ", "7"])
def test_7_any_name_keeps_the_file_readable(tmp_path: Path, name: str) -> None:
    path = tmp_path / "p.yaml"
    record = Apprentice(done=1, missed={name: 2})
    open_progress(path, name).keep(record)
    open_progress(path, "other").keep(Apprentice(done=3))
    assert read_progress(path) == {name: record, "other": Apprentice(done=3)}


def test_7_what_would_not_read_back_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    open_progress(path, "ana").keep(Apprentice(done=1))
    before = path.read_bytes()
    with pytest.raises(Exception, match="read back as something else") as caught:
        open_progress(path, "ben").keep(Apprentice(done=10**30))
    assert str(path) in str(caught.value)
    assert path.read_bytes() == before


def test_7_six_writers_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"

    def keep(who: str) -> None:
        for done in range(1, 11):
            open_progress(path, who).keep(Apprentice(done=done))

    writers = [Thread(target=keep, args=(f"who-{number}",)) for number in range(6)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert {who: one.done for who, one in read_progress(path).items()} == {
        f"who-{number}": 10 for number in range(6)
    }
    assert list(tmp_path.iterdir()) == [path]


def test_7_links_and_neighbours_are_left_alone(tmp_path: Path) -> None:
    path, link, beside = tmp_path / "p.yaml", tmp_path / "l.yaml", tmp_path / "l.yaml.new"
    beside.write_text("mine\n", "utf-8")
    open_progress(path, "ana").keep(Apprentice(done=1))
    path.chmod(0o600)
    link.symlink_to(path)
    open_progress(link, "ben").keep(Apprentice(done=2))
    assert link.is_symlink()
    assert beside.read_text("utf-8") == "mine\n"
    assert sorted(read_progress(path)) == ["ana", "ben"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


# 9. Hangs ---------------------------------------------------------------------------------------


def test_9_a_pipe_that_a_received_case_names_holds_nothing_up(case: Path, small: Path) -> None:
    os.mkfifo("before")
    case.write_text(GOOD + "earlier: before\n", "utf-8")
    found = run("audit", case, "--parts", "range fork", "--book", small)
    assert found.returncode == 2
    assert found.stderr.endswith("before: is a pipe; name an ordinary file\n")


# 10. Power cut and resume -----------------------------------------------------------------------


def test_10_files_and_their_folder_are_forced_to_disk(
    case: Path, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forced: list[int] = []
    fsync = os.fsync

    def force(handle: int) -> None:
        forced.append(os.fstat(handle).st_mode)
        fsync(handle)

    monkeypatch.setattr(os, "fsync", force)
    play("report", case, "-o", "r.html", "--book", small)
    assert [stat.S_ISDIR(mode) for mode in forced] == [False, True]
    forced.clear()
    bench(Path("new.yaml"), small, [*PADS, "done"])
    assert [stat.S_ISDIR(mode) for mode in forced] == [False, True, False]


@pytest.mark.parametrize("tail", [b"  - {check: bore-fl", b"\0" * 50, b"  - {ch\0\0\0\0", b"  -"])
def test_10_a_torn_last_line_is_cut_off_and_said(case: Path, small: Path, tail: bytes) -> None:
    case.write_bytes(GOOD.encode() + tail)
    status, out, err = play("diagnose", case, "--book", small, "--json")
    assert (status, err.count("\n"), '"check": "pads"' in out) == (1, 1, True)
    assert "torn, as by a power cut" in err
    assert case.read_bytes() == GOOD.encode() + tail
    status, _, err = bench(case, small, ["", "bore-float: 0.9 mm", "done"])
    assert (status, err.count("\n"), "is cut off; the rest is whole" in err) == (0, 1, True)
    assert case.read_text("utf-8").startswith(GOOD + "  - {check: bore-float, answer: ")
    assert play("diagnose", case, "--book", small)[2] == ""


@pytest.mark.parametrize("left", [b"", b"\0" * 4096])
def test_10_an_empty_file_of_a_killed_start_is_a_new_case(small: Path, left: bytes) -> None:
    path = small.parent / "a.yaml"
    path.write_bytes(left)
    words = ("bench", path, "--book", small, *FAMILY)
    assert play(*words, steps=[*PADS, "done"])[0] == 1
    assert path.read_text("utf-8").count("check:") == 1


def test_10_a_session_that_ends_at_once_leaves_a_file_filled_in_by_hand(small: Path) -> None:
    path = small.parent / "a.yaml"
    path.write_text("case: a\ncustomer: Bo\nunit: {family: {drive: chain}}\nfindings:\n", "utf-8")
    assert bench(path, small, [])[0] == 2
    assert "customer: Bo" in path.read_text("utf-8")


def test_10_nothing_is_written_that_would_not_be_read_again(case: Path) -> None:
    line = f"  - {{check: pads, answer: burnt, note: {'x' * 900_000}}}\n"
    with CaseWriter(case) as writer:
        for _ in range(4):
            writer.append(line)
        with pytest.raises(CaseError, match="larger than 4 MB, the most that is read; this answer"):
            writer.append(line)
        writer.append("  - {removed: cover}\n")
    assert len(read_case(case).findings) == 6


def test_10_without_locks_it_is_said_and_the_session_goes_on(
    case: Path, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")

    def none(*_: object) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(fcntl, "flock", none)

    def second() -> None:
        assert bench(case, small, ["", "bore-float: 0.7 mm", "done"])[0] in (0, 1)

    status, _, err = bench(case, small, ["", second, "bore-float: 0.9 mm", "done"])
    assert err.splitlines()[0].endswith(
        "this file system has no locks: see to it that nobody else has the case open"
    )
    assert (status, "is open in another session" in err) == (2, False)
    text = case.read_text("utf-8")
    assert text.index("0.7 mm") < text.index("0.9 mm")


@pytest.mark.parametrize("place", ["no-such/a.yaml", "a.json"])
def test_1_a_bad_place_for_the_call_is_noticed_before_the_caller_is_asked(
    tmp_path: Path, small: Path, place: str
) -> None:
    status, out, err = play("call", tmp_path / place, "--book", small, steps=["it jumps"])
    assert (status, out, faults_of(status, err)) == (2, "", [])


@pytest.mark.parametrize("name", ["bench", "hoist", "call"])
def test_1_an_earlier_case_that_is_none_is_noticed_before_a_case_is_begun(
    tmp_path: Path, small: Path, name: str
) -> None:
    case = tmp_path / "new.yaml"
    words = (name, case, "--book", small, *FAMILY, "--earlier", small)
    status, out, err = play(*words, steps=["it jumps", "", "done"])
    assert (status, out, faults_of(status, err)) == (2, "", [])
    assert not case.exists()


# Disks, rights and other people -----------------------------------------------------------------

AS_NOBODY = """
import os, sys
from pathlib import Path
from attack.seats import FAMILY, bench, play

small, warm, *cases = map(Path, sys.argv[1:])
bench(warm, small, ["", "", "pads: burnt", "done"])  # so that all is imported
warm.unlink()
os.setgroups([]); os.setgid(65534); os.setuid(65534)
for case in cases:
    status, _, err = play("bench", case, "--book", small, *FAMILY, steps=["", "", "pads: burnt"])
    print(status, err, end="")
"""
"""Sits at the bench as nobody, over one case after the other."""


@pytest.fixture
def open_house() -> Iterator[Path]:
    """A folder that everybody may look into."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


@pytest.mark.skipif(os.geteuid() != 0, reason="only the machine's owner can be somebody else")
@pytest.mark.parametrize(("mode", "reason"), [(0o600, "read"), (0o644, "written")])
def test_the_file_of_another_user(open_house: Path, mode: int, reason: str) -> None:
    small, case, new = write_book(open_house / "small"), open_house / "a.yaml", open_house / "b"
    case.write_text(GOOD, "utf-8")
    case.chmod(mode)
    words: list[str | Path] = [
        sys.executable,
        "-c",
        AS_NOBODY,
        small,
        open_house / "warm.yaml",
        case,
        new,
    ]
    env = environment(HEADWATER_CACHE="off")
    env["PYTHONPATH"] += f":{Path(__file__).parent.parent}"
    found = subprocess.run(
        words, capture_output=True, text=True, env=env, timeout=60, check=True, cwd=open_house
    )
    met, made = found.stdout.splitlines()
    assert met.startswith(f"2 headwater: {case}: cannot be {reason} (permission denied)")
    assert made.startswith(f"2 headwater: {new}: cannot be written (permission denied)")
    assert case.read_text("utf-8") == GOOD
    assert sorted(one.name for one in open_house.iterdir()) == ["a.yaml", "small"]


@pytest.fixture
def heeding_ctrl_c() -> Iterator[None]:
    """Heed Ctrl-C as at a terminal: a run in the background has inherited that it is ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("heeding_ctrl_c")
def test_ctrl_c_while_an_answer_is_written_leaves_whole_findings(
    case: Path, small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def broken_off(handle: int, data: bytes) -> int:
        monkeypatch.undo()
        write(handle, bytes(data)[:9])
        signal.raise_signal(signal.SIGINT)
        return 9

    def tear() -> None:
        monkeypatch.setattr(os, "write", broken_off)

    status, _, err = bench(case, small, ["", tear, "bore-float: 0.9 mm", "done"])
    assert (status, faults_of(status, err)) == (2, [])
    assert "all answers are saved in" in err
    assert case.read_text("utf-8") == GOOD
