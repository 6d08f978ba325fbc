"""What was told and may be taken back or left aside on a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.session.aside import kept_aside
from headwater.session.session import Session

DANGER = "Danger, as told:"
OUTSIDE = "Outside the driveline, as told:"
NOT_PLACED = "Told, not placed:"


@dataclass(frozen=True, slots=True)
class KeptRow:
    """Something told that may be left aside: a danger by a press, all else with a reason."""

    kind: str
    words: str
    danger: bool


def kept_rows(session: Session) -> Iterator[KeptRow]:
    """Yield what may be left aside, with what it is."""
    for one in kept_aside(session):
        kind = DANGER if one.danger else OUTSIDE if one.outside else NOT_PLACED
        yield KeptRow(kind, one.words, one.danger)
