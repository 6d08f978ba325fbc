"""Findings and plan as tables, for a spreadsheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from headwater.session.session import Session
from headwater.view.case import case_view


@dataclass(frozen=True, slots=True)
class Rows:
    """A head and its rows; a cell is text, a number, or nothing."""

    head: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def findings_table(session: Session) -> Rows:
    """Return one row for each finding."""
    head = ("number", "check", "question", "answer", "limit", "decides", "seat", "at", "note")
    rows = [
        (f.number, f.check, f.ask, f.words, f.limit, "; ".join(f.shows), f.seat, f.at, f.note)
        for f in case_view(session).findings
    ]
    return Rows(head, tuple(rows))


def plan_table(session: Session) -> Rows:
    """Return one row for each step of the plan; the action is empty where the part is held."""
    head = ("number", "part", "name", "action", "what", "minutes", "corrects", "see to it")
    rows = [
        (
            number,
            step.on,
            step.title,
            step.action.value if step.action else "",
            step.step,
            step.minutes,
            "; ".join(step.corrects),
            "; ".join(step.fitting),
        )
        for number, step in enumerate(case_view(session).plan, 1)
    ]
    return Rows(head, tuple(rows))
