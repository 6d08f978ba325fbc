"""What the call tests share: a call run in process, and the six callers with what they say."""

from __future__ import annotations

import re
from collections import Counter, UserDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.cli.main import Terminal, run
from headwater.verdict.assess import Reasoner, build_reasoner

PACK = Path(__file__).resolve().parents[2] / "knowledge" / "transfer-case"
Play = Callable[..., tuple[int, str, str]]
EARLIER = "worked on, before?"
Ring = Callable[..., Callable[[StringIO], StringIO]]


@dataclass(frozen=True, slots=True)
class Told:
    """What a caller says: first of all, then to each question by its check; else plainly no.

    `answers` has the words to a question and to its follow-up; what is left over is not needed.
    """

    opening: tuple[str, ...]
    answers: Mapping[str, tuple[str, ...]]
    otherwise: str = "no"


CALLERS: dict[str, Told] = {
    "dangerous-leak": Told(
        ("there is a big puddle of oil under it, it pours out", ""),
        {
            "work-before-trouble": ("no, nothing for years",),
            "seals-ever-done": ("first seals and it is old",),
            "fluid-history": ("not sure", "no idea"),
            "fill-history": ("not sure", "somebody else did it"),
        },
    ),
    "wind-up-dry-road": Told(
        ("it hops and binds in tight turns", ""),
        {
            "work-before-trouble": ("nothing",),
            "road-surface": ("yes, we drove home in it on tarmac",),
            "comes-free-on-reversing": ("yes",),
            "skip-marks-asked": ("yes, black marks, one behind the other", "1", "yes"),
            "tyres-asked": ("all the same, same age", "1"),
            "front-wheels-do-not-pull": ("the front wheels pull",),
        },
    ),
    "plastic-in-the-drain": Told(
        ("plastic bits in the drain pan", ""),
        {"work-before-trouble": ("since the oil change last week",)},
    ),
    "speed-code": Told(
        ("the reader shows P0735", ""),
        {
            "ratio-code": ("P0735",),
            "whine-when": ("no whine at all",),
            "speedometer": ("it jumps about",),
        },
    ),
    "just-a-sensor": Told(
        ("speedo jumps, just send me a sensor", ""),
        {"work-before-trouble": ("someone replaced the speed sensor in spring",)},
    ),
    "makes-a-noise": Told(
        ("it makes a noise", "it whines with road speed", ""),
        {
            "work-before-trouble": ("don't know",),
            "whine-by-load": ("hmm, hard to tell", "it stays the same"),
            "oil-spots-under-vehicle": ("no",),
            "wheels-locked": ("no",),
        },
        "not sure",
    ),
}
ASIDES = {"plastic-in-the-drain": "wants the pads", "just-a-sensor": "wants just a sensor"}
"""What two of them say before they answer the first question that counts."""


class Caller(StringIO):
    """The caller at the other end: hears the question that stands on the screen, and answers it.

    The line goes dead after `most` lines. A caller who rings `again` has said how it began.
    """

    def __init__(
        self, name: str, book: Book, out: StringIO, most: int = 99, *, again: bool = False
    ) -> None:
        """Answer what is printed to `out`."""
        super().__init__()
        self.told, self.out, self.most = CALLERS[name], out, most
        self.lines = [] if again else [*self.told.opening]
        self.aside = None if again else ASIDES.get(name)
        self.checks = {" ".join((c.say or c.ask).split()): c.id for c in book.checks.values()}
        self.times: Counter[str] = Counter()

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]
        """Return the next line that the caller says."""
        self.most -= 1
        return f"{self._words()}\n" if self.most >= 0 else ""

    def _words(self) -> str:
        if self.lines:
            return self.lines.pop(0)
        screen = self.out.getvalue().split(f"{'-' * 78}")[-1]
        heard = re.split(r"^\d of 8   ", screen, flags=re.M)[-1]
        if EARLIER in heard:
            return ""
        question = " ".join(heard.split())
        if "of 8" in screen and self.aside:
            aside, self.aside = self.aside, None
            return aside
        check = max((c for c in self.checks if question.startswith(c)), key=len, default="")
        cid = self.checks.get(check, "")
        words = self.told.answers.get(cid, (self.told.otherwise,))
        self.times[cid] += 1
        return words[min(self.times[cid], len(words)) - 1]


@pytest.fixture(scope="session")
def caller_book() -> Book:
    """The shipped book, as a call loads it."""
    return load_book([PACK])


@pytest.fixture(scope="session")
def caller_reasoner(caller_book: Book) -> Reasoner:
    """A reasoner for a caller who knows nothing of how the unit is built."""
    return build_reasoner(caller_book, {})


def play_in(
    *argv: str,
    typed: list[str] | None = None,
    caller: Callable[[StringIO], StringIO] | None = None,
) -> tuple[int, str, str]:
    """Run a command with lines typed, or with a caller; return status, output, errors."""
    out, err = StringIO(), StringIO()
    stdin = caller(out) if caller else StringIO("".join(f"{line}\n" for line in typed or []))
    status = run([*argv, "--book", str(PACK)], Terminal(out, err, stdin, width=80))
    return status, out.getvalue(), err.getvalue()


class Calls(UserDict[str, tuple[int, str, str]]):
    """The calls: status, output and errors of each."""

    def __init__(self, folder: Path, ring: Ring) -> None:
        """Play in a folder."""
        super().__init__()
        self.folder, self.ring = folder, ring

    def __missing__(self, name: str) -> tuple[int, str, str]:
        """Play a call that was not played yet."""
        with pytest.MonkeyPatch.context() as patch:
            patch.chdir(self.folder)
            self[name] = play_in("call", f"{name}.yaml", caller=self.ring(name))
        return self[name]


@pytest.fixture
def play(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Play:
    """Run commands in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return play_in


@pytest.fixture(scope="session")
def ring(caller_book: Book) -> Ring:
    """Make one of the callers ring: `play(..., caller=ring("speed-code"))`."""

    def one(name: str, most: int = 99, *, again: bool = False) -> Callable[[StringIO], StringIO]:
        return lambda out: Caller(name, caller_book, out, most, again=again)

    return one


@pytest.fixture(scope="session")
def calls(tmp_path_factory: pytest.TempPathFactory, ring: Ring) -> Calls:
    """The six calls, each played when it is asked for, and once."""
    return Calls(tmp_path_factory.mktemp("calls"), ring)
