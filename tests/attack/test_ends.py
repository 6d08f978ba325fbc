"""What an attack once found about how commands end, each finding under its own name.

Threads, exit statuses, signs that a terminal obeys, tracebacks, work without a bound: but for the
bounds, whose times are generous, each is met as a person meets it.
"""

from __future__ import annotations

import ast
import io
import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

import pytest
from attack.ending import failures_of, obeyed, wrong_end, wrong_json, wrong_text
from attack.poisoned import FROZEN, everything, faults_in, poisoned_book, poisoned_case
from attack.seats import FAMILY, play
from process import environment
from render.hostile import HOSTILE
from sessions import as_session, contract, replay
from small_book import write_book
from strategies import answer_of, condition, look, make_book, often

import headwater
from headwater.book.chances import Often
from headwater.book.load import load_book
from headwater.cli.main import Terminal, run
from headwater.errors import HeadwaterError
from headwater.measure.registry import run_work
from headwater.outputs import OUTPUTS
from headwater.verdict.assess import build_reasoner
from headwater.verdict.reach import Stand

GOOD = "case: a\nunit: {family: {drive: chain}}\nfindings:\n  - {check: pads, answer: burnt}\n"
SETTLED = f"{GOOD}  - {{check: bore-float, answer: 0.9 mm}}\n"
SOURCE = Path(headwater.__file__).parent


@pytest.fixture
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "held.yaml").write_text(GOOD)
    (tmp_path / "settled.yaml").write_text(SETTLED)
    return write_book(tmp_path / "small")


def ended(*words: str | Path, typed: str = "") -> tuple[int, str, str]:
    """Run a command in this process; return status, output and messages."""
    out, err = io.StringIO(), io.StringIO()
    status = run([str(w) for w in words], Terminal(out, err, io.StringIO(typed), width=80))
    return status, out.getvalue(), err.getvalue()


