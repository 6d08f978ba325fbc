"""Noise orders: how often per turn of a shaft a bearing, chain or gear makes itself heard.

An order is a number of events per turn. Rolling bearing with a fixed outer ring, rolling without
slip (the kinematics of any bearing text): k = (d / D) cos α; cage (1 - k) / 2; outer ring
Z (1 - k) / 2; inner ring Z (1 + k) / 2; rolling element D / (2 d) (1 - k²), and twice that when
both races are struck. Frequencies in Hz, speeds in r/min, diameters in one unit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from headwater.measure.faults import MeasureError, not_negative, positive, whole


@dataclass(frozen=True, slots=True)
class BearingOrders:
    """Events per turn of the shaft, outer ring fixed; `element` is one spin of the element."""

    cage: float
    outer: float
    inner: float
    element: float

    def named(self) -> dict[str, float]:
        """Return the orders a person can listen for, by name."""
        return {
            "cage": self.cage,
            "outer ring": self.outer,
            "inner ring": self.inner,
            "rolling element": 2 * self.element,
        }


@dataclass(frozen=True, slots=True)
class Match:
    """A source whose order, or a multiple of it, lies near what was heard."""

    source: str
    multiple: int
    order: float
    off_percent: float


def bearing_orders(
    elements: float, element_diameter: float, pitch_diameter: float, contact_angle: float = 0.0
) -> BearingOrders:
    """Return the defect orders of a rolling bearing; contact angle in degrees.

    >>> orders = bearing_orders(8, 10, 50)
    >>> [round(30 * order, 6) for order in (orders.outer, orders.inner)]
    [96.0, 144.0]
    """
    count = whole(elements, "the number of rolling elements", least=3)
    d = positive(element_diameter, "the diameter of the rolling elements")
    pitch = positive(pitch_diameter, "the pitch diameter")
    if d >= pitch:
        raise MeasureError(
            "rolling elements cannot be larger than their pitch circle; swap the two"
        )
    if not 0 <= contact_angle < 90:
        raise MeasureError(f"a contact angle lies from 0 to under 90°, not {contact_angle:g}")
    k = d / pitch * math.cos(math.radians(contact_angle))
    return BearingOrders(
        cage=(1 - k) / 2,
        outer=count * (1 - k) / 2,
        inner=count * (1 + k) / 2,
        element=pitch / (2 * d) * (1 - k * k),
    )


def frequency(order: float, rpm: float) -> float:
    """Return the frequency (Hz) of an order at a shaft speed."""
    return not_negative(order, "the order") * not_negative(rpm, "the speed") / 60


def heard_order(hertz: float, rpm: float) -> float:
    """Return the order of a heard or recorded frequency at a shaft speed."""
    return 60 * positive(hertz, "the frequency") / positive(rpm, "the speed")


def mesh_order(teeth: float) -> float:
    """Return the order of a gear or sprocket on its own shaft: its teeth."""
    return float(whole(teeth, "the teeth", least=3))


def match_order(
    heard: float,
    sources: Mapping[str, float],
    tolerance_percent: float = 2.0,
    multiples: Sequence[int] = (1, 2, 3),
) -> tuple[Match, ...]:
    """Return the sources near a heard order, low multiples and small differences first.

    The default of 2 % allows for slip of the rolling elements and for a speed read off a gauge
    (*common practice, no source*).

    >>> match_order(3.05, {"outer ring": 3.05231, "inner ring": 4.94769})[0].source
    'outer ring'
    """
    positive(heard, "the heard order")
    not_negative(tolerance_percent, "the tolerance")
    matches = []
    for source, order in sources.items():
        for multiple in multiples:
            expected = positive(order, f"the order of {source}") * multiple
            off = 100 * (heard - expected) / expected
            if abs(off) <= tolerance_percent:
                matches.append(Match(source, multiple, expected, off))
    return tuple(sorted(matches, key=lambda m: (m.multiple, abs(m.off_percent), m.source)))
