"""Axial float and the shims that take it up.

The pack belongs between (measured - largest wanted) and (measured - smallest wanted); both edges
are allowed. It is chosen from the shims at hand, fewest first, then nearest to the middle of the
window. Above the scrap limit no pack is offered at all: filling a groove that is past its limit
only moves the bearing further from its place (*common practice, no source*). The rule for the
window is that of ordinary gearbox workshop instructions. Lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from headwater.measure.faults import MeasureError, not_negative, positive
from headwater.measure.judge import Zone, zone

SHIM_LIMIT_MM: Final = 0.508
"""Input bearing: up to 0.020 in may be shimmed, above is scrap (*common practice, no source*)."""

_MOST_SHIMS: Final = 4
_MOST_SIZES: Final = 40
_ROUNDING: Final = 1e-9  # 0.47 - 0.11 is 0.36 but for the last bit


class ShimAdvice(StrEnum):
    """What a measured float asks for."""

    NONE_NEEDED = "no shim needed"
    FIT = "fit the pack"
    NOT_IN_STOCK = "no pack of the shims at hand fits"
    MEASURE_AGAIN = "below the wanted float without any shim: measure again"
    TOO_CLOSE = "too close to the scrap limit to call: measure again with a better gauge"
    SCRAP = "past the scrap limit: shims must not be used"


@dataclass(frozen=True, slots=True)
class ShimPack:
    """Shims laid together, their thickness, and the float they leave."""

    shims: tuple[float, ...]
    thickness_mm: float
    float_left_mm: float


@dataclass(frozen=True, slots=True)
class ShimChoice:
    """The window for the pack and the packs that lie in it, best first."""

    advice: ShimAdvice
    least_mm: float
    most_mm: float
    packs: tuple[ShimPack, ...] = ()


def axial_float(pushed_mm: float, pulled_mm: float) -> float:
    """Return the float from two dial readings at the ends of the travel, in either order.

    >>> round(axial_float(0.12, 1.26), 3)
    1.14
    """
    return abs(pulled_mm - pushed_mm)


def stack_float(space_mm: float, parts_mm: Sequence[float]) -> float:
    """Return space between the stops less the parts laid in it; below 0 the stack is clamped."""
    positive(space_mm, "the space between the stops")
    for part in parts_mm:
        positive(part, "the thickness of a part")
    return space_mm - math.fsum(parts_mm)


def pack_window(measured_mm: float, least_mm: float, most_mm: float) -> tuple[float, float]:
    """Return thinnest and thickest pack that leaves a float within least..most.

    `measured_mm` is the float with no shim fitted. The thin end may come out below 0: then no
    shim is needed.

    >>> [round(edge, 2) for edge in pack_window(0.47, 0.06, 0.11)]
    [0.36, 0.41]
    """
    not_negative(measured_mm, "the measured float")
    if not 0 <= least_mm <= most_mm:
        raise MeasureError(f"wanted float {least_mm:g} to {most_mm:g} mm is no range; swap the two")
    return measured_mm - most_mm, measured_mm - least_mm


def shim_pack(
    measured_mm: float,
    least_mm: float,
    most_mm: float,
    at_hand_mm: Sequence[float],
    *,
    scrap_over_mm: float | None = None,
    uncertainty_mm: float = 0.0,
) -> ShimChoice:
    """Choose a pack from the shims at hand; a size may be used more than once, up to four shims.

    With a scrap limit and a standard uncertainty of the reading, a float that could lie on either
    side of the limit is given no pack.

    >>> shim_pack(0.47, 0.06, 0.11, [0.35, 0.40, 0.45]).packs[0].shims
    (0.4,)
    """
    thin, thick = pack_window(measured_mm, least_mm, most_mm)
    if scrap_over_mm is not None:
        where = zone(measured_mm, uncertainty_mm, upper=scrap_over_mm)
        if where is not Zone.INSIDE:
            past = where is Zone.OUTSIDE
            return ShimChoice(ShimAdvice.SCRAP if past else ShimAdvice.TOO_CLOSE, thin, thick)
    if thick < -_ROUNDING:
        return ShimChoice(ShimAdvice.MEASURE_AGAIN, thin, thick)
    if thin <= _ROUNDING:
        return ShimChoice(ShimAdvice.NONE_NEEDED, thin, thick)
    packs = _packs(measured_mm, thin, thick, at_hand_mm)
    return ShimChoice(ShimAdvice.FIT if packs else ShimAdvice.NOT_IN_STOCK, thin, thick, packs)


def preload_shim(clearance_mm: float, preload_mm: float) -> float:
    """Return the shim for a preloaded bearing: clearance found plus preload wanted.

    >>> round(preload_shim(0.009, 0.004), 3)
    0.013
    """
    shim = clearance_mm + not_negative(preload_mm, "the preload")
    return not_negative(shim, "the shim")


def changed_shim(fitted_mm: float, change_mm: float) -> float:
    """Return the shim that replaces a fitted one when the float must change by `change_mm`."""
    return not_negative(positive(fitted_mm, "the fitted shim") + change_mm, "the new shim")


def _packs(
    measured_mm: float, thin: float, thick: float, at_hand_mm: Sequence[float]
) -> tuple[ShimPack, ...]:
    sizes = sorted({positive(size, "a shim") for size in at_hand_mm})
    if len(sizes) > _MOST_SIZES:
        raise MeasureError(f"{len(sizes)} shim sizes are too many; give at most {_MOST_SIZES}")
    middle = (thin + thick) / 2
    # Packs of the fewest shims that reach the window: every joint between shims is one more
    # place for dirt and a burr.
    for number in range(1, _MOST_SHIMS + 1):
        found = [
            ShimPack(shims, total, measured_mm - total)
            for shims in itertools.combinations_with_replacement(sizes, number)
            if thin - _ROUNDING <= (total := round(math.fsum(shims), 9)) <= thick + _ROUNDING
        ]
        if found:
            return tuple(
                sorted(found, key=lambda p: (round(abs(p.thickness_mm - middle), 9), p.shims))
            )
    return ()
