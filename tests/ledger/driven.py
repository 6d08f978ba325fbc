"""A shop whose units are driven through `Session`: the program chooses what is asked of each.

The units are those of `shopfloor`: drawn from the frozen book with its figures moved by known
factors. Each customer is asked about every complaint, as nobody would learn the share of units that
howl from those that were brought in for it; what is looked at then is for the program to choose,
and is answered by the book's own table, a few looks with 'don't know'. The cases go into a ledger,
and `learning` reads them there. `python tests/ledger/driven.py --seeds 30` prints a table.

A thorough shop goes on past the verdict, as long as the program asks, up to so many looks. One that
stops at the verdict never looks into a unit that nobody complains of: how many have a fault that
shows in nothing is then told by the book alone, and its intervals hold a truth that has drifted far
from the book less often (`--stops`).
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from math import prod
from pathlib import Path

from trial.desk import Desk

from headwater.belief.expected import Figure
from headwater.belief.learning import figures_of, log_loss, with_figures
from headwater.belief.worlds import Network, network_of
from headwater.book.load import load_book
from headwater.book.model import Check
from headwater.book.tables import DONT_KNOW, Nature, Seat
from headwater.case.casestore import case_text
from headwater.case.model import Case
from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.learn import learning
from headwater.ledger.learned import FigureRow
from headwater.ledger.records import Hand
from headwater.ledger.taken import add_case, case_file_of
from headwater.rules.evidence import likelihoods
from headwater.session.openbook import OpenBook
from headwater.simulate.observer import Observer, Reply
from headwater.simulate.units import Setting, SimulatedUnit, reached
from ledger.shopfloor import BOOK, EXPOSED, RARE, Result, draw_units, drifted, gain_words

LOOKS = 12
"""Looks at a unit at most, the complaints not counted."""
TIMES = 2
"""Askings of one check: after 'don't know', once more of somebody else."""
UNSURE = Setting("driven", unsure=0.05)
Told = tuple[tuple[str, str], ...]
"""Checks and what was answered to each, in order."""


@cache
def opened() -> OpenBook:
    """Return the book that the shop reads."""
    return OpenBook(load_book([BOOK]))


@dataclass(frozen=True, slots=True)
class Bench(Observer):
    """People who answer by the book's own table."""

    def truth(self, check: Check) -> str:
        """Return an answer as the book says that it is given where the unit is as it is."""
        words, spoken = [*map(str, check.answers)], sorted(check.speaks_of())
        weights = [
            prod(likelihoods(answer, c)[c not in self.unit.present] for c in spoken)
            for answer in check.answers.values()
        ]
        return self._stream(check, "truth").choices(words, weights)[0]

    def told(self, check: Check, time: int) -> Reply:
        """Return what the person says who is asked after so many others."""
        if self.unknown(check, time):
            return Reply(DONT_KNOW, DONT_KNOW)
        return self.exactly(check)


@dataclass(slots=True)
class Tree:
    """What the program asks after what was told, and the case that comes of it, each found once."""

    thorough: bool = True
    asks: dict[Told, str | None] = field(default_factory=dict)
    cases: dict[Told, Case] = field(default_factory=dict)

    def next(self, told: Told) -> str | None:
        """Return the check that the program asks for next; None where it has no more."""
        if told not in self.asks:
            self.asks[told], self.cases[told] = _next(told, self.thorough)
        return self.asks[told]


def complaints() -> list[Check]:
    """Return the checks that ask about a complaint."""
    book = opened().book
    kinds = {c: book.conditions[c].kind for c in book.conditions}
    return [
        check
        for check in book.checks.values()
        if Seat.CALL in check.seats and any(kinds[c] is Nature.COMPLAINT for c in check.decides())
    ]


def _next(told: Told, thorough: bool) -> tuple[str | None, Case]:
    book = opened()
    desk = Desk(book, book.book.family)
    for check, given in told:
        if not desk.reaches(desk.book.checks[check]):
            desk.to_bench()
        desk.session.answer(check, given)
    times = Counter(check for check, _ in told)
    free = len(complaints())
    done = not thorough and len(told) > free and desk.session.fine
    if done or len(told) >= free + LOOKS:
        return None, desk.session.case
    for _ in (Seat.HOIST, Seat.BENCH):
        for check in desk.offered():
            if times[check] < TIMES:
                return check, desk.session.case
        if desk.seat is Seat.BENCH:
            break
        desk.to_bench()
    return None, desk.session.case


