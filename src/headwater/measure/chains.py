"""Drive chains: wear as elongation, when to replace, length, centre distance, pitch diameter.

Elongation is measured under tension, pin centre to pin centre. Limits by the general rule of
chain handbooks (ANSI B29.1, ISO 606): 3 %, or 200/N % when the larger sprocket has more than 67
teeth, or 1.5 % where the centres are fixed. No published limit was found for an inverted-tooth
chain on two sprockets at fixed centres: the unit's own limit comes first, 1.5 % stands in for it.
Lengths in mm, centres and lengths of chain in pitches where the name says so.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final

from headwater.measure.faults import MeasureError, positive, whole

_GENERAL_PERCENT: Final = 3.0
_FIXED_PERCENT: Final = 1.5


class ChainDuty(StrEnum):
    """What the drive lets the chain get away with."""

    ADJUSTABLE = "adjustable"
    FIXED_CENTRES = "fixed-centres"
    INVERTED_TOOTH = "inverted-tooth"


def elongation(measured_mm: float, pitch_mm: float, pitches: float) -> float:
    """Return the elongation in percent over a number of pitches: 100 (M / (n p) - 1).

    Below 0 the chain is shorter than new: a miscount or a wrong pitch.

    >>> round(elongation(627.888, 25.4, 24), 6)
    3.0
    """
    nominal = positive(pitch_mm, "the pitch") * whole(pitches, "the number of pitches")
    return 100 * (positive(measured_mm, "the measured length") / nominal - 1)


def replacement_limit(
    larger_teeth: float | None = None, duty: ChainDuty = ChainDuty.FIXED_CENTRES
) -> float:
    """Return the elongation (percent) at which the chain is replaced.

    200 / N takes over where it is the smaller, which for the general 3 % is from 67 teeth up.

    >>> replacement_limit(100, ChainDuty.ADJUSTABLE)
    2.0
    """
    limit = _GENERAL_PERCENT if duty is ChainDuty.ADJUSTABLE else _FIXED_PERCENT
    if larger_teeth is None:
        return limit
    return min(limit, 200 / whole(larger_teeth, "the teeth of the larger sprocket", least=3))


def length_in_pitches(teeth: float, larger_teeth: float, centre_pitches: float) -> float:
    """Return the length of a chain round two sprockets, in pitches.

    L = 2 C + (n + N) / 2 + (N - n)² / (4 π² C), the usual approximation.

    >>> length_in_pitches(35, 35, 20)
    75.0
    """
    small = whole(teeth, "the teeth of the smaller sprocket", least=3)
    large = whole(larger_teeth, "the teeth of the larger sprocket", least=3)
    centre = positive(centre_pitches, "the centre distance")
    return 2 * centre + (small + large) / 2 + ((large - small) / (2 * math.pi)) ** 2 / centre


def centre_distance(teeth: float, larger_teeth: float, length_pitches: float) -> float:
    """Return the centre distance in pitches that a chain length asks for; undoes the length.

    C = (a + √(a² - 8 ((N - n) / 2π)²)) / 4 with a = L - (n + N) / 2.
    """
    small = whole(teeth, "the teeth of the smaller sprocket", least=3)
    large = whole(larger_teeth, "the teeth of the larger sprocket", least=3)
    free = positive(length_pitches, "the length of the chain") - (small + large) / 2
    inner = free**2 - 8 * ((large - small) / (2 * math.pi)) ** 2
    if free <= 0 or inner < 0:
        raise MeasureError("the chain is too short to go round these sprockets; count again")
    return (free + math.sqrt(inner)) / 4


def pitch_diameter(pitch_mm: float, teeth: float) -> float:
    """Return the pitch diameter of a sprocket in mm: p / sin(180° / N)."""
    return positive(pitch_mm, "the pitch") / math.sin(
        math.pi / whole(teeth, "the teeth of the sprocket", least=3)
    )
