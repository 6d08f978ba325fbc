"""A distance told where a long way or a short one is asked: '287,000 km, never opened'."""

from __future__ import annotations

import re

from headwater.book.model import Check
from headwater.book.tables import LONG_RUN_KM, SHORT_RUN_KM
from headwater.units import UnitError, parse_quantity

_RUN = re.compile(
    r"(?<![\d.,])(?P<number>\d{1,3}(?:[ ,.']\d{3}){1,3}|\d{1,9})(?!\d)\s*"
    r"(?P<thousand>k\b|thousand\b|tkm\b)?\s*"
    r"(?P<unit>km\b|kms\b|kilomet(?:er|re)s?\b|mi\b|miles?\b)?",
    re.IGNORECASE,
)


def km_told(text: str) -> float | None:
    """Return the one distance in a text, in kilometres; None where there is none, or more.

    >>> km_told("287,000 km, never opened"), km_told("about 90 thousand km"), km_told("in 2019")
    (287000.0, 90000.0, None)
    """
    found = [match for match in _RUN.finditer(text) if match["thousand"] or match["unit"]]
    if len(found) != 1:
        return None
    number = int(re.sub(r"\D", "", found[0]["number"])) * (1000 if found[0]["thousand"] else 1)
    miles = (found[0]["unit"] or "").lower().startswith("m")
    try:
        return parse_quantity(f"{number} {'mi' if miles else 'km'}", "distance").value
    except UnitError:  # no distance is so long
        return None


def run_meant(check: Check, text: str) -> str | None:
    """Return the answer of a check for a long or a short way that a distance comes to."""
    km = km_told(text) if {"long", "short"} <= check.answers.keys() else None
    if km is None:
        return None
    if km >= LONG_RUN_KM:
        return "long"
    if km < SHORT_RUN_KM:
        return "short"
    return next((word for word in ("middling", "middle") if word in check.answers), None)
