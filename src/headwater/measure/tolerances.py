"""Limit deviations of bearing seats (ISO 286-2) and of bearing rings (ISO 492, Normal class).

ISO 286 is kept as a table, not as the delta rule of ISO 286-1: J and j have no rule, and the
standard's own table leaves the rule once (M6, 250-315 mm). A size band is 'over, up to and
including': 80 mm belongs to 50-80. The metric outside diameters of ISO 492 are quoted from
memory and agree with the inch tables (0.0004 to 0.0007 in) after rounding.
Deviations are stored in µm and returned in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from headwater.measure.faults import MeasureError, positive

# Upper/lower deviation in µm for 18-30, 30-50, 50-80, 80-120 mm.
_SIZES: Final = (18, 30, 50, 80, 120)
_Row = tuple[tuple[float, float], ...]

HOLES: Final[Mapping[str, _Row]] = MappingProxyType(
    {
        "H7": ((21, 0), (25, 0), (30, 0), (35, 0)),
        "H8": ((33, 0), (39, 0), (46, 0), (54, 0)),
        "J7": ((12, -9), (14, -11), (18, -12), (22, -13)),
        "JS7": ((10.5, -10.5), (12.5, -12.5), (15, -15), (17.5, -17.5)),
        "K7": ((6, -15), (7, -18), (9, -21), (10, -25)),
        "M7": ((0, -21), (0, -25), (0, -30), (0, -35)),
        "N7": ((-7, -28), (-8, -33), (-9, -39), (-10, -45)),
        "P7": ((-14, -35), (-17, -42), (-21, -51), (-24, -59)),
    }
)
SHAFTS: Final[Mapping[str, _Row]] = MappingProxyType(
    {
        "j5": ((5, -4), (6, -5), (6, -7), (6, -9)),
        "j6": ((9, -4), (11, -5), (12, -7), (13, -9)),
        "k5": ((11, 2), (13, 2), (15, 2), (18, 3)),
        "k6": ((15, 2), (18, 2), (21, 2), (25, 3)),
        "m5": ((17, 8), (20, 9), (24, 11), (28, 13)),
        "m6": ((21, 8), (25, 9), (30, 11), (35, 13)),
        "n6": ((28, 15), (33, 17), (39, 20), (45, 23)),
        "p6": ((35, 22), (42, 26), (51, 32), (59, 37)),
        "h6": ((0, -13), (0, -16), (0, -19), (0, -22)),
        "g6": ((-7, -20), (-9, -25), (-10, -29), (-12, -34)),
    }
)

# ISO 492 Normal class: upper edge of the band in mm, lower deviation in µm; the upper one is 0.
_OUTSIDE: Final = ((30, 50, -11), (50, 80, -13), (80, 120, -15), (120, 150, -18))


def seat_deviations(tolerance_class: str, nominal_mm: float) -> tuple[float, float]:
    """Return lower and upper deviation (mm) of a bore class (`J7`) or a shaft class (`k6`).

    ISO 286-2, 18 to 120 mm. Raises `MeasureError` for a class or size outside the table.

    >>> seat_deviations("J7", 80)
    (-0.012, 0.018)
    """
    row = HOLES.get(tolerance_class) or SHAFTS.get(tolerance_class)
    if row is None:
        known = ", ".join((*HOLES, *SHAFTS))
        raise MeasureError(f"'{tolerance_class}' is not in the table of seats; known are {known}")
    positive(nominal_mm, "the nominal size")
    for index, (over, upto) in enumerate(itertools.pairwise(_SIZES)):
        if over < nominal_mm <= upto:
            upper, lower = row[index]
            return lower / 1000, upper / 1000
    raise MeasureError(f"{nominal_mm:g} mm is outside the table of seats, over 18 to 120 mm")


def outside_deviations(nominal_mm: float) -> tuple[float, float]:
    """Return lower and upper deviation (mm) of a bearing's outside diameter, ISO 492 Normal."""
    return _ring(_OUTSIDE, nominal_mm, "outside diameters of rings, over 30 to 150 mm")


def _ring(
    table: tuple[tuple[int, int, int], ...], nominal_mm: float, what: str
) -> tuple[float, float]:
    positive(nominal_mm, "the nominal size")
    for over, upto, lower in table:
        if over < nominal_mm <= upto:
            return lower / 1000, 0.0
    raise MeasureError(f"{nominal_mm:g} mm is outside the table of {what}")
