"""Exact inference with pyAgrum on a network without loops, as a process with limits.

    python tests/benchmark/exact.py METHOD < questions.json

reads a network and questions (findings), and prints a line of JSON for each as soon as it is
answered: the milliseconds, and the probability of every origin. `side_by_side` runs it so and
compares.
"""

from __future__ import annotations

import json
import resource
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from statistics import median

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS.parent / "src")]

from belief.noisy_or import allow_unlisted, infer, noisy_or_net, spoken_for  # noqa: E402 - the path is set above

from headwater.belief.layout import links_back, loops  # noqa: E402
from headwater.belief.posterior import posterior  # noqa: E402
from headwater.belief.question import HARD  # noqa: E402
from headwater.belief.worlds import Factors, Network, Worlds, make_worlds  # noqa: E402

METHODS = ("LazyPropagation", "VariableElimination")
SECONDS = 20
"""Time allowed for one question, and for making a method's network of the book."""
BYTES = 3 << 30


@dataclass(frozen=True, slots=True)
class Compared:
    """One method: milliseconds for each question that it finished, and why it did not go on.

    `apart` is the greatest difference of an origin's probability from ours, None if none was got.
    """

    method: str
    took: tuple[float, ...]
    asked: int
    apart: float | None
    stopped: str


def without_circles(worlds: Worlds) -> Network:
    """Return the network without the links that lead back, for which both can answer."""
    network = worlds.network
    out = dict(enumerate(worlds.out))
    back = {link for loop in loops(out) for link in links_back(loop, out, network.links)}
    links = tuple(link for i, link in enumerate(network.links) if i not in back)
    return Network(network.conditions, network.priors, links, network.unlisted)


def plain(factors: Factors, network: Network) -> dict[str, tuple[float, float]]:
    """Return findings with what is taken as settled made certain, so that both sides take it so."""
    told = {}
    for condition, (there, absent) in factors.items():
        pair = (there, absent)
        if min(pair) <= HARD * max(pair):
            pair = (1.0, 0.0) if there > absent else (0.0, 1.0)
        if condition in network.conditions:
            told[condition] = pair
    return told


def side_by_side(worlds: Worlds, questions: list[Factors]) -> tuple[list[float], list[Compared]]:
    """Return our milliseconds for each question, and what each method made of the same ones."""
    network = without_circles(worlds)
    ours = make_worlds(network, worlds.count)
    told = [plain(factors, network) for factors in questions]
    for factors in told:  # the first time round makes what is made once
        posterior(ours, factors)
    took, believed = [], []
    for factors in told:
        start = time.perf_counter()
        found = posterior(ours, factors)
        believed.append({origin: found.probability(origin) for origin in network.priors})
        took.append(1000.0 * (time.perf_counter() - start))
    if find_spec("pyagrum") is None:
        return took, []
    return took, [_compare(method, network, told, believed) for method in METHODS]


def _compare(
    method: str,
    network: Network,
    told: list[dict[str, tuple[float, float]]],
    believed: list[dict[str, float]],
) -> Compared:
    sent = {
        "conditions": network.conditions,
        "priors": network.priors,
        "links": network.links,
        "unlisted": network.unlisted,
        "questions": told,
    }
    command = [sys.executable, str(Path(__file__).resolve()), method]
    done = subprocess.run(
        command, input=json.dumps(sent), capture_output=True, text=True, check=False
    )
    stopped = ""
    if done.returncode == -signal.SIGALRM:
        stopped = f"a question not answered, or the network not made, in {SECONDS} s"
    elif done.returncode:
        what = done.stderr.strip().splitlines()[-1:] or [f"status {done.returncode}"]
        stopped = f"stopped, with {BYTES >> 30} GB allowed: {what[0][:80]}"
    lines = [
        json.loads(line) for line in done.stdout.splitlines(keepends=True) if line.endswith("\n")
    ]
    apart = [
        abs(p - own[origin])
        for line, own in zip(lines, believed, strict=False)
        for origin, p in line["origins"].items()
    ]
    took = tuple(line["ms"] for line in lines)
    return Compared(method, took, len(told), max(apart, default=None), stopped)


def report(ours: list[float], others: list[Compared]) -> str:
    """Return the lines that say it."""
    lines = [f"     without circles: ours {median(ours):.1f} ms a question"]
    if not others:
        lines.append("     pyagrum is not installed: nothing to compare with")
    for other in others:
        speed = f"{median(other.took):.1f} ms" if other.took else "no answer"
        apart = "" if other.apart is None else f", origins at most {other.apart:.1e} apart"
        done = f"{len(other.took)} of {other.asked} questions"
        why = f" ({other.stopped})" if other.stopped else ""
        lines.append(f"     exact, {other.method:20} {speed} a question, {done}{apart}{why}")
    return "\n".join(lines) + "\n"


def answer(method: str) -> None:
    """Answer the questions on standard input, within the memory allowed."""
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
    sent = json.load(sys.stdin)
    links = tuple((cause, effect, p) for cause, effect, p in sent["links"])
    network = Network(tuple(sent["conditions"]), sent["priors"], links, sent["unlisted"])
    questions = [{c: (pair[0], pair[1]) for c, pair in q.items()} for q in sent["questions"]]
    unlisted = list(dict.fromkeys(c for q in questions for c in spoken_for(network, q)))
    signal.alarm(SECONDS)
    net = noisy_or_net(network, unlisted)
    for factors in questions:
        signal.alarm(SECONDS)  # anew for each: what has been answered is printed already
        allow_unlisted(net, network, factors, unlisted)
        start = time.perf_counter()
        chances, _ = infer(net, factors, [f"+{origin}" for origin in network.priors], method)
        took = 1000.0 * (time.perf_counter() - start)
        origins = {name.removeprefix("+"): p for name, p in chances.items()}
        sys.stdout.write(json.dumps({"ms": took, "origins": origins}) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    answer(sys.argv[1])
