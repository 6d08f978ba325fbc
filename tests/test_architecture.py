"""The shape of the code: imports run one way, and each library has one owner."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from headwater.cli.commands import COMMANDS

SOURCE = Path(__file__).resolve().parent.parent / "src" / "headwater"
ROOMS = (
    "errors",
    "files",
    "watched",
    "estimates",
    "unittable",
    "units",
    "yamltext",
    "book",
    "graph",
    "measure",
    "hearing",
    "rules",
    "belief",
    "verdict",
    "case",
    "session",
    "shipped",
    "simulate",
    "author",
    "ledger",
    "caseplace",
    "caseshelf",
    "view",
    "render",
    "drill",
    "outputs",
    "api",
    "web",
    "cli",
    "__main__",
)
"""Each may import those before it, and itself."""

OWNERS = {
    "yaml": ("yamltext",),
    "networkx": ("graph.causal",),
    "experta": ("rules.engine",),
    "rich": ("cli.console",),
    "jinja2": ("render.fill",),
    "markupsafe": ("render.fill",),
    "numpy": ("belief.",),
    "snowballstemmer": ("hearing.stems",),
    "rapidfuzz": ("hearing.spelling",),
    "sqlalchemy": ("ledger.",),
    "scipy": ("ledger.fits",),
    "surpyval": ("ledger.fits",),
    "fsrs": ("drill.recall",),
    "starlette": ("web.",),
    "uvicorn": ("web.server",),
    "argon2": ("web.people",),
    "weasyprint": ("render.pdf",),
    "segno": ("render.code",),
    "PIL": ("case.photograph",),
}
"""Library -> the modules, or the rooms, that alone may import it."""

MODULES = {
    ".".join(path.relative_to(SOURCE).with_suffix("").parts): path
    for path in sorted(SOURCE.rglob("*.py"))
}


@cache
def imports_of(path: Path) -> tuple[tuple[int, str], ...]:
    """Return (line, full name) of every import, wherever in the file it stands."""
    return tuple(_imports(path))


def _imports(path: Path) -> Iterator[tuple[int, str]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: write the full name"
            for alias in node.names:
                yield node.lineno, f"{node.module}.{alias.name}"


def room_of(name: str) -> str:
    """Return the room of a module, named without the package."""
    return name.split(".")[0]


def test_every_room_is_known() -> None:
    assert {room_of(name) for name in MODULES} - {"__init__"} <= set(ROOMS)
    assert len(MODULES) > 50


@pytest.mark.parametrize("name", MODULES)
def test_imports_run_one_way(name: str) -> None:
    if name == "__init__":
        allowed: set[str] = set()
    else:
        allowed = set(ROOMS[: ROOMS.index(room_of(name)) + 1])
    wrong = [
        f"line {line}: {full}"
        for line, full in imports_of(MODULES[name])
        if full.startswith("headwater.")
        and full != "headwater.__version__"
        and room_of(full.removeprefix("headwater.")) not in allowed
    ]
    assert wrong == []


@pytest.mark.parametrize("name", MODULES)
def test_no_module_is_over_400_lines(name: str) -> None:
    assert len(MODULES[name].read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("name", MODULES)
def test_each_library_has_one_owner(name: str) -> None:
    outside = {
        (line, full.split(".")[0])
        for line, full in imports_of(MODULES[name])
        if full.split(".")[0] not in (*sys.stdlib_module_names, "headwater")
    }
    wrong = [
        f"line {line}: {library}"
        for line, library in sorted(outside)
        if not name.startswith(OWNERS.get(library, ()))
    ]
    assert wrong == []


def test_each_owner_still_imports_its_library() -> None:
    for library, owners in OWNERS.items():
        used = [
            name
            for name, path in MODULES.items()
            if any(full.split(".")[0] == library for _, full in imports_of(path))
        ]
        assert used, library
        assert len(used) == 1 or owners[0].endswith("."), (library, used)


@pytest.mark.parametrize("name", MODULES)
def test_only_the_command_line_prints(name: str) -> None:
    if room_of(name) == "cli":
        return
    prints = [
        node.lineno
        for node in ast.walk(ast.parse(MODULES[name].read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ("print", "input")
    ]
    assert prints == []


HEAVY = (
    "networkx", "numpy", "experta", "rich", "yaml", "jinja2", "dataclasses", "headwater.book",
    "snowballstemmer", "rapidfuzz", "sqlalchemy", "scipy", "surpyval", "starlette", "uvicorn",
)  # fmt: skip
"""What is slow to import, `dataclasses` for its `inspect`."""


def imported_by(*words: str) -> set[str]:
    """Return which of the heavy modules a command imports."""
    code = (
        "import os, sys\n"
        "from headwater.cli.main import Terminal, run\n"
        "with open(os.devnull, 'w') as out:\n"
        f"    status = run({list(words)}, Terminal(out, sys.stderr, sys.stdin))\n"
        f"print(status, *[n for n in {HEAVY} if n in sys.modules])"
    )
    found = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(SOURCE.parent)},
        timeout=60,
        check=True,
    )
    status, *names = found.stdout.split()
    assert status == "0", found.stderr
    return set(names)


SHIMS = ("measured=0.9 mm", "least=0.1 mm", "most=0.3 mm")
HELPS = [[], *([name] for name in COMMANDS), ["book", "check"], ["drill", "solve"]]


@pytest.mark.parametrize("words", HELPS, ids=" ".join)
def test_help_imports_nothing_heavy(words: list[str]) -> None:
    assert imported_by(*words, "--help") == set()


@pytest.mark.parametrize(
    ("words", "needed"),
    [
        (["work", "shim-pack", *SHIMS, "--json"], {"dataclasses"}),
        (["work"], {"dataclasses", "rich"}),
    ],
    ids=["as JSON", "on the screen"],
)
def test_bench_arithmetic_imports_neither_book_nor_engine(
    words: list[str], needed: set[str]
) -> None:
    assert imported_by(*words) == needed


def test_the_commands_as_they_run_do_import_what_is_watched_here() -> None:
    # Or the names above are not those of the modules, and the tests say nothing.
    case = str(SOURCE.parent.parent / "examples" / "ridge-07.yaml")
    words = {"snowballstemmer", "rapidfuzz", "sqlalchemy", "scipy", "surpyval"}
    words |= {"starlette", "uvicorn"}
    assert imported_by("diagnose", case) == set(HEAVY) - {"jinja2"} - words
    assert imported_by("diagnose", case, "--json") == set(HEAVY) - {"rich", "jinja2"} - words
    assert imported_by("hear", "it leeks oil") > {"snowballstemmer", "rapidfuzz"}


def test_a_name_means_one_thing() -> None:
    """No two records or classes of the program have one name."""
    named = [
        node.name
        for path in MODULES.values()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]
    assert sorted({name for name in named if named.count(name) > 1}) == []
