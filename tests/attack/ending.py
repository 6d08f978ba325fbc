"""Runs a command in this process, and says what is wrong with how it ended."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import threading
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

import once

once.keep()  # where it is not kept already: the frozen book is read once in a process
os.environ["HEADWATER_CACHE"] = "off"

from headwater.cli.main import Terminal, run  # noqa: E402

HANG = 20
"""Seconds after which nobody waits any longer."""
LONGEST = 300
"""Signs of a message."""
TURNS = {"LRE", "RLE", "PDF", "LRO", "RLO", "LRI", "RLI", "FSI", "PDI"}
DETAILS = re.compile(r"the details are in (\S+)")


class Hung(BaseException):
    """A command that does not end; no `Exception`, so that nothing on the way takes it for one."""


@contextmanager
def watched(seconds: int = HANG) -> Iterator[None]:
    """Raise Hung in whatever takes longer; only the first thread of a process can be watched."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise Hung

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def failures_of(words: list[str], typed: str = "") -> list[str]:
    """Run a command and return what is wrong with its end; nothing if all is well."""
    out, err = io.StringIO(), io.StringIO()
    try:
        with watched():
            status = run(words, Terminal(out, err, io.StringIO(typed), width=80))
    except Hung:
        return [f"hangs: {_said(words)}"]
    except Exception as error:
        return [f"{type(error).__name__} ({error}): {_said(words)}"]
    told = [*wrong_end(status, err.getvalue()), *wrong_text("output", out.getvalue())]
    if "--json" in words and not typed:
        told += wrong_json(out.getvalue())
    return [f"{fault}: {_said(words)}" for fault in told]


def _said(words: list[str]) -> str:
    return ascii(" ".join(words)[-200:])


def wrong_end(status: int, err: str) -> Iterator[str]:
    """Yield what is wrong with a status and with what was said beside the result."""
    if status not in (0, 1, 2):
        yield f"status {status}, {_details(err)}"
    if status == 2 and not err.startswith("headwater: "):
        yield f"status 2 without a word ({err[:80]!r})"
    yield from (
        f"a message of {len(line)} signs" for line in err.splitlines() if len(line) > LONGEST
    )
    yield from wrong_text("message", err)


def _details(err: str) -> str:
    """Return the end of the traceback that a fault of the program left, and delete its file."""
    found = DETAILS.search(err)
    if found is None:
        return err[:200]
    path = Path(found[1])
    last = " / ".join(line.strip() for line in path.read_text().splitlines()[-3:])
    with suppress(OSError):
        path.unlink()
    return last


def obeyed(text: str) -> set[str]:
    """Return the signs of a text that a terminal or a page obeys, by the Unicode database."""
    return {
        sign
        for sign in set(text) - {"\n"}
        if unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(sign) in TURNS
        or sign in "\u200e\u200f\u061c"
    }


def wrong_text(what: str, text: str) -> Iterator[str]:
    """Yield the signs of a text that nobody may print."""
    if found := obeyed(text.replace("\r\n", "\n")):
        yield f"{what} holds {sorted(found)!a}"


def wrong_json(text: str) -> Iterator[str]:
    """Yield what keeps other programs from reading a text as JSON."""

    def refuse(word: str) -> None:
        raise ValueError(f"holds {word}")

    try:
        json.loads(text, parse_constant=refuse)
    except ValueError as error:
        yield f"no JSON ({error})"