def drive(tree: Tree, bench: Bench) -> Case:
    """Return the case that comes of a unit."""
    told: Told = tuple((str(one.id), bench.told(one, 0).given) for one in complaints())
    while (check := tree.next(told)) is not None:
        time = sum(one == check for one, _ in told)
        told += ((check, bench.told(bench.book.checks[check], time).given),)
    return tree.cases[told]


def draw_unit(network: Network, seed: str, number: int) -> tuple[SimulatedUnit, list[Figure]]:
    """Return a unit that comes in, and the links whose cause is there."""
    draw = random.Random(f"{seed}/{number}")
    starts = [c for c, p in network.priors.items() if draw.random() < p]
    fired = [(c, e) for c, e, p in network.links if draw.random() < p]
    there = reached(starts, fired)
    unit = SimulatedUnit(draw.randrange(2**40), frozenset(starts), there, {}, {}, ())
    return unit, [(c, e) for c, e, _ in network.links if c in there]


def fill(ledger: Ledger, tree: Tree, network: Network, seed: str, number: int) -> Counter[Figure]:
    """Put so many driven units into a ledger; return how often each link's cause was there."""
    book, exposed = opened(), Counter[Figure]()
    for n in range(number):
        unit, links = draw_unit(network, seed, n)
        exposed.update(links)
        case = drive(tree, Bench(book.book, unit, UNSURE))
        given = case_file_of(case_text(replace(case, case=f"U-{n}")), "drawn")
        add_case(ledger, given, Hand())
    return exposed


def run(tree: Tree, seed: int, number: int, *, moved: bool, tested: int) -> Result:
    """Drive a shop's units, learn from its ledger, and hold that against the truth."""
    read = replace(network_of(opened().book), unlisted=0.0)
    true = drifted(read) if moved else read
    with tempfile.TemporaryDirectory() as folder:
        ledger = make_ledger(str(Path(folder) / "shop.sqlite"), {})
        exposed = fill(ledger, tree, true, f"driven/{seed}/{moved}", number)
        rows = learning(ledger, opened()).rows
        ledger.close()
    truth = dict(figures_of(true))
    found: dict[Figure, FigureRow] = {((r.cause, r.of) if r.cause else (r.of,)): r for r in rows}
    often = {f: one for f, one in found.items() if len(f) > 1 and exposed[f] >= EXPOSED}
    rare = [abs(r.shop - r.book) for f, r in found.items() if len(f) > 1 and exposed[f] < RARE]
    proposed = {f: r.shop for f, r in found.items() if r.moved}
    fresh = draw_units(true, tested, random.Random(f"driven/fresh/{seed}")).findings
    before, after = log_loss(read, fresh), log_loss(with_figures(read, proposed), fresh)
    return Result(
        held=sum(one.low <= truth[f] <= one.high for f, one in often.items()),
        of=len(often),
        rare=max(rare, default=0.0),
        gains=tuple(b - a for a, b in zip(before, after, strict=True)),
    )


def table(tree: Tree, seeds: int, number: int, *, moved: bool) -> Iterator[str]:
    """Yield a line for each seed, and what all come to."""
    found: list[Result] = []
    for seed in range(seeds):
        one = run(tree, seed, number, moved=moved, tested=300)
        found.append(one)
        yield f"seed {seed:2}: {one.held} of {one.of} held; {gain_words(one)}; rare {one.rare:.3f}"
    held, of = sum(one.held for one in found), sum(one.of for one in found)
    every = replace(found[0], gains=tuple(gain for one in found for gain in one.gains))
    yield f"all {seeds}: {held} of {of} held ({held / of:.1%}); {gain_words(every)}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=30)
    parser.add_argument("--units", type=int, default=500)
    parser.add_argument("--as-read", action="store_true", help="draw by the book itself")
    parser.add_argument("--stops", action="store_true", help="stop at the verdict")
    wanted = parser.parse_args()
    whole = table(Tree(not wanted.stops), wanted.seeds, wanted.units, moved=not wanted.as_read)
    for line in whole:
        print(line, flush=True)
