"""The units that readings may carry, by dimension.

Factors are the exact ones of NIST SP 811 and of the 1959 agreement on the yard and the pound; `qt`
and `pt` are the US measures, `imp qt` and `imp pt` the imperial ones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: base value = factor * number + offset; `decimals` is what is worth showing."""

    name: str
    factor: float
    decimals: int
    spellings: str
    offset: float = 0.0


_IN: Final = 25.4
_LB: Final = 0.45359237
_LBF: Final = 4.4482216152605
_KGF: Final = 9.80665
_PSI: Final = 6.894757293168361
_US_QT: Final = 0.946352946
_IMP_QT: Final = 1.1365225
_MILE: Final = 1.609344

ASKED_BACK: Final = {
    "mil": "a thousandth of an inch to one and a millimetre to another; write thou or mm",
    "mils": "thousandths of an inch to one and millimetres to another; write thou or mm",
}
"""Spellings that mean two things in the trade, and what to write instead."""

UNITS: Final[dict[str, tuple[Unit, ...]]] = {
    "length": (
        Unit("mm", 1, 3, "mm millimetre millimeter millimetres millimeters"),
        Unit("in", _IN, 4, "in inch inches \" ''"),
        Unit("thou", _IN / 1000, 1, "thou thous thousandths"),
        Unit("µm", 0.001, 1, "um micron microns micrometre micrometer"),
        Unit("cm", 10, 3, "cm"),
        Unit("m", 1000, 4, "m metre meter metres meters"),
        Unit("ft", 12 * _IN, 3, "ft foot feet"),
    ),
    "torque": (
        Unit("Nm", 1, 2, "nm newtonmetre newtonmeter newtonmetres newtonmeters"),
        Unit("lbf·ft", _LBF * 0.3048, 2, "lbfft lbft lbsft ftlbf ftlb ftlbs footpound footpounds"),
        Unit("lbf·in", _LBF * 0.0254, 1, "lbfin lbin lbsin inlbf inlb inlbs"),
        Unit("kgf·m", _KGF, 3, "kgfm kgm mkg mkgf"),
        Unit("Ncm", 0.01, 0, "ncm"),
    ),
    "temperature": (
        Unit("°C", 1, 1, "°c c degc celsius degreescelsius"),
        Unit("°F", 5 / 9, 1, "°f f degf fahrenheit degreesfahrenheit", -160 / 9),
        Unit("K", 1, 1, "k kelvin", -273.15),
    ),
    "temperature-difference": (
        Unit("K", 1, 1, "k kelvin °c c degc celsius"),
        Unit("°F", 5 / 9, 1, "°f f degf fahrenheit"),
    ),
    "ratio": (Unit("", 1, 4, ":1 to1"),),
    "percent": (Unit("%", 1, 2, "% percent pct"),),
    "rotation": (
        Unit("rpm", 1, 1, "rpm r/min 1/min /min min1 rev/min revs/min"),
        Unit("rad/s", 30 / math.pi, 3, "rad/s"),
    ),
    "frequency": (
        Unit("Hz", 1, 2, "hz hertz 1/s /s s1"),
        Unit("kHz", 1000, 4, "khz"),
    ),
    "viscosity": (
        Unit("mm2/s", 1, 2, "mm2/s cst centistokes"),
        Unit("m2/s", 1e6, 8, "m2/s"),
    ),
    "angle": (
        Unit("°", 1, 2, "° deg degs degree degrees"),
        Unit("rad", 180 / math.pi, 4, "rad radian radians"),
    ),
    "pressure": (
        Unit("kPa", 1, 1, "kpa"),
        Unit("bar", 100, 3, "bar bars"),
        Unit("psi", _PSI, 1, "psi lbf/in2 lb/in2"),
        Unit("MPa", 1000, 4, "mpa"),
        Unit("mbar", 0.1, 1, "mbar hpa"),
    ),
    "volume": (
        Unit("l", 1, 3, "l litre litres liter liters"),
        Unit("ml", 0.001, 0, "ml cc cm3"),
        Unit("US qt", _US_QT, 3, "usqt qt qts quart quarts usquart"),
        Unit("US pt", _US_QT / 2, 3, "uspt pt pts pint pints uspint"),
        Unit("imp qt", _IMP_QT, 3, "impqt impquart ukqt"),
        Unit("imp pt", _IMP_QT / 2, 3, "imppt imppint ukpt"),
    ),
    "mass": (
        Unit("kg", 1, 3, "kg kilogram kilograms"),
        Unit("g", 0.001, 1, "g gram grams"),
        Unit("lb", _LB, 3, "lb lbs pound pounds"),
        Unit("oz", _LB / 16, 2, "oz ounce ounces"),
    ),
    "force": (
        Unit("N", 1, 1, "n newton newtons"),
        Unit("kN", 1000, 4, "kn"),
        Unit("lbf", _LBF, 2, "lbf lb lbs"),
        Unit("kgf", _KGF, 3, "kgf"),
    ),
    "unbalance": (
        Unit("g·mm", 1, 1, "gmm"),
        Unit("kg·mm", 1000, 4, "kgmm"),
        Unit("g·cm", 10, 2, "gcm"),
        Unit("oz·in", _LB / 16 * 1000 * _IN, 4, "ozin"),
    ),
    "resistance": (
        Unit("Ω", 1, 2, "ω ohm ohms"),
        Unit("kΩ", 1000, 3, "kω kohm kiloohm kiloohms"),
        Unit("mΩ", 0.001, 0, "mω milliohm milliohms"),
    ),
    "speed": (
        Unit("km/h", 1, 1, "km/h kmh kph"),
        Unit("mph", _MILE, 1, "mph mile/h miles/h mi/h"),
        Unit("m/s", 3.6, 2, "m/s"),
    ),
    "distance": (
        Unit("km", 1, 1, "km kilometre kilometres kilometer kilometers"),
        Unit("mile", _MILE, 1, "mile miles mi"),
        Unit("m", 0.001, 0, "m metre metres meter meters"),
    ),
    "time-of-work": (
        Unit("min", 1, 0, "min mins minute minutes"),
        Unit("h", 60, 2, "h hr hrs hour hours"),
    ),
    "turns-per-distance": (
        Unit("turns/km", 1, 2, "turns/km turn/km rev/km revs/km 1/km"),
        Unit("turns/mile", 1 / _MILE, 2, "turns/mile turn/mile rev/mile revs/mile"),
    ),
    "count": (Unit("", 1, 2, "x pcs pieces teeth tooth pitches turns"),),
}
"""The units of each dimension, the first its base unit. Spellings are written as `units` compares
them: lower case, without blanks, full stops, hyphens or multiplication signs."""
