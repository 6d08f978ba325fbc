"""Attacks on the program: one command, its seed printed, a table of runs and failures.

    python tests/attack/run.py                       small sizes, another seed each time
    python tests/attack/run.py --size night          large sizes: the better part of an hour
    python tests/attack/run.py --seed 7 --only kill  with a seed; attacks with 'kill' in the name
    python tests/attack/run.py --only gate --runs 1000 --seed 7     a night in parts, by seeds

A failure is a traceback, a hang, an answer lost that was acknowledged, an output over an input,
a sign that a terminal obeys, a number JSON has not, a wrong status, a message of more than 300
characters, or a part released without a named origin. Ends with status 1 if there was any.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

HERE = Path(__file__).resolve()
if __name__ == "__main__":
    sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from attack.registry import Attack, Outcome  # noqa: E402

MODULES: tuple[str, ...] = (
    *("tails", "tampering", "faults", "kill", "odd_files"),
    *("mutated", "extremes", "poisoned", "threads", "signals", "gates"),
)
"""Modules of this folder that hold attacks."""
MOST_SHOWN = 20
MOST_SIGNS = 400


def attacks() -> tuple[Attack, ...]:
    """Return every attack of every module."""
    return tuple(one for name in MODULES for one in import_module(f"attack.{name}").ATTACKS)


def strike(attack: Attack, seed: int, size: str, runs: int = 0) -> Outcome:
    """Run one attack in a folder of its own; its dice hang on its name and the seed alone."""
    runs = runs or (attack.night if size == "night" else attack.small)
    with tempfile.TemporaryDirectory(prefix="attack-", dir=_quick_place()) as folder:
        return attack.strike(random.Random(f"{attack.name}/{seed}"), runs, Path(folder))


def _quick_place() -> str | None:
    """Return a disk in memory, where there is one: all that is written is forced to disk."""
    return "/dev/shm" if os.access("/dev/shm", os.W_OK) else None


def table(seed: int, size: str, only: str, runs: int) -> Iterator[tuple[str, Outcome]]:
    """Run the attacks one after the other; yield each with a line of the table."""
    for attack in attacks():
        if only in attack.name:
            begun = time.monotonic()
            outcome = strike(attack, seed, size, runs)
            took = time.monotonic() - begun
            count = len(outcome.failures)
            yield f"| {attack.name:<50} | {outcome.runs:>7} | {count:>8} | {took:>6.0f} |", outcome


def main() -> int:
    """Print the table and what failed; return the exit status."""
    assert __doc__
    form = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=form)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(1_000_000))
    parser.add_argument("--size", choices=("small", "night"), default="small")
    parser.add_argument("--only", default="", metavar="WORD", help="attacks with it in their name")
    parser.add_argument("--runs", type=int, default=0, help="so many of each, whatever the size")
    args = parser.parse_args()
    print(f"seed {args.seed}, size {args.size}\n")
    print(f"| {'attack':<50} | {'runs':>7} | failures | {'s':>6} |")
    print(f"|{'-' * 52}|{'-' * 9}|{'-' * 10}|{'-' * 8}|")
    failures: list[str] = []
    for line, outcome in table(args.seed, args.size, args.only, args.runs):
        print(line, flush=True)
        failures += outcome.failures
    for failure in failures[:MOST_SHOWN]:
        print(f"FAILED {failure[:MOST_SIGNS]}")
    if len(failures) > MOST_SHOWN:
        print(f"and {len(failures) - MOST_SHOWN} more")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
