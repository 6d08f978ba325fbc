"""Propeller shafts: how unevenly joints turn, when a tube whips, how much unbalance is left.

A joint bent by an angle a turns its driven side between cos a and 1/cos a of the driving speed,
twice a turn; the span U = 1/cos a - cos a = tan a sin a. Joints of one shaft add up with the place
of their yokes: in phase the second takes back what the first gave. Angles in degrees, lengths in
mm, masses in kg, speeds in r/min.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from headwater.measure.faults import MeasureError, not_negative, positive

GRADES: Final[Mapping[str, float]] = MappingProxyType({"G6.3": 6.3, "G16": 16.0, "G40": 40.0})
"""Balance quality grades, mm/s (ISO 21940-11:2016): G16 propeller shafts, G40 car drive shafts."""
WORKING_SHARE: Final = 0.7
"""Share of its critical speed that a road vehicle's tube may turn (guides of shaft makers)."""
_MODULUS, _DENSITY = 206e9, 7850.0
_STEEPEST: Final = 45.0


def joint_span(angle: float) -> float:
    """Return the span of speed of one joint, 1/cos a - cos a, as a share of the driving speed.

    >>> round(joint_span(8), 7)
    0.0195595
    """
    bend = math.radians(_bend(angle))
    return math.tan(bend) * math.sin(bend)


def joint_lead(angle: float) -> float:
    """Return how far (degrees) the driven side leads or lags at most: asin((1-cos a)/(1+cos a)).

    >>> round(joint_lead(8), 6)
    0.280164
    """
    turned = math.cos(math.radians(_bend(angle)))
    return math.degrees(math.asin((1 - turned) / (1 + turned)))


def shaft_span(angles: Sequence[float], twist: float = 0.0) -> float:
    """Return the span of speed behind several joints in a line, in phase but for a `twist`.

    In phase each joint takes back what the one before gave, so the signs alternate; `twist` is how
    far (degrees) the yokes of each shaft between two joints are out of line.

    >>> round(shaft_span([5, 4]), 7), round(shaft_span([5, 5], 10), 7)
    (0.0027473, 0.0026482)
    """
    if not angles:
        raise MeasureError("a shaft has at least one joint: give the bend of each")
    turn = cmath.exp(2j * math.radians(twist))
    return abs(sum((-turn) ** place * joint_span(bend) for place, bend in enumerate(angles)))


def as_one_joint(span: float) -> float:
    """Return the bend (degrees) of the one joint that is as uneven.

    >>> round(as_one_joint(shaft_span([5, 4])), 4)
    3.0024
    """
    span = not_negative(span, "the span of speed")
    return math.degrees(math.acos(min(1.0, (math.sqrt(span * span + 4) - span) / 2)))


def critical_speed(outside: float, bore: float, length: float) -> float:
    """Return the speed (r/min) at which a steel tube between its joints whips: K √(D² + d²) / L².

    Simply supported, steel of 206 GPa and 7850 kg/m³; joints and yokes lower it.

    >>> round(critical_speed(76.2, 72.0, 1500))
    5624
    """
    outside, length = positive(outside, "the outside of the tube"), positive(length, "the length")
    if not not_negative(bore, "the bore of the tube") < outside:
        raise MeasureError("the bore must be less than the outside of the tube; measure again")
    size = math.hypot(outside, bore) / 1000
    beam = math.sqrt(_MODULUS / _DENSITY) / 4
    return 60 / (2 * math.pi) * (math.pi / (length / 1000)) ** 2 * beam * size


def permissible_unbalance(mass: float, speed: float, grade: str) -> float:
    """Return the unbalance (g·mm) that a grade leaves a rotor of a mass (kg) at a speed (r/min).

    U = 1000 G m / ω (ISO 21940-11).

    >>> round(permissible_unbalance(12, 4000, "G16"), 1)
    458.4
    """
    if grade not in GRADES:
        raise MeasureError(f"'{grade}' is not a grade; known are {', '.join(GRADES)}")
    turning = positive(speed, "the speed") * math.pi / 30
    return 1e3 * GRADES[grade] * positive(mass, "the mass") / turning


def unbalance_of_run_out(mass: float, run_out: float) -> float:
    """Return the unbalance (g·mm) of a rotor that runs out by so much (mm, whole dial swing).

    >>> unbalance_of_run_out(12, 0.25)
    1500.0
    """
    return 1e3 * positive(mass, "the mass") * not_negative(run_out, "the run-out") / 2


def _bend(angle: float) -> float:
    if not 0 <= angle <= _STEEPEST:
        raise MeasureError(
            f"a joint bends between 0° and {_STEEPEST:g}°, not {angle:g}°; measure it again"
        )
    return angle
