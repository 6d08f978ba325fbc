"""The list of cases as a page lays it out: each a row that leads to its case."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.ledger.records import CaseList, CaseState
from headwater.view.ledger import cases_paper, state_words


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """A case in the list, in words; `whose` names customer, vehicle and unit."""

    case: str
    state: str
    whose: str
    complaint: str
    changed: str


@dataclass(frozen=True, slots=True)
class ShelfPage:
    """The list, with words for how much of what it is; `states` are all there are, in words."""

    heading: str
    rows: tuple[ShelfRow, ...]
    states: tuple[tuple[str, str], ...]


def shelf_page(told: CaseList) -> ShelfPage:
    """Return the list of cases for a page."""
    rows = tuple(
        ShelfRow(
            row.case,
            state_words(row),
            ", ".join(filter(None, (row.customer, row.vehicle, row.unit and f"unit {row.unit}"))),
            row.complaint,
            row.changed,
        )
        for row in told.rows
    )
    states = tuple((one.value, one.value.replace("-", " ")) for one in CaseState)
    return ShelfPage(cases_paper(told).heading, rows, states)
