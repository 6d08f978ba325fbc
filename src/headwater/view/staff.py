"""The people of the house, as a list."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.view.paper import Facts, Paper, say


@dataclass(frozen=True, slots=True)
class Staff:
    """Names with their roles, and the file in which they stand."""

    place: str
    rows: tuple[tuple[str, str], ...]


def staff_paper(staff: Staff) -> Paper:
    """Return the people with their roles."""
    head = f"The people of the house, kept in {staff.place}"
    return Paper(head, (Facts(staff.rows) if staff.rows else say("nobody yet"),), ())
