"""The term of a warranty: by time, by distance, or both, whichever comes first.

It runs from the repair; where a shop grants it so, anew from the repair of a return. Who pays is
for the shop to decide: here are days and distances only.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from headwater.ledger.records import LedgerError
from headwater.units import UnitError, parse_quantity

_MONTHS = re.compile(r"([0-9]{1,3}) *(month|year)s?", re.IGNORECASE)
FROM = ("repair", "return")
"""What a term runs from when a unit was repaired again."""


@dataclass(frozen=True, slots=True)
class WarrantyTerm:
    """How long a repair is answered for; None where nothing is said."""

    months: int | None = None
    km: float | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Until which day, and up to which distance on the vehicle, a repair is answered for."""

    until: str | None = None
    km: float | None = None

    @property
    def words(self) -> str:
        """The limits in words; nothing where there are none."""
        ends = [self.until or "", "" if self.km is None else f"{self.km:.0f} km"]
        return " or ".join(filter(None, ends))


def read_term(text: str) -> WarrantyTerm:
    """Return a term as written, `12 months, 20000 km`; 'none' is none. Raises LedgerError.

    >>> read_term("2 years, 20000 km")
    WarrantyTerm(months=24, km=20000.0)
    """
    months, km = None, None
    for part in filter(None, (one.strip() for one in text.split(","))):
        if part.lower() == "none":
            continue
        if found := _MONTHS.fullmatch(part):
            months = int(found[1]) * (12 if found[2].lower() == "year" else 1)
            continue
        try:
            km = parse_quantity(part, "distance").value
        except UnitError:
            mend = "write months or years, a distance, or both: '12 months, 20000 km'; or 'none'"
            raise LedgerError(f"'{part}' is no term of a warranty; {mend}") from None
    return WarrantyTerm(months, km)


def limits_of(term: WarrantyTerm, out_on: str, out_km: float | None) -> Limits:
    """Return where a term ends that begins on a day, at a distance."""
    until = later(out_on, term.months) if term.months is not None else None
    known = term.km is not None and out_km is not None
    return Limits(until, (out_km or 0) + (term.km or 0) if known else None)


def later(day: str, months: int) -> str:
    """Return the day so many months later; the last of a month where it has no such day.

    >>> later("2031-01-31", 1), later("2031-11-15", 14)
    ('2031-02-28', '2033-01-15')
    """
    start = date.fromisoformat(day)
    year, month = divmod(start.month - 1 + months, 12)
    for last in range(start.day, 0, -1):
        try:
            return date(start.year + year, month + 1, last).isoformat()
        except ValueError:
            continue
    raise AssertionError(day)


def standing_words(limits: Limits, on: str, km: float | None) -> str:
    """Return how a day and a distance stand to the limits of a warranty, in words.

    >>> standing_words(Limits("2032-04-09", 104000.0), "2032-05-01", None)
    'past the term by date (2032-04-09); by distance it cannot be told, for it is not known'
    """
    if not limits.words:
        return "no term of a warranty was written down"
    told, past = [], []
    if limits.until is not None:
        past.append(on > limits.until)
        told.append(f"{_side(past[-1])} by date ({limits.until})")
    if limits.km is not None and km is not None:
        past.append(km > limits.km)
        told.append(f"{_side(past[-1])} by distance ({limits.km:.0f} km)")
    elif limits.km is not None:
        told.append("by distance it cannot be told, for it is not known")
    return "; ".join(told)


def _side(past: bool) -> str:
    return "past the term" if past else "within the term"
