"""Something that can be pressed on a page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Choice:
    """What is sent, its words, and what is said beside them."""

    value: str
    words: str
    note: str = ""
