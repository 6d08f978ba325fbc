"""Commands run in this process by somebody who may do things between two answers."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from pathlib import Path

from headwater.cli.main import Terminal, run

Step = str | Callable[[], None]
"""A line that is typed, or something that is done before the next one."""
FAMILY = ("--family", "drive=chain")
MOST_SIGNS = 300


class Typed(io.StringIO):
    """An input whose lines come one by one, with things done in between."""

    def __init__(self, steps: Iterable[Step]) -> None:
        """Type the steps in their order, then end."""
        super().__init__()
        self._steps = iter(steps)

    def readline(self, _size: int | None = -1, /) -> str:  # type: ignore[override]  # two bases
        """Return the next line, once all that comes before it is done."""
        for step in self._steps:
            if isinstance(step, str):
                return step + "\n"
            step()
        return ""


def play(*words: str | Path, steps: Iterable[Step] = ()) -> tuple[int, str, str]:
    """Run a command and return status, output and errors."""
    out, err = io.StringIO(), io.StringIO()
    status = run([str(word) for word in words], Terminal(out, err, Typed(steps), width=1000))
    return status, out.getvalue(), err.getvalue()


def faults_of(status: int, err: str) -> list[str]:
    """Return what is wrong with how a command ended, whatever it was asked."""
    lines = err.splitlines()
    faults = [f"a line of {len(line)} signs" for line in lines if len(line) > MOST_SIGNS]
    if status not in (0, 1, 2):
        faults.append(f"status {status}")
    if status == 2 and not any(line.startswith("headwater: ") for line in lines[-1:]):
        faults.append("status 2 without a word")
    if "Traceback" in err:
        faults.append("a traceback")
    return faults


def bench(case: Path, book: Path, steps: Iterable[Step]) -> tuple[int, str, str]:
    """Sit at the bench over a case."""
    new = FAMILY if not case.exists() else ()
    return play("bench", case, "--book", book, *new, steps=steps)
