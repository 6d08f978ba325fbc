"""Sessions that are killed at a moment by chance: every acknowledged answer is found again.

    python tests/attack/kill.py SEED RUNS FOLDER

A process of its own, which loads the program once and forks a session for each run. What is killed
is the process, not the machine: that what was forced to disk is there after a power cut is taken
on trust of `fsync`.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve()
if __name__ == "__main__":
    sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from attack.registry import Attack, Outcome  # noqa: E402
from attack.seats import FAMILY, bench  # noqa: E402
from attack.tampering import acknowledged, given_in  # noqa: E402
from process import environment  # noqa: E402
from small_book import write_book  # noqa: E402

ANSWERS = 12
MOST_LEFT = 1
"""Unfinished files that one kill may leave behind."""


def hold_session(case: Path, book: Path, typed: int, said: int) -> None:
    """Be the child: run a session over two pipes, and end."""
    os.dup2(typed, 0)
    os.dup2(said, 1)
    from headwater.cli.main import Terminal, run

    new = () if case.exists() else FAMILY
    words = ["bench", str(case), "--book", str(book), *new]
    with os.fdopen(0) as stdin, os.fdopen(1, "w") as out:
        run(words, Terminal(out, sys.stderr, stdin, width=80))
    os._exit(0)


def killed(case: Path, book: Path, lines: str, after: float) -> str:
    """Hold a session, kill it after so many seconds, and return what it had said."""
    (typed, to_type), (to_read, said) = os.pipe(), os.pipe()
    child = os.fork()
    if child == 0:
        os.close(to_type)
        hold_session(case, book, typed, said)
    os.close(typed)
    os.close(said)
    os.write(to_type, lines.encode())
    os.close(to_type)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    with os.fdopen(to_read) as reader:
        told = reader.read()
    os.waitpid(child, 0)
    return told


def strike_here(dice: Random, runs: int, folder: Path) -> Outcome:
    """Kill sessions in this process's children."""
    book, failures, sure = write_book(folder / "small"), [], 0
    begun = time.monotonic()
    bench(folder / "warm.yaml", book, ["", "", *_answers(0), "list"])
    whole = time.monotonic() - begun
    case, known = folder / "0.yaml", set[str]()
    for number in range(runs):
        if number % 5 == 0:  # each file is met again by some sessions, in whatever state it is
            case, known = folder / f"{number}.yaml", set()
        answers = _answers(ANSWERS * (number % 5))
        begin = [] if case.exists() and case.stat().st_size else [""]
        lines = "\n".join([*begin, "", *answers, "list", "list", ""])
        known |= acknowledged(killed(case, book, lines, dice.uniform(0, 1.2 * whole)))
        sure = sure + len(known) if number % 5 == 4 else sure
        if lost := known - given_in(case):
            failures.append(f"{lost} lost of {case.name}")
        left = [one for one in folder.iterdir() if one.name.startswith(".headwater-")]
        if len(left) > MOST_LEFT:
            failures.append(f"{left} left behind")
        for one in left:
            one.unlink()
        if case.exists():
            failures += _fault_of_going_on(case, book, known)
    if runs >= 50 and sure < runs:
        failures.append(f"only {sure} answers were acknowledged: the attack tells nothing")
    return Outcome(runs, tuple(failures))


def _answers(start: int) -> list[str]:
    return [f"bore-float: 0.{start + number + 100} mm" for number in range(ANSWERS)]


def _fault_of_going_on(case: Path, book: Path, known: set[str]) -> list[str]:
    status, out, err = bench(case, book, ["", "list", "done"])
    if status == 2 or not known <= given_in(case):
        return [f"cannot go on with {case.name}: {status} {err!r} {out[-200:]!r}"]
    return []


def strike_kill(dice: Random, runs: int, folder: Path) -> Outcome:
    """Kill sessions of a process of its own: a test's process may have threads."""
    words = [sys.executable, str(HERE), str(dice.random()), str(runs), str(folder)]
    found = subprocess.run(words, capture_output=True, text=True, check=False, env=environment())
    if found.returncode:
        return Outcome(runs, (found.stderr[-2000:],))
    return Outcome(runs, tuple(json.loads(found.stdout)))


ATTACKS = (Attack("kill -9 at a moment by chance", strike_kill, 10, 500),)

if __name__ == "__main__":
    seed, runs, folder = sys.argv[1:]
    print(json.dumps(strike_here(Random(seed), int(runs), Path(folder)).failures))
