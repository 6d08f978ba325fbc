"""What the arithmetic refuses, in one line the bench can act on."""

from __future__ import annotations

import math

from headwater.errors import HeadwaterError


class MeasureError(HeadwaterError):
    """Numbers no formula can use: a negative diameter, half a tooth, a limit in the wrong order."""


def positive(value: float, what: str) -> float:
    """Return the value, or refuse it when it is not above zero and finite."""
    if not (math.isfinite(value) and value > 0):
        raise MeasureError(f"{what} must be above zero, not {value:g}; measure or enter it again")
    return value


def whole(value: float, what: str, least: int = 1) -> int:
    """Return the value as a whole number of at least `least`, or refuse it."""
    if not math.isfinite(value) or value != int(value) or value < least:
        raise MeasureError(
            f"{what} must be a whole number of at least {least}, not {value:g}; count again"
        )
    return int(value)


def not_negative(value: float, what: str) -> float:
    """Return the value, or refuse it when it is below zero or not finite."""
    if not (math.isfinite(value) and value >= 0):
        raise MeasureError(f"{what} cannot be below zero, not {value:g}; enter it again")
    return value
