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

import numpy as np

from headwater.belief.expected import Expected, Figure, expected
from headwater.belief.worlds import Factors, Floats, Network, make_worlds

LINK_WORTH = 8.0
"""Cases that the book's word for how often counts as: it is one of four, and no measurement."""
ORIGIN_WORTH = 100.0
"""Cases that the book's word for how common counts as: at 0.02, two units that had it."""
NEAR_ENOUGH = 0.05
"""Share of its own standard error by which no figure may still move when the search ends."""
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
    """What all cases say at some figures: the density's logarithm, gradients, the information."""

    height: float
    slope: Floats
    told: Floats
    tried: Floats
    held: Floats


def learn(
    networks: Mapping[str, Network],
    evidence: Sequence[CasesAlike],
    worth: Callable[[Figure], float] = lambda of: LINK_WORTH if len(of) > 1 else ORIGIN_WORTH,
) -> dict[Figure, Learnt]:
    """Return the figures that some cases say anything of, by what they are of.

    `networks` are those of the unit families; a figure is the same in all of them.
    """
    book = {figure: p for network in networks.values() for figure, p in figures_of(network)}
    order = sorted(book)
    start = np.clip([book[figure] for figure in order], LEAST, MOST)
    weight = np.array([worth(figure) for figure in order])
    at = start.copy()
    here = _step(networks, evidence, order, start, weight, at)
    for _ in range(MOST_STEPS):
        spread = np.linalg.inv(here.told)
        move = np.clip(spread @ here.slope, -LONGEST, LONGEST)
        if np.all(np.abs(move) <= NEAR_ENOUGH * np.sqrt(np.diag(spread))):
            break
        there = _moved(at, move)
        then = _step(networks, evidence, order, start, weight, there)
        while then.height < here.height and np.abs(move).max() > NOTHING:
            move = move / 2.0
            there = _moved(at, move)
            then = _step(networks, evidence, order, start, weight, there)
        at, here = there, then
    spread = np.diag(np.linalg.inv(here.told))
    return {
        figure: Learnt(
            book=book[figure],
            p=float(at[place]),
            worth=float(1.0 / (at[place] * (1.0 - at[place]) * spread[place])),
            before=float(weight[place]),
            tried=float(here.tried[place]),
            held=float(here.held[place]),
        )
        for place, figure in enumerate(order)
        if here.tried[place] > 0.0
    }


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


def _step(
    networks: Mapping[str, Network],
    evidence: Sequence[CasesAlike],
    order: Sequence[Figure],
    book: Floats,
    weight: Floats,
    at: Floats,
) -> _Step:
    """Return what the book and all cases say at some figures, (figures,) each."""
    place = {figure: n for n, figure in enumerate(order)}
    now = dict(zip(order, map(float, at), strict=True))
    worlds = {name: make_worlds(with_figures(one, now)) for name, one in networks.items()}
    height = float(np.sum(weight * (book * np.log(at) + (1.0 - book) * np.log(1.0 - at))))
    found = _Step(
        height,
        weight * (book - at),
        np.diag(weight * at * (1.0 - at)),
        np.zeros(len(order)),
        np.zeros(len(order)),
    )
    for one in evidence:
        said = expected(worlds[one.network], one.factors)
        _add(found, said, one.times, place, now)
    return found


def _add(
    found: _Step,
    said: Expected,
    times: int,
    place: Mapping[Figure, int],
    now: Mapping[Figure, float],
) -> None:
    """Add what one case, or several alike, say of the figures."""
    found.height += times * said.log_evidence
    places, slopes = [], []
    for figure, tried in said.counts.items():
        slope = tried.held - now[figure] * tried.times
        if abs(slope) > NOTHING:
            n = place[figure]
            places.append(n)
            slopes.append(slope)
            found.tried[n] += times * tried.times
            found.held[n] += times * tried.held
    if places:
        slope_of = np.array(slopes)
        found.slope[places] += times * slope_of
        found.told[np.ix_(places, places)] += times * np.outer(slope_of, slope_of)


def log_loss(network: Network, cases: Iterable[Factors]) -> list[float]:
    """Return for each case the negative logarithm of the chance that its findings had."""
    worlds = make_worlds(network)
    return [-expected(worlds, factors).log_evidence for factors in cases]
