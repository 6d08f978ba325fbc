"""Oil: viscosity at temperature, viscosity index, and what a bearing makes of it.

Kinematic viscosity in mm2/s (the same number in cSt), temperature in °C, speed in r/min, diameter
in mm. ASTM D341 for the viscosity-temperature line, ASTM D2270 (ISO 2909) for the index, ISO 281
for the reference viscosity and the ratio, SAE J300 (January 2015) for grades at 100 °C.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from headwater.measure.faults import MeasureError, positive

_ZERO_CELSIUS: Final = 273.15
_TURN: Final = 1000.0  # r/min where ISO 281 changes its formula


@dataclass(frozen=True, slots=True)
class ViscosityLine:
    """ASTM D341: log10 log10 Z = a - b log10 T, T in kelvin."""

    a: float
    b: float

    def at(self, temperature: float) -> float:
        """Return the viscosity at a temperature in °C."""
        kelvin = positive(temperature + _ZERO_CELSIUS, "the absolute temperature")
        try:
            z = 10**10 ** (self.a - self.b * math.log10(kelvin))
        except OverflowError:
            z = math.inf
        nu = _from_z(z) if z < 1e8 else math.inf
        if not 0.2 <= nu <= 2e7:
            raise MeasureError(
                f"{temperature:g} °C lies outside the range of ASTM D341 for this oil"
            )
        return nu


class Film(StrEnum):
    """A plain reading of the viscosity ratio κ, as bearing handbooks put it."""

    FULL = "full film: the surfaces are kept apart"
    ENOUGH = "enough: at or above the usual minimum of 1"
    MIXED = "thin: metal touches at times, anti-wear additives help"
    ADDITIVE = "too thin: extreme-pressure additives are needed"
    CONTACT = "no film to speak of: the contact carries the load"


def viscosity_line(
    nu_1: float, temperature_1: float, nu_2: float, temperature_2: float
) -> ViscosityLine:
    """Return the D341 line through two known viscosities.

    >>> line = viscosity_line(34.0, 40, 7.2, 100)
    >>> round(line.at(80), 3)
    10.878
    """
    t_1 = positive(temperature_1 + _ZERO_CELSIUS, "the absolute temperature")
    t_2 = positive(temperature_2 + _ZERO_CELSIUS, "the absolute temperature")
    if t_1 == t_2:
        raise MeasureError("two viscosities at one temperature make no line; give two temperatures")
    w_1, w_2 = _double_log(nu_1), _double_log(nu_2)
    b = (w_1 - w_2) / (math.log10(t_2) - math.log10(t_1))
    if b <= 0:
        raise MeasureError("an oil gets thinner when warmer; swap the two viscosities")
    return ViscosityLine(w_1 + b * math.log10(t_1), b)


# ASTM D2270 gives L and H as tables; these are the parabolas its annex puts through them:
# from KV100 up to the next row, L = a Y² + b Y + c, H = d Y² + e Y + f. Quoted from memory, held
# against the worked examples of the standard and for continuity from row to row in the tests.
# They follow the tables to about 0.2 of an index.
_PARABOLAS: Final = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (55.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)


def reference_oils(nu_100: float) -> tuple[float, float]:
    """Return L and H: viscosity at 40 °C of the oils of index 0 and 100 with this KV100."""
    if not nu_100 >= 2.0:
        raise MeasureError("ASTM D2270 starts at 2 mm2/s at 100 °C; this oil is thinner")
    _, a, b, c, d, e, f = next(row for row in reversed(_PARABOLAS) if nu_100 >= row[0])
    return a * nu_100**2 + b * nu_100 + c, d * nu_100**2 + e * nu_100 + f


def viscosity_index(nu_40: float, nu_100: float) -> float:
    """Return the viscosity index, unrounded (ASTM D2270: procedure A up to 100, B above).

    >>> round(viscosity_index(73.30, 8.86))
    92
    """
    positive(nu_40, "the viscosity at 40 °C")
    low, high = reference_oils(nu_100)
    if nu_40 <= nu_100:
        raise MeasureError("an oil is thicker at 40 °C than at 100 °C; swap the two viscosities")
    if nu_40 >= high:
        return 100 * (low - nu_40) / (low - high)
    n = (math.log10(high) - math.log10(nu_40)) / math.log10(nu_100)
    return (math.pow(10, n) - 1) / 0.00715 + 100


def reference_viscosity(rpm: float, mean_diameter: float) -> float:
    """Return ν1 of ISO 281:2007, the viscosity wanted at working temperature.

    45000 n^-0.83 Dpw^-0.5 below 1000 r/min, 4500 n^-0.5 Dpw^-0.5 from there on; the two differ by
    2.3 % where they meet, as the standard has it. `mean_diameter` is Dpw, or (d + D) / 2, in mm.

    >>> round(reference_viscosity(1000, 62.5), 4)
    18.0
    """
    speed = positive(rpm, "the speed")
    root = math.sqrt(positive(mean_diameter, "the mean diameter"))
    if speed < _TURN:
        return 45000 * math.pow(speed, -0.83) / root
    return 4500 * math.pow(speed, -0.5) / root


def viscosity_ratio(nu: float, rpm: float, mean_diameter: float) -> float:
    """Return κ = ν / ν1 of ISO 281:2007, with ν at working temperature."""
    return positive(nu, "the viscosity") / reference_viscosity(rpm, mean_diameter)


def film(kappa: float) -> Film:
    """Return what a viscosity ratio means for the surfaces (bearing handbooks)."""
    positive(kappa, "the viscosity ratio")
    steps = ((4, Film.FULL), (1, Film.ENOUGH), (0.4, Film.MIXED), (0.1, Film.ADDITIVE))
    return next((reading for least, reading in steps if kappa >= least), Film.CONTACT)


_GRADES: Final = (
    ("8", 4.0, 6.1),
    ("12", 5.0, 7.1),
    ("16", 6.1, 8.2),
    ("20", 6.9, 9.3),
    ("30", 9.3, 12.5),
    ("40", 12.5, 16.3),
    ("50", 16.3, 21.9),
    ("60", 21.9, 26.1),
)


def engine_oil_grades(nu_100: float) -> tuple[str, ...]:
    """Return the SAE J300 grades whose range at 100 °C holds this viscosity; may be two or none.

    A range reaches from its lower figure to under its upper one.

    >>> engine_oil_grades(7.0)
    ('12', '16', '20')
    """
    positive(nu_100, "the viscosity at 100 °C")
    return tuple(name for name, least, under in _GRADES if least <= nu_100 < under)


def _double_log(nu: float) -> float:
    nu = positive(nu, "a viscosity")
    if not 0.21 <= nu <= 2e7:
        raise MeasureError(f"ASTM D341 holds from 0.21 to 2e7 mm2/s, not for {nu:g}")
    return math.log10(math.log10(nu + 0.7 + math.exp(-1.47 - 1.84 * nu - 0.51 * nu * nu)))


def _from_z(z: float) -> float:
    q = z - 0.7
    return q - math.exp(-0.7487 - 3.295 * q + 0.6119 * q * q - 0.3193 * q**3)
