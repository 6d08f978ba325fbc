"""A case as plain data, piece by piece: what stands in its file, and what is empty left out."""

from __future__ import annotations

from typing import Any

from headwater.case.model import Approval, EarlierWork, LogEntry
from headwater.case.read import raw_answer
from headwater.measure.answer import RawAnswer


def entry_data(entry: LogEntry) -> dict[str, Any]:
    """Return a line of the findings as plain data, empty fields left out."""
    answer = None if entry.answer is None else answer_data(raw_answer(entry.answer))
    data = {
        "check": entry.check and str(entry.check),
        "answer": answer,
        "removed": entry.removed and str(entry.removed),
        "accepted": entry.accepted and str(entry.accepted),
        "rest": entry.rest or None,
        "told": entry.told or None,
        "unplaced": list(entry.unplaced) or None,
        "means": list(entry.means) or None,
        "outside": list(entry.outside) or None,
        "struck": entry.struck or None,
        "again": entry.again or None,
        "photograph": entry.photograph or None,
        "of": entry.of,
        "approved": entry.approved and approval_data(entry.approved),
        "family": dict(entry.family) or None,
        "seat": entry.seat and entry.seat.value,
        "at": entry.at or None,
        "note": entry.note or None,
        "corrects": entry.corrects,
        "sent": entry.sent or None,
    }
    return {key: value for key, value in data.items() if value is not None}


def approval_data(given: Approval) -> dict[str, Any]:
    """Return what was approved as plain data, empty fields left out."""
    data = {"amount": given.amount, "by": given.by, "how": given.how.value, "on": given.on}
    return filled(data | {"quote": given.quote, "sums": dict(given.sums)})


def answer_data(given: RawAnswer) -> str | list[str] | dict[str, str]:
    """Return an answer as plain data: a word or a reading, several, or inputs by name."""
    if isinstance(given, str):
        return given
    return list(given) if isinstance(given, tuple) else dict(given)


def earlier_data(work: EarlierWork) -> dict[str, Any]:
    """Return what is told of earlier work as plain data, empty fields left out."""
    done = [filled({"action": d.action, "on": str(d.on), "note": d.note}) for d in work.done]
    return filled({"told": work.told, "ago": work.ago, "done": done or None})


def filled(data: dict[str, Any]) -> dict[str, Any]:
    """Return data without what says nothing; an empty list does: nothing is off."""
    return {key: value for key, value in data.items() if value not in (None, "", {})}
