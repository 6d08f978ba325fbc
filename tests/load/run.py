"""The load on the pages: people who answer, one every few seconds, on cases of their own.

    python tests/load/run.py                    30 people, one answer every 5 s, for 60 s
    python tests/load/run.py --minutes 10
    python tests/load/run.py --prices           with price lists, so that a call ends in a range

The server is a process of its own, started as a shop starts it; the people are threads of this one,
a third each at counter, hoist and bench. Each tells of a simulated unit and answers what is asked
as somebody at it would, until the case is over; then takes the next. A time runs from the moment at
which an answer was due until the page after it is there, which is two requests. Before, the stored
units of `examples/` are opened, so that the server keeps about as many sessions as it ever does.
Beside it the same is sent to the library: case files written and the record of the page made,
without HTML and HTTP.

The figures are wall time of this machine: read them with its load, which is printed, too.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve()
if __name__ == "__main__":
    sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from load.beside import in_library  # noqa: E402 - the path is set above
from load.house import Running, running  # noqa: E402
from load.person import ANSWER, BEGIN, SEATS, Deed, Person  # noqa: E402

from headwater.session.openbook import OpenBook  # noqa: E402
from headwater.shipped import open_packs, packs_with  # noqa: E402

PEOPLE, EVERY_SECONDS, MINUTES = 30, 5.0, 1.0
SAMPLES = 10
"""How often the memory of the server is looked at."""
STEPS_BEFORE = 3
"""What each does before the clock starts: first words, what was understood, one answer."""


@dataclass(frozen=True, slots=True)
class Load:
    """What came of it. Times in seconds, memory in megabytes, CPU as shares of one core."""

    deeds: tuple[Deed, ...]
    wrong: tuple[str, ...]
    memory: tuple[float, ...]
    server_seconds: float
    server_cpu: float
    own_cpu: float
    load_before: float
    load_after: float

    def times(self, kind: str = "", seat: str = "") -> list[float]:
        """Return how long something took, the quickest first."""
        counted = (one for one in self.deeds if one.counts)
        fit = (one for one in counted if kind in ("", one.kind) and seat in ("", one.seat))
        return sorted(one.seconds for one in fit)

    @property
    def cpu_each(self) -> float:
        """What the server reckoned for each thing sent, in seconds: no other work is in it."""
        return self.server_seconds / max(1, len(self.times()))

    @property
    def growth(self) -> float:
        """How much the server has grown, as a share of what it had."""
        return self.memory[-1] / self.memory[0] - 1


def under_load(
    folder: Path,
    opened: OpenBook,
    minutes: float = MINUTES,
    people: int = PEOPLE,
    prices: bool = False,
) -> Load:
    """Serve a folder, let people answer for so long, and return what was measured."""
    book = opened.compiled(opened.book.family).book
    with running(folder, prices) as server:
        crowd = [Person(server.come_in(), book, number) for number in range(people)]
        _warm(folder, crowd)
        for one in crowd:
            one.counts = True
        memory, cpu, own, load = (
            server.memory_mb,
            server.cpu_seconds,
            time.process_time(),
            os.getloadavg()[0],
        )
        begun = time.monotonic()
        samples = _answer(server, crowd, begun, minutes * 60)
        took = time.monotonic() - begun
        found = Load(
            tuple(deed for one in crowd for deed in one.deeds),
            tuple(text for one in crowd for text in one.wrong),
            (memory, *samples),
            used := server.cpu_seconds - cpu,
            used / took,
            (time.process_time() - own) / took,
            load,
            os.getloadavg()[0],
        )
        for one in crowd:
            one.client.close()
    return found


def _warm(folder: Path, crowd: Sequence[Person]) -> None:
    """Open what the server will keep, and let everybody begin."""
    for number, path in enumerate(sorted(folder.glob("*.yaml"))):
        reply = crowd[number % len(crowd)].client.get(f"/case/{path.stem}/at/bench")
        assert reply.status_code == 200, reply.text
    for one in crowd:
        for _ in range(STEPS_BEFORE):
            one.do_next(time.monotonic())


def _answer(server: Running, crowd: Sequence[Person], begun: float, seconds: float) -> list[float]:
    """Let everybody answer at times of their own until so many seconds are over.

    Returns what the server has in memory, from time to time and at the end.
    """

    def work(one: Person) -> None:
        due = begun + EVERY_SECONDS * one.number / len(crowd)
        while due < begun + seconds:
            time.sleep(max(0.0, due - time.monotonic()))
            one.do_next(due)
            due += EVERY_SECONDS

    threads = [threading.Thread(target=work, args=(one,)) for one in crowd]
    for thread in threads:
        thread.start()
    samples = []
    for number in range(1, SAMPLES + 1):
        time.sleep(max(0.0, begun + seconds * number / SAMPLES - time.monotonic()))
        samples.append(server.memory_mb)
    for thread in threads:
        thread.join()
    return [*samples, server.memory_mb]


def row(name: str, seconds: Sequence[float]) -> str:
    """Return a line of the table: how many, the middle, the 95th of a hundred, the longest."""
    if not seconds:
        return f"| {name:<34} | {0:>6} |       |       |       |"
    middle, p95 = statistics.median(seconds), percentile(seconds, 0.95)
    figures = " | ".join(f"{1000 * one:>5.0f}" for one in (middle, p95, max(seconds)))
    return f"| {name:<34} | {len(seconds):>6} | {figures} |"


def percentile(seconds: Sequence[float], share: float) -> float:
    """Return the time within which so many of all were done: the nearest rank."""
    ranked = sorted(seconds)
    return ranked[max(0, -(-len(ranked) * round(100 * share) // 100) - 1)]


def table(found: Load, library: Sequence[Deed]) -> str:
    """Return what was measured, to be read."""
    beside = [one.seconds for one in library if one.counts and one.kind == ANSWER]
    lines = [
        f"| {'ms until the next page':<34} | {'sent':>6} |   p50 |   p95 |   max |",
        f"|{'-' * 36}|-------:|------:|------:|------:|",
        row("answers, on the pages", found.times(ANSWER)),
        *(row(f"  of these at {s}", found.times(ANSWER, seat=s)) for s in SEATS),
        row("first words of a case", found.times(BEGIN)),
        row("all that was sent", found.times()),
        row("the same answers, in the library", beside),
        "",
        f"went wrong: {len(found.wrong)}{''.join(f'{chr(10)}  {one}' for one in found.wrong[:10])}",
        f"memory of the server, MB: {' '.join(f'{one:.0f}' for one in found.memory)} "
        f"({100 * found.growth:+.1f} %)",
        f"CPU of the server for each thing sent: {1000 * found.cpu_each:.0f} ms",
        f"CPU: server {100 * found.server_cpu:.0f} %, people {100 * found.own_cpu:.0f} % of a core",
        f"load of the machine: {found.load_before:.2f}, at the end {found.load_after:.2f}, "
        f"{os.cpu_count()} cores",
    ]
    return "\n".join(lines)


def main() -> int:
    """Print the table; return 1 where something went wrong."""
    assert __doc__
    form = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=form)
    parser.add_argument("--minutes", type=float, default=MINUTES)
    parser.add_argument("--people", type=int, default=PEOPLE)
    parser.add_argument("--prices", action="store_true")
    args = parser.parse_args()
    opened = open_packs(packs_with((), ()))
    with tempfile.TemporaryDirectory(prefix="load-") as folder:
        cases, beside = Path(folder) / "pages", Path(folder) / "library"
        cases.mkdir()
        beside.mkdir()
        found = under_load(cases, opened, args.minutes, args.people, args.prices)
        print(table(found, in_library(beside, opened, found.deeds)))
    return 1 if found.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
