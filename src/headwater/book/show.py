"""A record of the book written out as its author wrote it: the book alone, without a case."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from headwater.book.seal import Sealed, unseal
from headwater.book.shape import key_of


def written_out(record: Any) -> Any:
    """Return a record as plain data under its YAML keys, what is empty left out."""
    if isinstance(record, Sealed):
        return [written_out(item) for item in unseal(record)]
    if is_dataclass(record) and not isinstance(record, type):
        items = {key_of(f): getattr(record, f.name) for f in fields(record)}
        kept = {
            key: written_out(value)
            for key, value in items.items()
            if key not in ("place", "id") and value not in ("", (), {}, None) and not _blank(value)
        }
        word = kept.get("word")
        if set(kept) & {"p", "present"} and word:
            return word
        # A step of a chain is written `cause: {how, often}`; a bare cause is told elsewhere.
        if set(kept) >= {"cause", "said"} or set(kept) == {"cause"}:
            return {kept["cause"]: kept["said"]} if kept.get("said") else kept["cause"]
        return kept
    if isinstance(record, tuple):
        return [written_out(item) for item in record]
    if isinstance(record, dict):
        return {str(key): written_out(item) for key, item in record.items()}
    return str(record) if isinstance(record, str) else record


def _blank(value: Any) -> bool:
    return isinstance(value, Sealed) and not value
