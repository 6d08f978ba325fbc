"""The trial of the planner: simulated units, six ways of asking, one table for each setting.

    python tests/trial/run.py                                    all of it, small: four minutes
    python tests/trial/run.py --units 40 --policy planner --setting 0

The vehicle comes in with one complaint for each of its origins; it is looked at on the hoist, then
the unit on the bench. Units are drawn from the transfer-case book with fixed seeds; every policy
meets the same units and hears the same answers. `minutes` and `asked` run up to the verdict;
`right`: every origin named is there and every finding comes from a named one; `misled`: one named
is not there; `leading`: what is named, or else likeliest, is there for all findings; `found`: share
of the true origins named before the unit is closed up; `wrong`: released parts of whose damage no
named origin is really there. A unit that is not settled ends undetermined, with its parts held.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import lru_cache
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from trial.policies import POLICIES  # noqa: E402
from trial.sitting import Row, Sitting, sit, sum_up, table  # noqa: E402
from trial.units import Setting, draw_unit  # noqa: E402

from headwater.book.load import load_book  # noqa: E402 - the path is set above
from headwater.verdict.assess import Reasoner, build_reasoner  # noqa: E402

SETTINGS = (
    Setting("one origin", 1),
    Setting("two origins", 2),
    Setting("three origins", 3),
    Setting("one origin, 30 % unsure, 5 % slips", 1, unsure=0.30, slips=0.05),
)
SLOW = ("cheapest", "shop checklist", "random", "two steps")
"""Policies that take long, for they ask or think much: they meet every other unit only."""
KNOWLEDGE = HERE.parents[2] / "knowledge" / "transfer-case"


@lru_cache(maxsize=1)
def reasoner_of() -> Reasoner:
    """Return the reasoner, built once in each process."""
    book = load_book([KNOWLEDGE])
    return build_reasoner(book, book.family)


def met(setting: int, seed: int, policy: str) -> Sitting:
    """Return what a policy makes of one unit."""
    reasoner = reasoner_of()
    return sit(reasoner, draw_unit(reasoner.book, SETTINGS[setting], seed), POLICIES[policy])


def trial(pool: Executor, setting: int, units: int, names: list[str]) -> Iterator[Row]:
    """Yield one row for each policy, and the planner's own on the units that slow ones meet."""
    jobs = {
        name: [
            pool.submit(met, setting, seed, name)
            for seed in range(0, units, 2 if name in SLOW else 1)
        ]
        for name in names
    }
    for name, waiting in jobs.items():
        sittings = [sitting.result() for sitting in waiting]
        yield sum_up(name, sittings)
        if name == "planner" and set(names) & set(SLOW):
            yield sum_up("planner, every other", sittings[::2])


def main() -> None:
    """Run the trial and print its tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--units", type=int, default=6)
    parser.add_argument("--policy", action="append", choices=list(POLICIES))
    parser.add_argument("--setting", type=int, action="append", choices=range(len(SETTINGS)))
    args = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        for index in args.setting or range(len(SETTINGS)):
            started = time.perf_counter()
            rows = trial(pool, index, args.units, args.policy or list(POLICIES))
            lines = [SETTINGS[index].name, *table(rows)]
            seconds = time.perf_counter() - started
            sys.stdout.write("\n".join(lines) + f"\n({seconds:.0f} s)\n\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
