"""Whatever is wrong with the input: one clear line, status 2, no traceback, nothing lost."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
from pathlib import Path

import pytest
from process import command, environment, say, session, wait_for
from process import run as run_process
from sessions import raw_findings
from small_book import change, write_book

from headwater.case.read import read_case
from headwater.cli.main import Terminal, make_parser, run

HEAD = "case: a\nunit: {family: {drive: chain}}\n"
PADS = "  - {check: pads, answer: burnt}\n"
GOOD = HEAD + "findings:\n" + PADS
BOMB = "a: &a [x, x, x]\nb: &b [*a, *a, *a]\nc: &c [*b, *b, *b]\ncase: [*c, *c, *c]\n"
CASE_COMMANDS = ("diagnose", "plan", "bench")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


def answer(*words: str | Path, typed: str = "") -> tuple[int, str, str]:
    """Run a command in this process and return status, output and errors."""
    out, err = io.StringIO(), io.StringIO()
    status = run([str(w) for w in words], Terminal(out, err, io.StringIO(typed), width=80))
    return status, out.getvalue(), err.getvalue()


def the_line(status: int, err: str) -> str:
    """Return the one line of a refusal, having checked that it is one."""
    assert status == 2, err
    assert err.startswith("headwater: ")
    assert err.endswith("\n")
    assert len(err.splitlines()) == 1, err
    assert "Traceback" not in err
    return err.removeprefix("headwater: ").rstrip("\n")


def refused(*words: str | Path, typed: str = "") -> str:
    """Return the one line with which a command is refused."""
    status, _, err = answer(*words, typed=typed)
    return the_line(status, err)


BAD_CASES = {
    "malformed": ("case: [a\n", "a.yaml:2:1: not readable as YAML"),
    "tab": ("case: a\nunit:\n\tfamily: {}\n", "a.yaml:3:1: not readable as YAML"),
    "empty": ("", "a.yaml:1:1: is no case: it must start with 'case: NAME'"),
    "a list": ("- a\n", "a.yaml:1:1: is no case"),
    "key twice": ("case: a\ncase: b\n", "a.yaml:2:1: 'case' stands here a second time"),
    "alias bomb": (BOMB, "a.yaml:1:4: anchors and aliases"),
    "python tag": ("case: !!python/object/apply:os.system [id]\n", "a.yaml:1:7: tags are not used"),
    "documents": ("case: a\n---\ncase: b\n", "a.yaml:2:1: holds several documents"),
    "deep": ("case: " + "[" * 50_000, "a.yaml:1:1006: is nested more than 24 deep"),
    "unknown key": ("case: a\nfindngs: []\n", "a.yaml:2:1: a case has no 'findngs'; did you mean"),
    "unknown check": (
        GOOD + "  - {check: bore-flot, answer: 1 mm}\n",
        "a.yaml:5:13: there is no check 'bore-flot'; did you mean 'bore-float'?",
    ),
    "unlike any check": (
        GOOD + "  - {check: qqqqqq, answer: x}\n",
        "a.yaml:5:13: there is no check 'qqqqqq'",
    ),
    "unknown answer": (
        HEAD + "findings:\n  - {check: pads, answer: brunt}\n",
        "a.yaml:4:13: pads: 'brunt' is not one of burnt, sound",
    ),
    "no unit": (
        GOOD + "  - {check: bore-float, answer: 0.9}\n",
        "a.yaml:5:13: bore-float: '0.9': the unit is missing",
    ),
    "another unit": (
        GOOD + "  - {check: bore-float, answer: 9 °C}\n",
        "a.yaml:5:13: bore-float: '9",
    ),
    "wrong type": ("case: a\nunit: yes\n", "a.yaml:2:7: expected the lines of a unit here"),
    "number for text": ("case: 7\n", "a.yaml:1:7: this must be text; put it in quotes"),
    "a control sign": ("case: a\x07\n", "a.yaml:1:1: not readable as YAML"),
}


BAD_FOR = [(kind, name) for kind in BAD_CASES for name in CASE_COMMANDS]
BAD_FOR.remove(("empty", "bench"))  # there it is a case to be begun


@pytest.mark.parametrize(("kind", "name"), BAD_FOR)
def test_a_bad_case_file(small: Path, tmp_path: Path, name: str, kind: str) -> None:
    text, says = BAD_CASES[kind]
    path = tmp_path / "a.yaml"
    path.write_text(text, encoding="utf-8")
    line = refused(name, path, "--book", small)
    assert line.startswith(f"{path.parent}/{says}"), line
    assert path.read_text(encoding="utf-8") == text


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_file_that_is_not_utf_8(small: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes("case: a\ncomplaint: Geräusch\n".encode("latin-1"))
    assert (
        refused(name, path, "--book", small) == f"{path}:2:1: is not UTF-8 text; save it as UTF-8"
    )


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_file_of_60_megabytes(small: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "a.yaml"
    with path.open("wb") as file:
        file.truncate(60_000_000)
    assert refused(name, path, "--book", small) == f"{path}: is larger than 4 MB; split it"
    assert path.stat().st_size == 60_000_000


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_folder_for_a_file(small: Path, tmp_path: Path, name: str) -> None:
    assert str(tmp_path) in refused(name, tmp_path, "--book", small)


@pytest.mark.parametrize("name", ["diagnose", "plan", "options"])
def test_a_file_that_is_not_there(small: Path, tmp_path: Path, name: str) -> None:
    path = tmp_path / "none.yaml"
    assert refused(name, path, "--book", small) == f"{path}: no such file; check the name"
    assert not path.exists()


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_name_that_no_file_can_have(small: Path, tmp_path: Path, name: str) -> None:
    assert "file name too long" in refused(name, tmp_path / ("n" * 300), "--book", small)


@pytest.mark.parametrize("name", CASE_COMMANDS)
def test_a_file_that_may_not_be_read(
    small: Path, tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(GOOD)
    opened = os.open

    def shut(path: Path, *args: int, **more: int) -> int:
        if path == tmp_path / "a.yaml":
            raise PermissionError(13, "Permission denied", str(path))
        return opened(path, *args, **more)

    monkeypatch.setattr(os, "open", shut)
    line = refused(name, path, "--book", small)
    mend = "see to its name, and to who may read it"
    assert line == f"{path}: cannot be read (permission denied); {mend}"


# The book ---------------------------------------------------------------------------------------


def test_a_book_with_a_fault_names_file_line_and_the_number_of_others(
    small: Path, tmp_path: Path
) -> None:
    change(small, "checks.yaml", "minutes: 2", "minutes: two")
    change(small, "words.yaml", "title: front bore", "titel: front bore")
    line = refused("trace", "bore-worn", "--book", small)
    assert line.startswith(f"{small}/checks.yaml:5:14: a number is expected here (and ")
    assert line.endswith("more: run 'headwater book check')")
    assert "holds no pack.yaml" in refused("trace", "bore-worn", "--book", tmp_path)
    assert "holds no pack.yaml" in refused("trace", "x", "--book", small, "--shop", tmp_path / "no")


@pytest.mark.parametrize(
    ("path", "says"),
    [("none", "no such folder"), ("pack.yaml", "is a file; name the pack's folder")],
)
def test_book_check_of_what_is_no_folder(small: Path, path: str, says: str) -> None:
    assert refused("book", "check", small / path) == f"{small / path}: {says}"


def test_a_shop_pack_of_nonsense_is_never_a_traceback(small: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text('pack: shop\nversion: "1"\ntitle: ours\n')
    (shop / "a.yaml").write_text(
        "checks:\n  pads:\n    ask: x\n    seats: [bench]\n    minutes: 1\n    after: [roof]\n"
        "    reading: {limit: none}\n    answers: {a: {shows: {ghost: weak}}}\n"
    )
    case = tmp_path / "a.yaml"
    case.write_text(GOOD)
    line = refused("diagnose", case, "--book", small, "--shop", shop)
    assert line.startswith(f"{shop}/a.yaml:6:13: there is no removal 'roof' (and 2 more")


def test_schemas_need_a_folder(tmp_path: Path) -> None:
    assert "no such folder; make it first" in refused("book", "schema", tmp_path / "none")
    assert "cannot be written (" in refused("book", "schema", Path("/proc"))


def test_words_that_fit_nothing(small: Path) -> None:
    assert refused("trace", "qqqqqq", "--book", small) == (
        "there is no condition 'qqqqqq'; try other words for it"
    )
    line = refused("book", "show", "bore-flota", "--book", small)
    assert line == "the book has no 'bore-flota'; did you mean 'bore-float'?"


def test_an_old_name_of_a_check_is_no_condition(small: Path) -> None:
    change(small, "checks.yaml", "    ask: How do", "    replaces: [qqq]\n    ask: How do")
    assert refused("trace", "qqq", "--book", small).startswith("there is no condition 'qqq'")


# The command line -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("benhc a.yaml", "there is no command 'benhc'; did you mean 'bench'?"),
        ("qqqq", "there is no command 'qqqq'; it is one of "),
        ("book chek", "there is no action 'chek'; did you mean 'check'?"),
        ("book graph --form svg", "there is no value 'svg'; it is one of mermaid, dot"),
        ("diagnose a.yaml --jsn", "'--jsn' is not understood here; did you mean '--json'?"),
        ("diagnose a.yaml --js", "'--js' is not understood here; did you mean '--json'?"),
        (
            "diagnose a.yaml b.yaml",
            "'b.yaml' is not understood here; see 'headwater diagnose --help'",
        ),
        ("--qqqq", "the following arguments are required: COMMAND; see 'headwater --help'"),
        ("diagnose", "the following arguments are required: CASE; see 'headwater diagnose --help'"),
        (
            "diagnose a.yaml --book",
            "argument --book: expected one argument; see 'headwater diagnose",
        ),
        ("work ring-fitt x=1", ""),
        ("work qqqq", ""),
    ],
)
def test_a_command_line_that_is_not_understood(words: str, says: str) -> None:
    assert refused(*words.split()).startswith(says)


@pytest.mark.parametrize("family", ["drive", "drive=belt", "dive=gear"])
def test_a_family_that_there_is_not(small: Path, tmp_path: Path, family: str) -> None:
    line = refused("bench", tmp_path / "a.yaml", "--book", small, "--family", family)
    assert line.startswith("--family: ")
    assert not (tmp_path / "a.yaml").exists()


# In mid session ---------------------------------------------------------------------------------


def given_in(path: Path) -> list[str]:
    """Return the checks answered in a file."""
    return [check for check, _, _ in raw_findings(read_case(path))]


def test_the_input_ends_in_mid_session(small: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    new = ("bench", path, "--book", small, "--family", "drive=chain")
    line = refused(*new, typed="\n\npads: burnt\n")
    assert line == (
        f"the input ended; all answers are saved in {path}; go on with 'headwater bench {path}'"
    )
    assert given_in(path) == ["pads"]
    status, out, err = answer("bench", path, "--book", small, typed="bore-float: 0.9 mm\ndone\n")
    assert (status, err) == (0, "")
    assert "proven: front bore worn" in out


def test_the_input_ends_before_anything_was_answered(small: Path, tmp_path: Path) -> None:
    line = refused("bench", tmp_path / "a.yaml", "--book", small)
    assert line == "the input ended; nothing was answered yet"


@pytest.mark.parametrize(
    "typed",
    ["²", "٣", "99999999999999999999", "-1", "0", "\x00", "\x1b[A", "🔩", "a" * 5000, "'\"\\"],
)
def test_nonsense_typed_at_a_question_costs_one_line_and_no_answer(
    small: Path, tmp_path: Path, typed: str
) -> None:
    path = tmp_path / "a.yaml"
    new = ("bench", path, "--book", small, "--family", "drive=chain")
    line = refused(*new, typed=f"\npads: {typed}\n{typed}\nfind {typed}\n")
    assert line.startswith("the input ended; ")
    assert not path.exists() or given_in(path) == []


def test_a_file_of_answers_that_cannot_be_used(small: Path, tmp_path: Path) -> None:
    path, answers = tmp_path / "a.yaml", tmp_path / "answers.txt"
    words = ("bench", path, "--book", small, "--family", "drive=chain", "--answers", answers)
    assert refused(*words) == f"{answers}: no such file; check the name"
    answers.write_bytes(b"caf\xe9\n")
    assert refused(*words) == f"{answers}:1:1: is not UTF-8 text; save it as UTF-8"
    answers.unlink()
    answers.mkdir()
    assert refused(*words) == f"{answers}: is a folder; name the file in it"
    assert not path.exists()


def test_ctrl_c_in_mid_session_says_what_is_saved(small: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    process = session("bench", path, "--book", small, "--family", "drive=chain")
    try:
        say(process, "")  # no earlier work
        say(process, "")
        say(process, "pads: burnt")
        say(process, "pads: burnt")  # when the second stands there, the first is acknowledged
        wait_for(lambda: path.exists() and path.read_text().count("check: pads") == 2)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=30)
    finally:
        process.kill()
    assert process.returncode == 2
    assert the_line(2, err).startswith(f"stopped; all answers are saved in {path}; go on with ")
    assert given_in(path)[:1] == ["pads"]


def test_input_that_is_not_text(small: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    words = command("bench", path, "--book", small, "--family", "drive=chain")
    found = subprocess.run(
        words,
        input=b"\n\npads: burnt\nbore-float: \xff\xfe\n",
        capture_output=True,
        env=environment(PYTHONUTF8="1"),
        timeout=60,
        check=False,
    )
    line = the_line(found.returncode, found.stderr.decode())
    assert "all answers are saved in" in line or "nothing was answered yet" in line


def test_a_closed_input(small: Path, tmp_path: Path) -> None:
    words = command("bench", tmp_path / "a.yaml", "--book", small)
    found = subprocess.run(
        ["sh", "-c", 'exec "$@" <&-', "sh", *words],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=60,
        check=False,
    )
    assert the_line(found.returncode, found.stderr).startswith("the input ended; ")


# Disks and pipes --------------------------------------------------------------------------------


SMALL_DISK = """
import os, resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]),) * 2)
os.execv(sys.executable, [sys.executable, *sys.argv[2:]])
"""
"""Starts a program that can write no file longer than so many bytes."""


def test_a_disk_that_fills_up_while_saving_loses_no_answer(small: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    answer("bench", path, "--book", small, "--family", "drive=chain", typed="\ndone\n")
    room = path.stat().st_size + 100  # enough for the first answer, not for the second
    typed = "pads: burnt\nbore-float: 0.9 mm\n"
    python, *rest = command("bench", path, "--book", small)
    found = subprocess.run(
        [python, "-c", SMALL_DISK, str(room), *rest],
        input="\n" + typed,
        capture_output=True,
        text=True,
        env=environment(PYTHONDONTWRITEBYTECODE="1"),
        timeout=60,
        check=False,
    )
    line = the_line(found.returncode, found.stderr)
    mend = "this is not saved, all before it is"
    assert line == f"{path}: cannot be written (file too large); {mend}"
    assert given_in(path) == ["pads"]
    assert path.read_bytes().endswith(b"}\n")


def test_a_read_only_place(small: Path) -> None:
    line = refused("bench", "/proc/a.yaml", "--book", small, "--family", "drive=chain")
    assert line.startswith("/proc/a.yaml: cannot be written (")


def test_a_folder_that_may_not_be_written(
    small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = os.open

    def shut(path: object, flags: int, *args: int) -> int:
        if flags & os.O_CREAT or flags & os.O_RDWR:
            raise PermissionError(13, "Permission denied")
        return opened(path, flags, *args)  # type: ignore[arg-type]

    path, kept = tmp_path / "new.yaml", tmp_path / "a.yaml"
    kept.write_text(GOOD)
    monkeypatch.setattr(os, "open", shut)
    new = refused("bench", path, "--book", small, "--family", "drive=chain")
    assert new == f"{path}: cannot be written (permission denied); choose another place"
    line = refused("bench", kept, "--book", small)
    mend = "see to who may write it, or go on in a copy"
    assert line == f"{kept}: cannot be written (permission denied); {mend}"
    assert kept.read_text() == GOOD


@pytest.mark.parametrize("name", ["diagnose", "book"])
def test_a_reader_that_leaves_is_no_fault(small: Path, tmp_path: Path, name: str) -> None:
    case = tmp_path / "a.yaml"
    case.write_text(GOOD)
    words = {"diagnose": ("diagnose", case, "--json"), "book": ("book", "graph")}[name]
    found = subprocess.run(
        ["bash", "-c", '"$@" | head -1; echo "${PIPESTATUS[0]}"', "sh",
         *command(*words, "--book", small)],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=60,
        check=False,
    )  # fmt: skip
    assert found.stderr == ""
    assert found.stdout.splitlines()[-1] in ("0", "1")
    shut = subprocess.run(
        ["bash", "-c", '"$@" | true; echo "${PIPESTATUS[0]}"', "sh",
         *command(*words, "--book", small)],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=60,
        check=False,
    )  # fmt: skip
    assert shut.stderr == ""


def test_a_table_of_what_has_none_is_refused(small: Path, tmp_path: Path) -> None:
    case = tmp_path / "a.yaml"
    case.write_text(GOOD)
    words = ("diagnose", case, "--book", small, "--why", "pads-burnt", "--csv")
    assert refused(*words) == "there is no table of this; leave '--csv' out"
    assert "not allowed with" in refused("plan", case, "--book", small, "--csv", "--json")


ALL_AT_ONCE = {
    "case": (
        "case: a\nfindngs: 1\nfindings:\n  - {chek: pads, answer: burnt}\n",
        ["a.yaml:2:1: a case has no 'findngs'", "a.yaml:4:6: an entry has no 'chek'"],
    ),
    "findings": (
        "case: a\nfindings:\n  - {check: padz, answer: burnt}\n  - {check: pads, answer: purple}\n",
        ["a.yaml:3:13: there is no check 'padz'", "a.yaml:4:13: pads: 'purple' is not one of"],
    ),
}


@pytest.mark.parametrize("name", ALL_AT_ONCE)
def test_all_faults_of_a_case_are_told_at_once(name: str, small: Path, tmp_path: Path) -> None:
    """Each on a line of its own, in the order in which they stand."""
    text, told = ALL_AT_ONCE[name]
    case = tmp_path / "a.yaml"
    case.write_text(text)
    status, _, err = answer("diagnose", case, "--book", small)
    assert status == 2
    lines = err.splitlines()
    assert len(lines) == len(told)
    for line, start in zip(lines, told, strict=True):
        assert line.removeprefix(f"headwater: {tmp_path}/").startswith(start)


@pytest.mark.parametrize("answer_", ["0,9 mm", "'0,9 mm'", "0.9 mm"])
def test_a_decimal_comma_is_read_within_braces_too(
    answer_: str, small: Path, tmp_path: Path
) -> None:
    """YAML takes the comma for the end of an entry; a person does not mean that."""
    case = tmp_path / "a.yaml"
    case.write_text(f"case: a\nfindings:\n  - {{check: bore-float, answer: {answer_}, note: x}}\n")
    _, out, err = answer("diagnose", case, "--book", small, "--json")
    assert err == ""
    (row,) = json.loads(out)["findings"]
    assert row["note"] == "x"
    assert row["words"].replace(",", ".").startswith("0.9 mm")


@pytest.mark.parametrize("words", [("diagnose", "CASE", "--book", "BOOK"), ("--help",)])
def test_output_that_nobody_can_take(small: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    case = tmp_path / "a.yaml"
    case.write_text(GOOD)
    named = {"CASE": case, "BOOK": small}
    with Path("/dev/full").open("w") as full:
        found = subprocess.run(
            command(*(named.get(word, word) for word in words)),
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(),
            timeout=60,
            check=False,
        )
    line = the_line(found.returncode, found.stderr)
    assert line == "the output: cannot be used (no space left on device)"


def test_a_file_name_with_a_new_line_stays_one_line(small: Path, tmp_path: Path) -> None:
    assert "no such file" in refused("diagnose", tmp_path / "a\nb.yaml", "--book", small)


def test_the_program_itself_as_a_shop_runs_it(small: Path, tmp_path: Path) -> None:
    found = run_process("diagnose", tmp_path / "none.yaml", "--book", small)
    assert the_line(found.returncode, found.stderr).endswith("no such file; check the name")
    assert found.stdout == ""


def test_a_fault_of_the_program_is_one_line_and_its_details_are_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: object) -> None:
        raise KeyError("a fault of the program")

    monkeypatch.setattr("headwater.cli.case.book_of", broken)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    status, out, err = answer("demo", "--json")
    assert status == 3
    (file,) = tmp_path.iterdir()
    assert err == (
        "headwater: this is a fault of Headwater, not yours (KeyError); "
        f"the details are in {file}\n"
    )
    assert json.loads(out)["status"] == 3
    assert "in broken" in file.read_text()
    assert make_parser("demo") is not None
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "none"))
    assert answer("demo")[2].endswith("its details could not be written\n")


@pytest.mark.parametrize("seat", ["bench", "hoist", "call"])
def test_a_case_in_no_folder_is_refused_before_the_first_question(
    small: Path, tmp_path: Path, seat: str
) -> None:
    path = tmp_path / "none" / "a.yaml"
    told = refused(seat, path, "--book", small)
    assert told == f"{path}: there is no such folder; make it, or choose another"