def in_a_shell(script: str, *words: str | Path, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the program as `"$@"` within a script of bash."""
    return subprocess.run(
        ["bash", "-c", script, "sh", sys.executable, "-m", "headwater", *map(str, words)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env=environment(**more),
    )


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Fail where the processor works longer on something; others use the machine as well."""
    begun = time.process_time()
    yield
    assert time.process_time() - begun < seconds


# 3. Released by declining to look ---------------------------------------------------------------
# The five findings named, on the shipped book: `tests/proof/test_refused.py`. Here by the command.


@pytest.mark.parametrize("word", ["x", "?"])
def test_no_part_comes_loose_by_refusing_whatever_is_asked(small: Path, word: str) -> None:
    case = small.parent / "refused.yaml"
    steps = ["", "", "pads: burnt", *[word] * 40, "done"]
    status, out, err = play("bench", case, "--book", small, *FAMILY, steps=steps)
    assert (status, err) == (1, "")
    assert out.count(f"> {word}\n") >= 3, "something was asked, and refused"
    _, told, _ = play("diagnose", case, "--book", small, "--json")
    parts = json.loads(told)["parts"]
    assert parts
    assert not [part for part in parts if part["disposition"] == "released" or part["action"]]


# 4. Threads -------------------------------------------------------------------------------------
# Verdicts are compared by the attack with 16 threads; the first import in `tests/rules`.


def test_nothing_redirects_the_streams_of_the_process() -> None:
    for path in SOURCE.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "redirect_std" not in text, path
        assert not [w for w in ("sys.stdout =", "sys.stderr =", "sys.stdin =") if w in text], path


def test_a_verdict_prints_nothing_by_itself(capfd: pytest.CaptureFixture[str]) -> None:
    books = ("--book", FROZEN / "looks", "--book", FROZEN / "winch")
    status, out, _ = ended("diagnose", FROZEN / "cases" / "bore.yaml", *books)
    assert (status, bool(out)) == (0, True)
    assert tuple(capfd.readouterr()) == ("", "")


# 5. Exit status ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("case", "status"), [("settled", 0), ("held", 1), ("none", 2)])
@pytest.mark.parametrize("end", ["| true", ">&-", ">&- 2>&-"])
def test_the_status_is_right_whoever_listens(small: Path, case: str, status: int, end: str) -> None:
    script = f'"$@" {end}; echo "${{PIPESTATUS[0]}}" >status'
    found = in_a_shell(script, "diagnose", f"{case}.yaml", "--book", small, "--json")
    assert Path("status").read_text() == f"{status}\n"
    assert "Traceback" not in found.stderr


def test_a_folder_of_cases_that_is_not_there_is_refused(small: Path) -> None:
    assert ended("book", "diff", small, small, "--cases", "missing")[0] == 2


# 6. Signs that a terminal obeys -----------------------------------------------------------------

SHOWING = ("book show pads-burnt", "diagnose held.yaml", "trace pads-burnt", "plan held.yaml")
NASTY = r"a\e]0;X\a\e[2J\u202e\x85b"
RAW = "a\x1b]0;X\x07\x1b[2J\u202e\x85b"


@pytest.mark.parametrize("command", ["diagnose", "plan", "options", "bench", "call", "hoist"])
@pytest.mark.parametrize("key", ["case: a", "check: pads", "answer: burnt", "chain}"])
def test_no_sign_of_a_case_reaches_the_terminal(small: Path, command: str, key: str) -> None:
    head, _, _ = key.partition(" ")
    text = GOOD.replace(key, f'{head} "{NASTY}"' if " " in key else f'"{NASTY}"}}')
    Path("a.yaml").write_text(text)
    assert failures_of([command, "a.yaml", "--book", str(small)], "\n\ndone\n") == []


@pytest.mark.parametrize(
    "words",
    [
        [RAW],
        ["diagnose", RAW],
        ["diagnose", f"--{RAW}"],
        ["trace", RAW],
        ["book", "show", RAW],
        ["book", "graph", "--around", RAW],
        ["work", RAW],
        ["hear", RAW],
        ["diagnose", "held.yaml", "--book", RAW],
        ["diagnose", "held.yaml", "--why", RAW],
        ["audit", "held.yaml", "--parts", RAW],
        ["bench", "b.yaml", "--family", RAW],
    ],
)
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_no_word_of_the_command_line_reaches_it(
    small: Path, words: list[str], form: list[str]
) -> None:
    own = [] if "--book" in words or words[0] == "work" else ["--book", str(small)]
    status, out, err = ended(*words, *own, *form)
    assert obeyed(out) | obeyed(err) == set()
    assert list(wrong_end(status, err)) == []


def test_no_line_that_is_typed_reaches_it(small: Path) -> None:
    _, out, err = ended("bench", "b.yaml", "--book", small, typed=f"\n\nfind {RAW}\n{RAW}\ndone\n")
    assert obeyed(out) | obeyed(err) == set()


def test_no_title_of_a_pack_reaches_it(small: Path) -> None:
    words = small / "conditions.yaml"
    words.write_text(words.read_text().replace("title: pads burnt", f'title: "{NASTY}"'))
    for command in SHOWING:
        assert failures_of([*command.split(), "--book", str(small)]) == []
        assert failures_of([*command.split(), "--book", str(small), "--json"]) == []
    for form in ("mermaid", "dot"):
        assert failures_of(["book", "graph", "--form", form, "--book", str(small)]) == []


def test_every_output_of_a_poisoned_book_and_case_is_clean() -> None:
    """Walks the table: an output that is added is attacked here without being named."""
    bad = " ".join((HOSTILE[0], HOSTILE[1], HOSTILE[9], RAW, "= 1"))
    session = replay(poisoned_book(bad), poisoned_case("bore", bad))
    seen, shown = set(), 0
    for name, form, text in everything(session, bad, 1):
        seen.add(name)
        shown += "\ufffd" in text or "\\u202e" in text
        assert list(faults_in(form, text)) == [], (name, form)
    assert seen >= {output.name for output in OUTPUTS}
    assert shown > 50, "else the poison did not get where it was to"


def test_the_judge_sees_what_a_terminal_obeys() -> None:
    assert list(wrong_text("x", "a\x9bb")) == ["x holds ['\\x9b']"]
    assert list(faults_in("csv", "a,b\r\n=1,2\r\n")) == ["a formula: '=1'"]
    assert list(faults_in("json", '{"a": Infinity}')) == ["no JSON (holds Infinity)"]
    assert list(faults_in("html", "<p><script>alert(1)</p>")) == ["holds <script>alert"]
    assert list(wrong_end(3, "headwater: x"))
    assert list(wrong_end(2, "x" * 301))


def test_one_function_stands_before_every_terminal() -> None:
    """Only two modules write to a stream, and both clean what they write."""
    doors = {"console.py", "main.py", "streams.py"}
    for path in (SOURCE / "cli").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = node.func if isinstance(node, ast.Call) else None
            prints = isinstance(called, ast.Name) and called.id == "print"
            writes = isinstance(called, ast.Attribute) and called.attr in ("write", "writelines")
            to = ast.unparse(called.value) if writes and isinstance(called, ast.Attribute) else ""
            past = prints or (writes and to.split(".")[-1] in ("out", "err", "file", "stdout"))
            assert not past or path.name in doors, f"{path.name}:{getattr(node, 'lineno', 0)}"


# 8. Tracebacks ----------------------------------------------------------------------------------


def test_an_empty_name_of_a_check(small: Path) -> None:
    Path("a.yaml").write_text('case: a\nfindings: [{check: "", removed: x}]\n')
    assert failures_of(["diagnose", "a.yaml", "--book", str(small)]) == []


@pytest.mark.parametrize("digits", ["9" * 5000, "٣" * 5000, "²"])
def test_many_digits_at_a_numbered_prompt(small: Path, digits: str) -> None:
    typed = f"\n{digits}\n\npads: {digits}\n{digits}\nfind {digits}\ndone\n"
    for seat in ("bench", "hoist", "call"):
        assert failures_of([seat, f"{seat}.yaml", "--book", str(small)], typed) == []


TEETH = {"smaller-teeth": "35", "larger-teeth": "35"}


@pytest.mark.parametrize(
    ("work", "given"),
    [
        ("chain-centres", {**TEETH, "pitches": "1e300", "pitch": "1 mm"}),
        ("chain-length", {**TEETH, "centres": "1 m", "pitch": "0 mm"}),
        ("axial-float", {"pushed": "1e-300 mm", "pulled": "1 ± 1e300 in"}),
        ("axial-float", {"pushed": "5 ± 1e300 in", "pulled": "1e-12 in"}),
        ("planetary-ratio", {"sun": "1e-300", "ring": "1e12"}),
        ("axial-float", {"pushed": "9" * 5000, "pulled": "1 mm"}),
    ],
)
def test_numbers_without_an_end_are_refused(work: str, given: dict[str, str]) -> None:
    with pytest.raises(HeadwaterError) as caught:
        run_work(work, given)
    assert len(str(caught.value)) <= 300


def test_a_loop_of_links_is_refused(small: Path) -> None:
    Path("loop").symlink_to("loop")
    (small / "loop").symlink_to("loop")
    (small / "loop.yaml").symlink_to("loop.yaml")
    for words in ("diagnose loop", "book check loop", "trace x --book loop"):
        status, _, err = ended(*words.split())
        assert (status, list(wrong_end(status, err))) == (2, [])
    assert "too many levels" in ended("diagnose", "held.yaml", "--book", small)[2]


def test_a_pack_file_with_a_name_that_is_no_text(small: Path) -> None:
    (small / "conditions.yaml").rename(os.fsdecode(os.fsencode(small) + b"/c\xff\x1b[2J.yaml"))
    assert failures_of(["diagnose", "held.yaml", "--book", str(small)]) == []
    assert failures_of(["book", "check", str(small), "--json"]) == []
    assert ended("diagnose", "settled.yaml", "--book", small)[0] == 0


@pytest.mark.parametrize("columns", ["0", "²", "-5", "9" * 5000, "1"])
def test_a_terminal_of_any_width(small: Path, columns: str) -> None:
    more = {"COLUMNS": columns, "LINES": columns}
    found = in_a_shell('"$@"', "diagnose", "settled.yaml", "--book", small, **more)
    assert (found.returncode, found.stderr) == (0, "")
    assert in_a_shell('"$@"', "diagnose", "--help", **more).returncode == 0


@pytest.mark.parametrize("coding", ["utf-16", "utf-32", "latin-1"])
def test_an_input_that_is_not_utf_8(small: Path, coding: str) -> None:
    for seat in ("bench", "call"):
        found = subprocess.run(
            [sys.executable, "-m", "headwater", seat, f"{seat}.yaml", "--book", str(small)],
            input="\npads: bürnt\n".encode(coding),
            capture_output=True,
            env=environment(LC_ALL="C"),
            timeout=60,
            check=False,
        )
        message = found.stderr.decode()
        assert (found.returncode, list(wrong_end(2, message))) == (2, [])
        assert message.startswith("headwater: the input is not UTF-8 text; save it as UTF-8; ")


def test_what_always_happens_and_did_not_leaves_something_to_reckon_with() -> None:
    """`often: 1` to sixty effects, all ruled out but one."""
    names = [f"c{i}" for i in range(1, 61)]
    book = make_book(
        [condition("o", part="p", origin=True), *(condition(c, part=f"p-{c}") for c in names)],
        {("o", c): "always" for c in names},
        [look(c) for c in ("o", *names)],
    )
    assert often("always").p < 1.0
    for ends, link in book.links.items():
        object.__setattr__(book.links[ends], "often", Often(1.0, "1"))
        assert link.often.p == 1.0
    reasoner = build_reasoner(book, {})
    for yes in (["c1"], ["c1", "c2"], ["o", "c1"], ["o"]):
        told = [answer_of(book.checks[f"look-{c}"], "yes" if c in yes else "no") for c in names]
        told += [answer_of(book.checks["look-o"], "yes")] if "o" in yes else []
        shown = json.dumps(contract(as_session(reasoner.assess(told, Stand()))))
        assert list(wrong_json(shown)) == []


def test_json_that_was_asked_for_tells_errors_too(small: Path) -> None:
    Path("a.yaml").write_text("case: a\nfindngs: []\n")
    status, out, err = ended("diagnose", "a.yaml", "--book", small, "--json")
    told = json.loads(out)
    assert (status, told["status"]) == (2, 2)
    assert [(f["file"], f["line"], f["column"]) for f in told["faults"]] == [("a.yaml", 2, 1)]
    assert told["faults"][0]["message"] in err
    for words in (["work", "axial-float", "pushed=x"], ["diagnose"], ["diagnose", "--jsno"]):
        assert json.loads(ended(*words, "--json")[1])["faults"]


# 11. Work without a bound -----------------------------------------------------------------------


@pytest.mark.parametrize("loops", [False, True])
def test_4000_links_over_200_conditions(loops: bool) -> None:
    """Two seconds are asked for on a quiet machine; this leaves room for a busy one."""
    dice = Random(4)
    names = [f"c{i}" for i in range(200)]
    pairs = [(a, b) for a in range(200) for b in range(200) if a < b or (loops and a != b)]
    words = ("always", "usually", "sometimes", "rarely")
    book = make_book(
        [condition(c, part=f"p-{c}", origin=c < "c2") for c in names],
        {(names[a], names[b]): dice.choice(words) for a, b in dice.sample(pairs, 4000)},
        [look(c) for c in names],
    )
    reasoner = build_reasoner(book, {})
    with within(6):
        verdict = reasoner.assess([answer_of(book.checks["look-c199"], "yes")], Stand())
        contract(as_session(verdict))
    assert not verdict.posterior.exact
    assert [p for p, d in verdict.decisions.items() if d.released and d.action] == []


def many(text: str, count: int) -> str:
    return "".join(text.format(i) for i in range(count))


def test_4000_unknown_ids_of_a_pack(small: Path) -> None:
    look_at = (
        "  look-{0}:\n    ask: x\n    seats: [bench]\n    minutes: 1\n    answers:\n"
        "      a: {{says: a, shows: {{ghost-{0}: weak}}}}\n"
        "      b: {{says: b, shows: {{other-{0}: weak}}}}\n"
    )
    (small / "many.yaml").write_text(f"checks:\n{many(look_at, 2000)}")
    with within(10):
        assert failures_of(["diagnose", "held.yaml", "--book", str(small)]) == []


STEPS = many("  - {{action: replace, on: part-{0}}}\n", 8_000)
PRICES = many("  part-{0}: 1.0\n", 20_000)
CHECKS = many("  - {{check: pads-{0}, answer: burnt}}\n", 8_000)
PRICED = f"prices: a\ncurrency: E\nlabour: 1.0\nparts:\n{PRICES}"
LONG = {
    "plan": (f"plan: a\nsteps:\n{STEPS}", "audit held.yaml --plan FILE"),
    "prices": (PRICED, "options held.yaml --prices FILE"),
    "checks": (f"case: a\nfindings:\n{CHECKS}", "diagnose FILE"),
    "keys": ("case: a\n" + many("k{0}: 1\n", 60_000), "diagnose FILE"),
    "entries": (f"case: a\nfindings: [{'{a: 1}, ' * 60_000}]\n", "diagnose FILE"),
    "values": (f"case: a\nfindings: [{'{a: 1}, ' * 400_000}]\n", "diagnose FILE"),
}


@pytest.mark.parametrize("name", LONG)
def test_a_file_of_many_faults_is_refused_in_time(small: Path, name: str) -> None:
    text, command = LONG[name]
    Path("long.yaml").write_text(text)
    words = command.replace("FILE", "long.yaml").split()
    with within(12):
        status, _, err = ended(*words, "--book", small)
    assert (status, list(wrong_end(status, err))) == (2, [])
    assert 1 <= len(err.splitlines()) <= 60


def test_json_of_many_keys(small: Path) -> None:
    Path("long.json").write_text('{"case": "a", ' + many('"k{0}": 1, ', 60_000) + '"z": 1}')
    with within(12):
        assert failures_of(["diagnose", "long.json", "--book", str(small)]) == []
    Path("twice.json").write_text('{"case": "a", "case": "b"}')
    assert "'case' stands twice" in ended("diagnose", "twice.json", "--book", small)[2]


@pytest.mark.parametrize("text", ["oil gear burnt wet ", "burnt pads, ", "new ", "x", "٣"])
def test_half_a_megabyte_that_somebody_says(small: Path, text: str) -> None:
    said = text * (500_000 // len(text))
    with within(20):
        ended("bench", "b.yaml", "--book", small, typed=f"\n\nfind {said}\n{said}\ndone\n")
        ended("hear", said[:100_000], "--book", small)


def test_what_is_said_at_length_is_not_thought_to_be_placed(small: Path) -> None:
    status, out, _ = ended("hear", "pads burnt. " * 400 + "it burns!", "--book", small, "--json")
    assert status == 0
    assert "it burns!" in json.dumps(json.loads(out)["unplaced"])


@pytest.mark.parametrize(
    "words", ["diagnose", "trace", "book show", "work", "options held.yaml --parts", "bench --json"]
)
def test_a_long_word_is_not_echoed(small: Path, words: str) -> None:
    books = [] if words == "work" else ["--book", str(small)]
    _, _, err = ended(*words.split(), "q" * 100_000, *books)
    assert 1 < len(err) <= 300


# 13. Minor --------------------------------------------------------------------------------------


def test_a_graph_holds_no_markup(small: Path) -> None:
    words = small / "conditions.yaml"
    bad = r'title: "<script>alert(1)</script>\e[2J"'
    words.write_text(words.read_text().replace("title: pads burnt", bad))
    for form in ("mermaid", "dot"):
        _, out, _ = ended("book", "graph", "--form", form, "--book", small)
        assert obeyed(out) == set()
        assert form == "dot" or "<script>" not in out


def test_a_wish_for_a_part_without_a_finding_says_so() -> None:
    books = ("--book", FROZEN / "looks", "--book", FROZEN / "winch")
    _, out, _ = ended("options", FROZEN / "cases" / "bore.yaml", "--parts", "lip seal", *books)
    assert "nothing was found on it: lip seal" in out


def test_a_book_is_loaded_by_many_threads_at_once(small: Path) -> None:
    found: list[str] = []

    def load() -> None:
        found.append(load_book([small]).digest)

    threads = [threading.Thread(target=load) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 16
    assert len(set(found)) == 1
