"""Threads, coils and the play a bearing keeps when it is fitted.

Lengths in mm, resistances in Ω, temperatures in °C.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from headwater.measure.faults import MeasureError, not_negative, positive

KEPT: Final = 0.8
"""Share of a grip on a smooth solid shaft that widens the inner ring (bearing guides, memory)."""
COPPER: Final = 0.00393
"""Change of resistance of annealed copper per K, from 20 °C (IEC 60028)."""
LEAST_ENGAGED: Final[Mapping[str, float]] = MappingProxyType(
    {"steel": 1.0, "grey-iron": 1.3, "aluminium": 2.0, "magnesium": 2.5}
)
"""Least length of engagement in diameters, by what is tapped: common practice, no source."""

CLEARANCE: Final[Mapping[str, tuple[tuple[float, float], ...]]] = MappingProxyType(
    {
        "C2": ((1, 11), (1, 11), (1, 11), (1, 15), (1, 15), (1, 18)),
        "CN": ((5, 20), (6, 20), (6, 23), (8, 28), (10, 30), (12, 36)),
        "C3": ((13, 28), (15, 33), (18, 36), (23, 43), (25, 51), (30, 58)),
        "C4": ((23, 41), (28, 46), (30, 51), (38, 61), (46, 71), (53, 84)),
    }
)
"""Least and most radial clearance of deep groove ball bearings, µm, by bore (ISO 5753-1)."""
_BORES: Final = (24, 30, 40, 50, 65, 80, 100)


def group_clearance(group: str, bore: float) -> tuple[float, float]:
    """Return the least and most clearance (mm) of a new ball bearing of a group (ISO 5753-1).

    A bore on an edge belongs to the lower range.

    >>> group_clearance("CN", 45)
    (0.006, 0.023)
    """
    if group not in CLEARANCE:
        raise MeasureError(f"'{group}' is not a group; known are {', '.join(CLEARANCE)}")
    for row, most in enumerate(_BORES[1:]):
        if _BORES[0] < bore <= most:
            least, largest = CLEARANCE[group][row]
            return least / 1000, largest / 1000
    raise MeasureError(f"bores over 24 to 100 mm are in the table, not {bore:g} mm")


def fitted_clearance(clearance: float, grip: float, kept: float = KEPT) -> float:
    """Return the radial clearance (mm) left once the ring sits on a shaft that grips it.

    Below 0 the bearing runs preloaded. A `grip` below 0 is play on the shaft and costs nothing.

    >>> round(fitted_clearance(0.006, 0.025), 4), round(fitted_clearance(0.023, 0.002), 4)
    (-0.014, 0.0214)
    """
    return clearance - kept * max(0.0, grip)


def engaged(length: float, clamped: float, diameter: float, depth: float | None = None) -> float:
    """Return how far a bolt is screwed in, in diameters: its length less what it clamps.

    `depth` is that of the thread in the hole, where it ends before the bolt does.

    >>> engaged(30, 14, 8)
    2.0
    """
    reach = positive(length, "the length of the bolt") - not_negative(clamped, "what it clamps")
    if depth is not None:
        reach = min(reach, positive(depth, "the depth of the thread"))
    return max(0.0, reach) / positive(diameter, "the diameter")


def resistance_at_20(resistance: float, temperature: float) -> float:
    """Return what a copper coil would have at 20 °C: R / (1 + 0.00393 (T - 20)).

    >>> round(resistance_at_20(3.3144, 100), 3)
    2.522
    """
    factor = 1 + COPPER * (temperature - 20)
    return positive(resistance, "the resistance") / positive(factor, "1 + 0.00393 (T - 20)")
