"""Ratios: tooth counts, speeds, sensors, tyres.

Planetary sets by Willis: ws S + wr R = wc (S + R). A reduction is written above 1: input turns
per output turn. Speeds in r/min, road speed in km/h, radii in mm, shares in percent.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from headwater.measure.faults import MeasureError, positive, whole


def low_ratio(sun: float, ring: float) -> float:
    """Return the ratio of a set with the sun driven, the ring held, the carrier out: 1 + R / S.

    >>> round(low_ratio(33, 75), 6)
    3.272727
    """
    _planet_room(sun, ring)
    return 1 + ring / sun


def planet_teeth(sun: float, ring: float) -> float:
    """Return the teeth of the planets between sun and ring, (R - S) / 2."""
    _planet_room(sun, ring)
    return (ring - sun) / 2


def can_assemble(sun: float, ring: float, planets: float) -> bool:
    """Return whether equally spaced planets can be put in: (R + S) / count must be whole."""
    _planet_room(sun, ring)
    return (int(ring) + int(sun)) % whole(planets, "the number of planets") == 0


def ring_speed(sun_rpm: float, carrier_rpm: float, sun: float, ring: float) -> float:
    """Return the speed of the ring from those of sun and carrier; not 0 when its hold slips."""
    _planet_room(sun, ring)
    return (carrier_rpm * (sun + ring) - sun_rpm * sun) / ring


def overall_ratio(*stages: float) -> float:
    """Return the product of the ratios in the path of drive."""
    return math.prod(positive(stage, "a ratio") for stage in stages)


def tone_frequency(teeth: float, rpm: float) -> float:
    """Return the frequency (Hz) a tone wheel gives: teeth x r/min / 60.

    >>> tone_frequency(40, 1500)
    1000.0
    """
    return whole(teeth, "the teeth of the tone wheel") * rpm / 60


def tone_speed(teeth: float, hertz: float) -> float:
    """Return the speed (r/min) behind a frequency of a tone wheel."""
    return 60 * hertz / whole(teeth, "the teeth of the tone wheel")


def shaft_speed(speed_kmh: float, rolling_radius_mm: float, axle_ratio: float = 1.0) -> float:
    """Return the speed (r/min) of a propeller shaft, or of a wheel with an axle ratio of 1."""
    metres_per_minute = speed_kmh * 1000 / 60
    turn_m = 2 * math.pi * positive(rolling_radius_mm, "the rolling radius") / 1000
    return metres_per_minute / turn_m * positive(axle_ratio, "the axle ratio")


def sensed_ratio(input_rpm: float, output_rpm: float) -> float:
    """Return the ratio a controller computes from its two speed sensors."""
    return positive(input_rpm, "the input speed") / positive(output_rpm, "the output speed")


def ratio_error(sensed: float, expected: float) -> float:
    """Return by how many percent a sensed ratio is above (below 0: under) the expected one.

    >>> ratio_error(2.72, 2.72)
    0.0
    """
    return 100 * (positive(sensed, "the sensed ratio") / positive(expected, "the ratio") - 1)


def slipping_ratio(expected: float, slip_percent: float) -> float:
    """Return the ratio sensed when the output falls behind by a share of its speed.

    Slip only ever makes the output slower, so the sensed ratio can only rise: a ratio below the
    expected one is not slip.
    """
    if not 0 <= slip_percent < 100:
        raise MeasureError(f"slip must be from 0 to under 100 %, not {slip_percent:g}")
    return positive(expected, "the ratio") / (1 - slip_percent / 100)


def misread_ratio(expected: float, true_teeth: float, read_teeth: float) -> float:
    """Return the ratio computed when the output tone wheel gives a false number of pulses a turn.

    `true_teeth` is what the controller counts with, `read_teeth` what passes the sensor: one
    less for a nicked tooth that is skipped, or the count of a wrong wheel.
    """
    counted = whole(true_teeth, "the teeth of the tone wheel")
    return positive(expected, "the ratio") * counted / whole(read_teeth, "the teeth read")


def nearest_ratio(sensed: float, candidates: Sequence[float]) -> tuple[int, float]:
    """Return index and error (percent) of the candidate ratio nearest to the sensed one."""
    if not candidates:
        raise MeasureError("no ratio to compare with; give at least one")
    errors = [ratio_error(sensed, candidate) for candidate in candidates]
    index = min(range(len(errors)), key=lambda i: abs(errors[i]))
    return index, errors[index]


def mismatch(one: float, other: float) -> float:
    """Return the difference of two like figures in percent of the second.

    For axle ratios front and rear, or rolling radii.

    >>> round(mismatch(3.73, 3.70), 6)
    0.810811
    """
    return 100 * (positive(one, "the first") - positive(other, "the second")) / other


def turns_per_km(rolling_radius_mm: float, axle_ratio: float) -> float:
    """Return the turns a propeller shaft makes on one kilometre of straight road."""
    circumference_m = 2 * math.pi * positive(rolling_radius_mm, "the rolling radius") / 1000
    return 1000 / circumference_m * positive(axle_ratio, "the axle ratio")


def wind_up(
    front_radius_mm: float, rear_radius_mm: float, front_axle: float, rear_axle: float
) -> float:
    """Return the turns per km by which the front shaft must outrun the rear one, straight ahead.

    With front and rear locked together the tyres have to scrub this away; on a dry road they
    cannot, and it winds up in the shafts. Below 0 the rear shaft is the faster one.
    """
    return turns_per_km(front_radius_mm, front_axle) - turns_per_km(rear_radius_mm, rear_axle)


def rolling_radius(distance_m: float, turns: float) -> float:
    """Return the rolling radius (mm) from a distance rolled, loaded, in a number of turns."""
    return (
        positive(distance_m, "the distance rolled")
        * 1000
        / (2 * math.pi * positive(turns, "the number of turns"))
    )


def _planet_room(sun: float, ring: float) -> None:
    whole(sun, "the teeth of the sun", least=3)
    whole(ring, "the teeth of the ring", least=3)
    if ring <= sun:
        raise MeasureError(f"a ring of {ring:g} teeth has no room for a sun of {sun:g}; swap them")
