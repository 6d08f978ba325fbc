"""The label for unit and tray: what it is, in large letters, and as a code to be scanned."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.session.session import Session

THINGS = ("unit", "tray")


@dataclass(frozen=True, slots=True)
class Labelled:
    """A case whose unit and tray get labels; `address` is that of its page, where others reach it.

    Without an address the code holds the name of the case.
    """

    session: Session
    address: str = ""


@dataclass(frozen=True, slots=True)
class LabelPage:
    """One label for each of the `things`: the case, what is told of it, and what the code holds."""

    case: str
    things: tuple[str, ...]
    lines: tuple[str, ...]
    code: str


def label_page(labelled: Labelled) -> LabelPage:
    """Return the labels of a case."""
    case = labelled.session.case
    unit = case.unit.number and f"unit {case.unit.number}"
    lines = tuple(filter(None, (unit, case.vehicle, case.customer)))
    return LabelPage(case.case, THINGS, lines, labelled.address or case.case)
