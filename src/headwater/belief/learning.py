"""What the figures of a book should be, by the findings of many cases and by what the book says.

The book's own figure counts as so many cases (`LINK_WORTH`, `ORIGIN_WORTH`): a beta distribution
round it. The figures of largest posterior density, each as its log odds, are those at which what
was expected of all cases, the book's own among them, is what the figures say; where nothing is
hidden that is the mean of the beta distribution. They are found by scoring steps on the findings'
own gradients (Berndt, Hall, Hall and Hausman, Annals of Economic and Social Measurement 3, 1974;
cited from memory), whose fixed point is that of expectation and maximization. The same gradients
give what the cases tell of all figures together, so that two figures which only their product is
seen of do not both pass for known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from headwater.belief.expected import Figure, expected
from headwater.belief.worlds import Factors, Floats, Network, make_worlds

LINK_WORTH = 8.0
"""Cases that the book's word for how often counts as: it is one of four, and no measurement."""
ORIGIN_WORTH = 100.0
"""Cases that the book's word for how common counts as: at 0.02, two units that had it."""
NEAR_ENOUGH = 0.05
"""Share of its own standard error by which no figure may still move when the search ends."""
NO_GAIN = 0.02
"""Gain of a step in the logarithm of the density below which it was the last one."""
MOST_STEPS = 25
LONGEST = 2.0
"""Log odds by which a figure may move in one step."""
NOTHING = 1e-9
"""A gradient below this says nothing."""
LEAST, MOST = 1e-4, 1.0 - 1e-4
"""Between these every figure is kept, or nothing could ever move it again."""


@dataclass(frozen=True, slots=True)
class CasesAlike:
    """The findings of `times` cases alike: of which network, with likelihoods by condition."""

    network: str
    factors: Factors
    times: int = 1


@dataclass(frozen=True, slots=True)
class Learnt:
    """A figure: as the book has it, as it comes out, and as how many cases that counts.

    `before` of the worth is the book's own share of it. `tried` and `held` are the expected numbers
    of cases in which it was put to the test where findings bear on it, and in which it held.
    """

    book: float
    p: float
    worth: float
    before: float
    tried: float
    held: float

    @property
    def told(self) -> float:
        """As many cases, with nothing hidden, would tell as much as the findings do."""
        return max(self.worth - self.before, 0.0)


@dataclass(slots=True)
class _Step:
    """What the cases, and the book, say at some figures.

    `height` is the logarithm of the posterior density, `slope` its gradient (figures,), by log
    odds. Each row of `slopes` (rows, figures) is the gradient of some cases alike, by the root of
    their number; `firm` (figures,) is the information of the book alone.
    """

    height: float
    slope: Floats
    slopes: Floats
    firm: Floats
    tried: Floats
    held: Floats

    def spread(self, onto: Floats) -> tuple[Floats, Floats]:
        """Return the inverse of all information times a vector, and the diagonal of the inverse.

        Of few cases it is worked out in their own number of dimensions, not in that of the figures.
        """
        rows, figures = self.slopes.shape
        if rows >= figures:
            inverse = np.linalg.inv(np.diag(self.firm) + self.slopes.T @ self.slopes)
            return inverse @ onto, np.diag(inverse)
        loose = self.slopes / self.firm
        middle = np.linalg.inv(np.eye(rows) + loose @ self.slopes.T)
        moved = onto / self.firm - loose.T @ (middle @ (loose @ onto))
        return moved, 1.0 / self.firm - np.einsum(
            "rf,rs,sf->f", loose, middle, loose, optimize=True
        )


@dataclass(frozen=True, slots=True)
class _Told:
    """What is learnt from: the cases, the figures that they bear on, and what the book has."""

    networks: Mapping[str, Network]
    cases: Sequence[CasesAlike]
    order: Sequence[Figure]
    book: Floats
    weight: Floats


def learn(
    networks: Mapping[str, Network],
    cases: Sequence[CasesAlike],
    worth: Callable[[Figure], float] = lambda of: LINK_WORTH if len(of) > 1 else ORIGIN_WORTH,
) -> dict[Figure, Learnt]:
    """Return the figures that some cases say anything of, by what they are of.

    `networks` are those of the unit families; a figure is the same in all of them.
    """
    book = {figure: p for network in networks.values() for figure, p in figures_of(network)}
    order = _borne_on(networks, cases)
    start = np.clip([book[figure] for figure in order], LEAST, MOST)
    told = _Told(networks, cases, order, start, np.array([worth(figure) for figure in order]))
    at, here = _highest(told)
    _, spread = here.spread(here.slope)
    return {
        figure: Learnt(
            book=book[figure],
            p=float(at[place]),
            worth=_worth(told, here, place, float(at[place]), float(spread[place])),
            before=float(told.weight[place]),
            tried=float(here.tried[place]),
            held=float(here.held[place]),
        )
        for place, figure in enumerate(order)
    }


