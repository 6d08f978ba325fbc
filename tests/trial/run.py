"""The trial of the planner: simulated units, people who err, one table with a column a setting.

    python tests/trial/run.py                               all settings, 20 units each
    python tests/trial/run.py --units 150 --setting plain   steadier figures of one
    python tests/trial/run.py --units 60 --quick            without the policy and bounds beside it

Units are drawn from the transfer-case book's causal graph with fixed seeds, each with a complaint
for each of its origins; they are looked at on the hoist, then on the bench. What is answered is
drawn from the trial's own figures (`observer`), not from the book's.

settled         share of units that end settled                (aim 85 %, two 70 %, three 60 %)
of settleable   the same of the units that true answers to all checks settle
right of        of the settled: a true origin for every finding, none else named          (aim 98 %)
listed          complaints of which a true origin is named or listed                (aim 97 %)
leading         complaints of which it is named, or leads where none is
ceiling         the same of the likeliest by likelihoods alone, every check answered
ratio           leading by ceiling                                                  (aim 0.97)
wrong/released  parts to be worked on of whose damage no true origin is named      (aim 0.5 %)
fellow left     released parts that leave a further true origin unnamed
minutes         to the verdict, mean of all units
cheapest        the same of the policy 'cheapest check first' on the same units; and how many
                of the units that it settles it settles right
bounded         settled units with a bound: minutes, and the least that would have done, from
                below and from above (medians)
x upper         minutes by upper end, medians                                (aim within 2.0)
never           units that true answers to all checks do not settle (listed below the table)
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterable
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import lru_cache, partial
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from trial.met import meet  # noqa: E402 - the path is set above
from trial.score import Result, Score, score, table  # noqa: E402

from headwater.book.load import load_book  # noqa: E402
from headwater.session.openbook import OpenBook  # noqa: E402
from headwater.simulate.units import SETTINGS, Setting  # noqa: E402

KNOWLEDGE = HERE.parents[2] / "knowledge" / "transfer-case"


@lru_cache(maxsize=1)
def opened() -> OpenBook:
    """Return the open book, one in each process."""
    return OpenBook(load_book([KNOWLEDGE]))


def met(setting: Setting, quick: bool, seed: int) -> Result:
    """Return what comes of one unit."""
    return meet(opened(), opened().book.family, setting, seed, beside=not quick)


def trial(pool: Executor, setting: Setting, seeds: Iterable[int], quick: bool) -> Score:
    """Return the figures of a setting."""
    return score(setting, list(pool.map(partial(met, setting, quick), seeds)))


def main() -> None:
    """Run the trial and print its table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--units", type=int, default=20, help="units in each setting")
    parser.add_argument("--seed", type=int, default=0, help="seed of the first unit")
    parser.add_argument("--setting", action="append", choices=list(SETTINGS))
    parser.add_argument("--quick", action="store_true", help="the planner alone, no bounds")
    parser.add_argument("--processes", type=int, default=2)
    args = parser.parse_args()
    seeds = range(args.seed, args.seed + args.units)
    scores = []
    with ProcessPoolExecutor(args.processes) as pool:
        for name in args.setting or SETTINGS:
            started = time.perf_counter()
            scores.append(trial(pool, SETTINGS[name], seeds, args.quick))
            sys.stderr.write(f"{name}: {time.perf_counter() - started:.0f} s\n")
    lines = table(scores)
    lines += [
        f"never settled, {s.setting}: {', '.join(map(str, s.never))}" for s in scores if s.never
    ]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
