"""The benchmark: cold start, time for each answer by step, growth with the book, memory; and the
same questions to exact inference.

    python tests/benchmark/run.py            x1 and x10
    python tests/benchmark/run.py --times 1 3 10 30

The larger books are renamed copies of the transfer-case book, side by side, with a link from each
copy to the next. One answer is `assess` and `next_checks` together, after a warm-up; 'told of every
copy' is the last answer of a session about all copies at once. The figures are wall time of this
machine, so compare ratios within one run.

Exact inference (pyagrum) answers what belief was asked: the probabilities of all origins. It cannot
hold loops, so both sides then get the book without the links that lead back (`benchmark/exact.py`).
"""

from __future__ import annotations

import argparse
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from unittest.mock import patch

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from benchmark.exact import report, side_by_side  # noqa: E402 - the path is set above

from headwater.belief.orders import summing_order  # noqa: E402
from headwater.belief.posterior import Posterior, posterior  # noqa: E402
from headwater.belief.worlds import Factors, Worlds  # noqa: E402
from headwater.book.load import load_book  # noqa: E402
from headwater.book.model import Answer, Check, Condition  # noqa: E402
from headwater.book.records import Book, Link  # noqa: E402
from headwater.book.shape import Ref  # noqa: E402
from headwater.cli.main import collect_seldom  # noqa: E402
from headwater.measure.answer import Judged, understand  # noqa: E402
from headwater.rules.compile import Fact  # noqa: E402
from headwater.rules.derivation import Derivation, RuleSet  # noqa: E402
from headwater.session.ask import next_checks  # noqa: E402
from headwater.verdict import assess  # noqa: E402
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


STEPS = ("derive", "posterior", "gate and the rest", "next_checks")


@dataclass(slots=True)
class Clock:
    """Milliseconds of each step of the answers so far, and the findings that belief was asked."""

    took: dict[str, list[float]] = field(default_factory=lambda: {step: [] for step in STEPS})
    questions: list[Factors] = field(default_factory=list)
    beliefs: list[Posterior] = field(default_factory=list)

    def run(self, reasoner: Reasoner, told: Sequence[Judged]) -> None:
        """Take one answer: the verdict on what was told, and what to ask next."""
        summing_order.cache_clear()  # in a session every answer asks for an order of its own
        derived: list[float] = []
        believed: list[float] = []

        plain = RuleSet.derive

        def derive(rules: RuleSet, facts: Iterable[Fact]) -> Derivation:
            start = time.perf_counter()
            derivation = plain(rules, facts)
            derived.append(time.perf_counter() - start)
            return derivation

        def believe(worlds: Worlds, factors: Factors) -> Posterior:
            self.questions.append(factors)
            start = time.perf_counter()
            found = posterior(worlds, factors)
            believed.append(time.perf_counter() - start)
            self.beliefs.append(found)
            return found

        with patch.object(assess, "posterior", believe), patch.object(RuleSet, "derive", derive):
            start = time.perf_counter()
            assessment = reasoner.assess(told)
            judged = time.perf_counter()
            next_checks(assessment)
            asked = time.perf_counter() - judged
        rest = judged - start - sum(derived) - sum(believed)
        for step, s in zip(STEPS, [sum(derived), sum(believed), rest, asked], strict=True):
            self.took[step].append(1000.0 * s)

    def totals(self) -> list[float]:
        """Return the milliseconds of each answer."""
        return [sum(steps) for steps in zip(*self.took.values(), strict=True)]

    def grounds(self) -> str:
        """Return what the last belief rests on."""
        last = self.beliefs[-1]
        return f"{last.count} worlds" + ("" if last.exact else ", links or worlds too few")

    def split(self) -> str:
        """Return the median of each step, in words."""
        return ", ".join(f"{step} {statistics.median(ms):.1f}" for step, ms in self.took.items())


def told_of(book: Book, copy: int) -> list[Judged]:
    """Return the answers of one short session about one copy."""
    tail = f"-{copy}" if copy else ""
    return [understand(book, book.checks[check + tail], given) for check, given in ANSWERS.items()]


def per_answer(reasoner: Reasoner) -> Clock:
    """Return the times of each answer of one short session, after a warm-up."""
    told = told_of(reasoner.book, 0)
    for _ in range(2):
        clock = Clock()
        for count in range(1, len(told) + 1):
            clock.run(reasoner, told[:count])
    return clock


def of_every_copy(reasoner: Reasoner, times: int) -> Clock:
    """Return the times of the last answer when the same was told of every copy."""
    told = [judged for copy in range(times) for judged in told_of(reasoner.book, copy)]
    for _ in range(2):
        clock = Clock()
        clock.run(reasoner, told)
    return clock


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
    collect_seldom()  # as the program does
    start = time.perf_counter()
    shipped = load_book([ROOT / "knowledge" / "transfer-case"])
    say(f"load the transfer-case pack     {1000 * (time.perf_counter() - start):8.0f} ms\n")
    cold = 1000 * cold_start(["diagnose", "examples/ridge-07.yaml"])
    say(f"diagnose, cold to output        {cold:8.0f} ms\n")
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    say(f"diagnose, peak memory           {child:8.0f} MB\n")
    for times in args.times:
        start = time.perf_counter()
        reasoner = build_reasoner(copies(shipped, times), shipped.family)
        built = time.perf_counter() - start
        known, rules = len(reasoner.book.conditions), len(reasoner.rules.rules)
        say(f"x{times:<3} {known:6} conditions {rules:7} rules: built in {built:6.2f} s\n")
        clock = per_answer(reasoner)
        took = clock.totals()
        say(f"     an answer {statistics.median(took):7.1f} ms (most {max(took):.1f}): ")
        say(f"{clock.split()}; {clock.grounds()}\n")
        everywhere = of_every_copy(reasoner, times)
        say(f"     told of every copy {everywhere.totals()[0]:7.1f} ms: {everywhere.split()}; ")
        say(everywhere.grounds() + "\n")
        sys.stdout.flush()
        questions = [*clock.questions, *everywhere.questions]
        say(report(*side_by_side(reasoner.worlds, questions)))
        sys.stdout.flush()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    say(f"peak memory of this process     {peak:8.0f} MB\n")


if __name__ == "__main__":
    main()
