"""Bearing fits: from bore and ring as measured, against the class, and hot.

Clearance is bore less ring; below 0 it is a grip. A light-alloy bore grows faster than a steel
ring, so a grip found cold says little about the grip in service. Both parts are taken to be at
one temperature; the give of thin walls and the smoothing of rough seats by pressing are left
out, both of which only lose more grip. Diameters in mm, temperatures in °C, expansion in 1e-6/K.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from headwater.measure.faults import MeasureError, positive
from headwater.measure.tolerances import outside_deviations, seat_deviations

REFERENCE_TEMPERATURE: Final = 20.0
"""°C; lengths are stated at 20 °C (ISO 1)."""


@dataclass(frozen=True, slots=True)
class Material:
    """Linear expansion in 1e-6/K, and where the figure comes from."""

    name: str
    expansion: float
    source: str


_HANDBOOK: Final = "Callister & Rethwisch, Appendix B, Table B.6"

MATERIALS: Final[Mapping[str, Material]] = MappingProxyType(
    {
        "magnesium-az91d": Material("magnesium AZ91D", 26.0, _HANDBOOK),
        "magnesium-die-cast": Material(
            "magnesium, die-cast", 25.2, "a metric gear handbook, Table 18-10"
        ),
        "aluminium-a356": Material("aluminium A356.0", 21.5, _HANDBOOK),
        "aluminium-a380": Material("aluminium A380, die-cast", 21.8, "die casting, from memory"),
        "grey-iron": Material("grey cast iron", 11.4, _HANDBOOK),
        "steel": Material("alloy steel 4140/4340", 12.3, _HANDBOOK),
        "bearing-steel": Material(
            "bearing steel 100Cr6", 12.5, "a needle-bearing handbook; 11.9 to 12.0 is also found"
        ),
    }
)


@dataclass(frozen=True, slots=True)
class FitRange:
    """Least and most clearance (mm) a class allows; below 0 is a grip."""

    least_mm: float
    most_mm: float

    @property
    def kind(self) -> str:
        """The kind of fit in the words of ISO 286-1."""
        if self.least_mm >= 0:
            return "clearance fit"
        return "interference fit" if self.most_mm <= 0 else "transition fit"


def clearance(bore_mm: float, ring_mm: float) -> float:
    """Return bore less ring (or ring bore less shaft); below 0 it is a grip."""
    return positive(bore_mm, "the bore") - positive(ring_mm, "the ring")


def housing_fit(tolerance_class: str, nominal_mm: float) -> FitRange:
    """Return the clearance a new Normal-class ring may have in a bore of this class.

    ISO 286-2 and ISO 492.

    >>> fit = housing_fit("K7", 80)
    >>> round(fit.least_mm, 3), round(fit.most_mm, 3), fit.kind
    (-0.021, 0.022, 'transition fit')
    """
    _refuse_shaft(tolerance_class)
    lower, upper = seat_deviations(tolerance_class, nominal_mm)
    ring_lower, ring_upper = outside_deviations(nominal_mm)
    return FitRange(round(lower - ring_upper, 6), round(upper - ring_lower, 6))


def grip_lost(diameter_mm: float, outer: float, inner: float, warming_k: float) -> float:
    """Return how much the clearance grows (mm): D (α outer - α inner) ΔT.

    Expansions in 1e-6/K. Below 0 the fit tightens.

    >>> round(grip_lost(80, 26.0, 12.0, 80), 4)
    0.0896
    """
    return positive(diameter_mm, "the diameter") * (outer - inner) * 1e-6 * warming_k


def hot_clearance(
    cold_mm: float, diameter_mm: float, outer: float, inner: float, warming_k: float
) -> float:
    """Return the clearance once both parts are `warming_k` warmer than when measured."""
    return cold_mm + grip_lost(diameter_mm, outer, inner, warming_k)


def release_temperature(
    cold_mm: float,
    diameter_mm: float,
    outer: float,
    inner: float,
    measured_at: float = REFERENCE_TEMPERATURE,
) -> float | None:
    """Return the temperature (°C) at which the grip is gone, both parts equally warm.

    None when no warming frees it because the bore does not outgrow the ring. A fit that is loose
    when measured has no grip to lose: `measured_at` is returned.
    """
    positive(diameter_mm, "the diameter")
    if cold_mm >= 0:
        return measured_at
    if outer <= inner:
        return None
    return measured_at - cold_mm / (diameter_mm * (outer - inner) * 1e-6)


def material(name: str) -> Material:
    """Return a material by its id, or say which are known."""
    try:
        return MATERIALS[name]
    except KeyError:
        known = ", ".join(MATERIALS)
        raise MeasureError(f"'{name}' is not a known material; known are {known}") from None


def worn_beyond(bore_mm: float, tolerance_class: str, nominal_mm: float) -> float:
    """Return by how much (mm) a bore is over the upper limit of its class; 0 when within."""
    upper = seat_deviations(tolerance_class, nominal_mm)[1]
    return max(0.0, positive(bore_mm, "the bore") - nominal_mm - upper)


def _refuse_shaft(tolerance_class: str) -> None:
    if not tolerance_class[:1].isupper():
        raise MeasureError(
            f"'{tolerance_class}' is not the class of a bore, capital letter, such as K7"
        )
