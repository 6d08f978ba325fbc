"""A chart as a record, before a pen draws it: curves and marks over two axes, or a row of bars.

Shares run up from nought to all. What a chart shows stands in a table beside it, too.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Dot:
    """A share at a place on the axis across, with the ends of its interval."""

    across: float
    share: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Dots joined by a line: in steps, each share holding until the next, or straight.

    `spread` shows the intervals as a band; one that is not `found` but reckoned is dashed.
    """

    name: str
    dots: tuple[Dot, ...]
    in_steps: bool = False
    spread: bool = False
    found: bool = True


@dataclass(frozen=True, slots=True)
class Bar:
    """A share by its name, with the ends of its interval, and the words that say it."""

    name: str
    share: float
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Bars, where there are any; else curves and single `marks`.

    `across` and `up` say what runs along the axes; `ticks` are places across with their words, the
    last one where the axis ends.
    """

    heading: str
    across: str
    up: str
    ticks: tuple[tuple[float, str], ...] = ()
    curves: tuple[Curve, ...] = ()
    marks: tuple[Dot, ...] = ()
    marked: str = ""
    bars: tuple[Bar, ...] = ()