def _worth(told: _Told, here: _Step, place: int, p: float, spread: float) -> float:
    """Return as how many cases a figure counts: never more than it was put to the test in.

    Of a figure that held seldom the gradients of few cases may claim more.
    """
    most = float(told.weight[place] + here.tried[place])
    return min(1.0 / (p * (1.0 - p) * spread), most)


def _borne_on(networks: Mapping[str, Network], cases: Sequence[CasesAlike]) -> list[Figure]:
    """Return the figures that some findings bear on: whatever leads to what they speak of."""
    worlds = {name: make_worlds(network) for name, network in networks.items()}
    found: set[Figure] = set()
    for one in cases:
        here = dict(figures_of(networks[one.network]))
        counts = expected(worlds[one.network], one.factors).counts
        found |= {
            f for f, tried in counts.items() if abs(tried.held - here[f] * tried.times) > NOTHING
        }
    return sorted(found)


def _highest(told: _Told) -> tuple[Floats, _Step]:
    """Return the figures of largest posterior density, and what is said there."""
    at = told.book.copy()
    here = _step(told, at)
    for _ in range(MOST_STEPS):
        move, spread = here.spread(here.slope)
        if np.all(np.abs(move) <= NEAR_ENOUGH * np.sqrt(spread)):
            break
        move, before = np.clip(move, -LONGEST, LONGEST), here.height
        there = _moved(at, move)
        then = _step(told, there)
        while then.height < before and np.abs(move).max() > NEAR_ENOUGH:
            move = move / 2.0
            there = _moved(at, move)
            then = _step(told, there)
        if then.height > before:
            at, here = there, then
        if here.height - before < NO_GAIN:
            break
    return at, here


def figures_of(network: Network) -> Iterable[tuple[Figure, float]]:
    """Yield every figure of a network: of its origins and of its links."""
    yield from (((origin,), p) for origin, p in network.priors.items())
    yield from (((cause, effect), p) for cause, effect, p in network.links)


def with_figures(network: Network, at: Mapping[Figure, float]) -> Network:
    """Return a network with other figures; those that are not named stay."""
    return replace(
        network,
        priors={origin: at.get((origin,), p) for origin, p in network.priors.items()},
        links=tuple((c, e, at.get((c, e), p)) for c, e, p in network.links),
    )


def _moved(at: Floats, move: Floats) -> Floats:
    odds = np.log(at / (1.0 - at)) + move
    moved: Floats = np.clip(1.0 / (1.0 + np.exp(-odds)), LEAST, MOST)
    return moved


def _step(told: _Told, at: Floats) -> _Step:
    """Return what the book and all cases say at some figures."""
    place = {figure: n for n, figure in enumerate(told.order)}
    now = dict(zip(told.order, map(float, at), strict=True))
    worlds = {name: make_worlds(with_figures(one, now)) for name, one in told.networks.items()}
    size = len(at)
    slopes, slope = np.zeros((len(told.cases), size)), told.weight * (told.book - at)
    tried, held = np.zeros(size), np.zeros(size)
    kept = told.book * np.log(at) + (1.0 - told.book) * np.log(1.0 - at)
    height = float(told.weight @ kept)
    for row, one in zip(slopes, told.cases, strict=True):
        said = expected(worlds[one.network], one.factors)
        height += one.times * said.log_evidence
        for figure, (times, held_times) in said.counts.items():
            if (n := place.get(figure)) is not None:
                row[n] = held_times - now[figure] * times
                tried[n] += one.times * times
                held[n] += one.times * held_times
        slope = slope + one.times * row
        row *= sqrt(one.times)
    return _Step(height, slope, slopes, told.weight * at * (1.0 - at), tried, held)


def log_loss(network: Network, cases: Iterable[Factors]) -> list[float]:
    """Return for each case the negative logarithm of the chance that its findings had."""
    worlds = make_worlds(network)
    return [-expected(worlds, factors).log_evidence for factors in cases]
