"""A shop whose units come from another book than it reads: what it learns, held against the truth.

Units are drawn from the frozen book with its figures moved by known factors; their findings are
drawn directly, by the sureness of a decisive answer. Two benches look: one at nearly all, one at
half. `python tests/ledger/shopfloor.py --seeds 30 --units 20000` prints the table of many seeds.
"""

from __future__ import annotations

import argparse
import random
import statistics
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from scipy.stats import bootstrap

from headwater.belief.expected import Figure
from headwater.belief.learning import Learnt, figures_of, log_loss, with_figures
from headwater.belief.worlds import Factors, Network, network_of
from headwater.book.load import load_book
from headwater.book.tables import SURENESS
from headwater.ledger.fits import share_believed
from headwater.ledger.learn import Pile, rows_of
from headwater.ledger.learned import LEVEL
from headwater.simulate.units import reached

BOOK = Path(__file__).resolve().parents[1] / "frozen" / "yard"
OFTEN = (0.4, 1.0, 0.7, 1.2, 1.0)
COMMON = (1.0, 2.0, 0.5)
"""Factors of what is drawn against the book, in turn over the figures by id."""
FEW_LOOKED = 2
"""Every so many-th condition is not looked at: its neighbours alone speak of it."""
EXPOSED = 30
"""Units with a link's cause from which on its interval is counted."""
RARE = 5
There = frozenset[str]


def drifted(network: Network) -> Network:
    """Return the network with its figures moved by the known factors, none above 0.98."""
    links = [f for f, _ in figures_of(network) if len(f) > 1]
    at: dict[Figure, float] = {}
    for figure, p in figures_of(network):
        factors, number = (OFTEN, links.index(figure)) if len(figure) > 1 else (COMMON, 0)
        if len(figure) == 1:
            number = sorted(network.priors).index(figure[0])
        at[figure] = min(p * factors[number % len(factors)], 0.98)
    return with_figures(network, at)


@dataclass(frozen=True, slots=True)
class Units:
    """Drawn units: the findings of each, and how often each link's cause was there."""

    findings: list[Factors]
    exposed: Counter[Figure]


def draw_units(network: Network, number: int, draw: random.Random) -> Units:
    """Draw units, and what two benches find at them."""
    benches = [
        tuple(c for n, c in enumerate(network.conditions) if n % 7 != 3),
        tuple(c for n, c in enumerate(network.conditions) if n % FEW_LOOKED == 0),
    ]
    present, absent = SURENESS["decisive"]
    bad, sound = (present, absent), (1.0 - present, 1.0 - absent)
    findings: list[Factors] = []
    exposed = Counter[Figure]()
    for _ in range(number):
        starts = [c for c, p in network.priors.items() if draw.random() < p]
        fired = [(c, e) for c, e, p in network.links if draw.random() < p] if starts else []
        there = reached(starts, fired)
        exposed.update((c, e) for c, e, _ in network.links if c in there)
        looks = {
            c: draw.random() < (present if c in there else absent) for c in draw.choice(benches)
        }
        findings.append({c: bad if seen else sound for c, seen in looks.items()})
    return Units(findings, exposed)


def learnt_from(network: Network, units: Units) -> dict[Figure, Learnt]:
    """Return what a shop that reads a network learns from its units."""
    pile = Pile()
    for factors in units.findings:
        pile.add("", network, factors)
    return pile.learnt()


@dataclass(frozen=True, slots=True)
class Result:
    """One seed: how many intervals held the truth, how far rare links went, what was gained.

    `gains` are log loss with the proposed figures less log loss with the book's, for each of some
    units that nothing was learnt from; `within` is their mean with its interval of 95 %.
    """

    held: int
    of: int
    rare: float
    gains: tuple[float, ...]

    @property
    def within(self) -> tuple[float, float, float]:
        """The mean gain, and its interval from the bootstrap."""
        if len(set(self.gains)) < 2:
            return self.gains[0], self.gains[0], self.gains[0]
        found = bootstrap(
            (self.gains,), statistics_mean, n_resamples=999, rng=1, method="percentile"
        )
        ends = found.confidence_interval
        return statistics.fmean(self.gains), float(ends.low), float(ends.high)


def statistics_mean(sample: Sequence[float], axis: int = -1) -> float:
    """Return the mean along an axis, as the bootstrap wants it."""
    import numpy as np

    found: float = np.mean(sample, axis=axis)
    return found


def run(seed: int, number: int, *, moved: bool, tested: int) -> Result:
    """Draw a shop, learn, and hold it against the truth."""
    book = load_book([BOOK])
    read = replace(network_of(book), unlisted=0.0)
    true = drifted(read) if moved else read
    draw = random.Random(f"shop/{seed}/{moved}")
    units = draw_units(true, number, draw)
    learnt = learnt_from(read, units)
    truth, was = dict(figures_of(true)), dict(figures_of(read))
    held = of = 0
    rare = 0.0
    for figure, exposed in sorted(units.exposed.items()):
        one = learnt.get(figure)
        if one and exposed >= EXPOSED:
            within = share_believed(one.p, one.worth, LEVEL)
            held += within.low <= truth[figure] <= within.high
            of += 1
        elif one and exposed < RARE:
            rare = max(rare, abs(one.p - was[figure]))
    proposed: dict[Figure, float] = {
        ((row.cause, row.of) if row.cause else (row.of,)): row.shop
        for row in rows_of(book, learnt)
        if row.moved
    }
    fresh = draw_units(true, tested, draw).findings
    before, after = log_loss(read, fresh), log_loss(with_figures(read, proposed), fresh)
    gains = tuple(b - a for a, b in zip(before, after, strict=True))
    return Result(held, of, rare, gains)


def table(seeds: int, number: int, *, moved: bool) -> Iterator[str]:
    """Yield the lines of the table, seed by seed, and what all come to."""
    results = []
    yield "the shop's figures are " + ("moved against the book's" if moved else "those of the book")
    for seed in range(seeds):
        one = run(seed, number, moved=moved, tested=max(number // 10, 200))
        results.append(one)
        yield f"seed {seed:2}: {one.held} of {one.of} held; {gain_words(one)}; rare {one.rare:.3f}"
    held, of = sum(one.held for one in results), sum(one.of for one in results)
    every = replace(results[0], gains=tuple(g for one in results for g in one.gains))
    rare = max(one.rare for one in results)
    share = f"{held} of {of} held ({held / of:.1%})"
    yield f"all {seeds}: {share}; {gain_words(every)}; rare {rare:.3f}"


def gain_words(one: Result) -> str:
    """Return the mean gain of log loss with its interval."""
    mean, low, high = one.within
    return f"log loss {mean:+.5f} ({low:+.5f} to {high:+.5f})"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=30)
    parser.add_argument("--units", type=int, default=20_000)
    parser.add_argument("--as-read", action="store_true", help="draw by the book itself")
    told = parser.parse_args()
    for line in table(told.seeds, told.units, moved=not told.as_read):
        print(line, flush=True)
