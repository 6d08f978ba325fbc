"""What the call tests share: a call run in process, and the six callers with what they say."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest

from headwater.book.load import Book, load_book
from headwater.cli.main import Terminal, run
from headwater.verdict.assess import Reasoner, build_reasoner

PACK = Path(__file__).resolve().parents[2] / "knowledge" / "transfer-case"
Play = Callable[..., tuple[int, str, str]]
Calls = dict[str, tuple[int, str, str]]

CALLERS: dict[str, list[str]] = {
    "dangerous-leak": [
        "there is a big puddle of oil under it, it pours out",
        "1",
        "no, nothing for years",
        "first seals and it is old",
        *["no"] * 4,
        "not sure",
        *["no"] * 4,
    ],
    "wind-up-dry-road": [
        "it hops and binds in tight turns",
        "1",
        "nothing",
        "no",
        "yes, we drove home in it on tarmac",
        "yes",
        *["no"] * 6,
    ],
    "plastic-in-the-drain": [
        "plastic bits in the drain pan",
        "1",
        "since the oil change last week",
        "wants the pads",
        "no whine",
        *["no"] * 8,
    ],
    "speed-code": [
        "the reader shows P0735",
        "1",
        "no",
        "no whine at all",
        *["no"] * 3,
        "it jumps about",
        *["no"] * 6,
    ],
    "just-a-sensor": [
        "speedo jumps, just send me a sensor",
        "2",
        "wants just a sensor",
        "someone replaced the speed sensor in spring",
        *["no"] * 10,
    ],
    "makes-a-noise": [
        "it makes a noise",
        "it whines with road speed",
        "1",
        "don't know",
        "hmm, hard to tell",
        "it stays the same",
        "no",
        "not sure",
        "no",
        "later",
        *["no"] * 6,
    ],
}
"""The caller's words, in order; what is left over when the call ends is not needed."""


@pytest.fixture(scope="session")
def caller_book() -> Book:
    """The shipped book, as a call loads it."""
    return load_book([PACK])


@pytest.fixture(scope="session")
def caller_reasoner(caller_book: Book) -> Reasoner:
    """A reasoner for a caller who knows nothing of how the unit is built."""
    return build_reasoner(caller_book, {})


def play_in(*argv: str, typed: list[str] | None = None) -> tuple[int, str, str]:
    """Run a command with lines typed; return status, output, errors."""
    out, err = StringIO(), StringIO()
    stdin = StringIO("".join(f"{line}\n" for line in typed or []))
    status = run([*argv, "--book", str(PACK)], Terminal(out, err, stdin, width=80))
    return status, out.getvalue(), err.getvalue()


@pytest.fixture
def play(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Play:
    """Run commands in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return play_in


@pytest.fixture(scope="session")
def calls(tmp_path_factory: pytest.TempPathFactory) -> Calls:
    """The six calls, each played once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(tmp_path_factory.mktemp("calls"))
        return {name: play_in("call", f"{name}.yaml", typed=said) for name, said in CALLERS.items()}
