"""The benchmark: cold start, time for each answer, growth with the size of the book, memory.

    python tests/benchmark/run.py            x1 and x10
    python tests/benchmark/run.py --times 1 3 10 30

The larger books are renamed copies of the transfer-case book, side by side, with a link from each
copy to the next. One answer is `assess` and `next_checks` together, after a warm-up; the figures
are wall time of this machine, so compare ratios within one run.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "src"))

from headwater.book.load import Book, load_book  # noqa: E402 - the path is set above
from headwater.book.model import Answer, Check, Condition, Link  # noqa: E402
from headwater.book.shape import Ref  # noqa: E402
from headwater.measure.answer import understand  # noqa: E402
from headwater.session.ask import next_checks  # noqa: E402
from headwater.verdict.assess import Reasoner, build_reasoner  # noqa: E402

ANSWERS = {
    "range-fork-pads": "burnt",
    "input-bearing-seat": "in-place",
    "magnet-paste": "paste",
    "mode-fork-pads": "burnt",
    "input-bearing-float": "0.045 in",
}


def copies(book: Book, times: int) -> Book:
    """Return the book `times` over under new ids; the first copy keeps its own."""
    conditions: dict[str, Condition] = {}
    checks: dict[str, Check] = {}
    links: dict[tuple[str, str], Link] = {}
    for copy in range(times):
        tail = f"-{copy}" if copy else ""
        for cid, condition in book.conditions.items():
            conditions[cid + tail] = replace(condition, id=cid + tail)
        for kid, check in book.checks.items():
            answers = {word: _renamed(answer, tail) for word, answer in check.answers.items()}
            checks[kid + tail] = replace(check, id=kid + tail, answers=answers)
        for (cause, effect), link in book.links.items():
            ends = (cause + tail, effect + tail)
            links[ends] = replace(link, cause=ends[0], effect=ends[1])
        if copy:
            before = f"-{copy - 1}" if copy > 1 else ""
            ends = ("oil-low" + before, "oil-low" + tail)
            links[ends] = replace(next(iter(book.links.values())), cause=ends[0], effect=ends[1])
    return replace(book, conditions=conditions, checks=checks, links=links, chains={})


def _renamed(answer: Answer, tail: str) -> Answer:
    shows = {Ref(c + tail): s for c, s in answer.shows.items()}
    rules_out = {Ref(c + tail): s for c, s in answer.rules_out.items()}
    return replace(answer, shows=shows, rules_out=rules_out)


def per_answer(reasoner: Reasoner) -> list[float]:
    """Return the milliseconds of each answer of one short session, the first left out."""
    book = reasoner.book
    told = [understand(book, book.checks[check], given) for check, given in ANSWERS.items()]
    took = []
    for _ in range(2):
        for count in range(1, len(told) + 1):
            start = time.perf_counter()
            next_checks(reasoner.assess(told[:count]))
            took.append(1000.0 * (time.perf_counter() - start))
    return took[len(told) :]


def cold_start(command: list[str]) -> float:
    """Return the median seconds of a fresh process."""
    took = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "headwater", *command],
            cwd=ROOT,
            env={"PYTHONPATH": "src", "PATH": "/usr/bin:/bin"},
            stdout=subprocess.DEVNULL,
            check=False,
        )
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, nargs="+", default=[1, 10])
    args = parser.parse_args()
    say = sys.stdout.write
    start = time.perf_counter()
    shipped = load_book([ROOT / "knowledge" / "transfer-case"])
    say(f"load the transfer-case pack     {1000 * (time.perf_counter() - start):8.0f} ms\n")
    cold = 1000 * cold_start(["diagnose", "examples/ridge-07.yaml"])
    say(f"diagnose, cold to output        {cold:8.0f} ms\n")
    for times in args.times:
        start = time.perf_counter()
        reasoner = build_reasoner(copies(shipped, times), shipped.family)
        built = time.perf_counter() - start
        took = per_answer(reasoner)
        known, rules = len(reasoner.book.conditions), len(reasoner.rules)
        size = f"x{times:<3} {known:6} conditions {rules:7} rules"
        speed = f"an answer {statistics.median(took):7.1f} ms (most {max(took):.1f})"
        say(f"{size}: built in {built:6.2f} s, {speed}\n")
        sys.stdout.flush()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    say(f"peak memory of this process     {peak:8.0f} MB\n")


if __name__ == "__main__":
    main()
