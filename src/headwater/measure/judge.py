"""Judge a reading against limits, with the uncertainty of the gauge that gave it.

A limit cuts the line into bands: good, may be shimmed, scrap. Close to an edge the reading could
belong to either side, and a guard band as in ISO 14253-1 keeps such a reading from deciding
anything: it is certain of a band only when it lies inside by at least g = 1.645 u, the one-sided
95 % point of the normal distribution. The default of 95 % is quoted from memory of the 2017
edition. The probability of each band is the conformance probability of JCGM 106:2012, section 7,
for a normal distribution about the reading with standard uncertainty u.

Values, edges and u share one unit, whichever it is. An edge belongs to the band below it, as in
'up to and including'.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from headwater.measure.faults import MeasureError, not_negative

GUARD_FACTOR: Final = 1.645
"""Guard band in standard uncertainties: one-sided 95 % of a normal distribution."""


class Zone(StrEnum):
    """The three answers of ISO 14253-1."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    TOO_CLOSE = "too close to call"


@dataclass(frozen=True, slots=True)
class Bands:
    """Named bands from low to high; `edges` are the upper edges of all but the last band."""

    names: tuple[str, ...]
    edges: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse bands that cannot be told apart."""
        if len(self.names) != len(self.edges) + 1:
            raise MeasureError(
                f"{len(self.names)} bands need {len(self.names) - 1} edges, not {len(self.edges)}"
            )
        _check_edges(self.edges)


@dataclass(frozen=True, slots=True)
class Judgement:
    """Where a reading lies: the nearest band, the certain one if any, and the share of each."""

    bands: Bands
    value: float
    uncertainty: float
    nearest: str
    certain: str | None
    shares: tuple[float, ...]

    @property
    def too_close(self) -> bool:
        """True when the reading decides nothing; measure again, or with a better gauge."""
        return self.certain is None


def judge(value: float, uncertainty: float, bands: Bands) -> Judgement:
    """Judge a reading with its standard uncertainty against named bands.

    >>> shim = Bands(("as new", "may be shimmed", "scrap"), (0.1, 0.508))
    >>> judge(0.3, 0.01, shim).certain
    'may be shimmed'
    >>> judge(0.50, 0.01, shim).too_close
    True
    """
    index = certain_band(value, uncertainty, bands.edges)
    return Judgement(
        bands,
        value,
        uncertainty,
        bands.names[band_of(value, bands.edges)],
        None if index is None else bands.names[index],
        band_shares(value, uncertainty, bands.edges),
    )


def band_of(value: float, edges: Sequence[float]) -> int:
    """Return the index of the band a value lies in; a value on an edge is in the band below."""
    _check_edges(edges)
    if not math.isfinite(value):
        raise MeasureError("a reading must be a finite number; measure again")
    return bisect_left(edges, value)


def band_shares(value: float, uncertainty: float, edges: Sequence[float]) -> tuple[float, ...]:
    """Return the probability that the true value lies in each band; they add up to 1.

    JCGM 106:2012 section 7, normal distribution. With u = 0 one band has it all.
    """
    index = band_of(value, edges)
    if not not_negative(uncertainty, "the uncertainty"):
        return tuple(float(band == index) for band in range(len(edges) + 1))
    marks = [(edge - value) / uncertainty for edge in edges]
    lower, upper = [-math.inf, *marks], [*marks, math.inf]
    return tuple(_share(low, high) for low, high in zip(lower, upper, strict=True))


def certain_band(
    value: float, uncertainty: float, edges: Sequence[float], guard: float = GUARD_FACTOR
) -> int | None:
    """Return the index of the band the reading proves, or None when it is too close to call.

    Each edge of the band must be at least `guard` * u away (ISO 14253-1).
    """
    index = band_of(value, edges)
    g = guard * not_negative(uncertainty, "the uncertainty")
    clear_below = index == 0 or value - g >= edges[index - 1]
    clear_above = index == len(edges) or value + g <= edges[index]
    return index if clear_below and clear_above else None


def zone(
    value: float,
    uncertainty: float,
    lower: float | None = None,
    upper: float | None = None,
    guard: float = GUARD_FACTOR,
) -> Zone:
    """Decide conformity with a tolerance by the guard bands of ISO 14253-1.

    Leave out a limit for a one-sided tolerance. Both limits are themselves inside.

    >>> zone(80.013, 0.002, 79.988, 80.018).value
    'inside'
    >>> zone(80.016, 0.002, 79.988, 80.018).value
    'too close to call'
    """
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if low > high:
        raise MeasureError(f"lower limit {low:g} lies above upper limit {high:g}; swap them")
    g = guard * not_negative(uncertainty, "the uncertainty")
    if low + g <= value <= high - g:
        return Zone.INSIDE
    beyond = value < low - g or value > high + g
    return Zone.OUTSIDE if beyond else Zone.TOO_CLOSE


def _share(low: float, high: float) -> float:
    # Taking both from the same tail keeps small shares exact far from the reading.
    if low > 0:
        return _tail(low) - _tail(high)
    return _tail(-high) - _tail(-low)


def _tail(z: float) -> float:
    return 0.5 * math.erfc(z / math.sqrt(2))


def _check_edges(edges: Sequence[float]) -> None:
    rising = all(low < high for low, high in itertools.pairwise(edges))
    if not rising or not all(math.isfinite(edge) for edge in edges):
        raise MeasureError("the edges of a limit must rise from band to band; put them in order")
