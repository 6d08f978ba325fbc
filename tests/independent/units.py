"""Sixty units that were written without the book, put into its answers by somebody else.

`written/` has each as its author wrote it: words, truth, chain, a rival and the facts. Another
person, who did not look at chains, put the facts into the answers of checks (`cases/`) and said by
title which origin of the book the truth is (`truths.yaml`); an empty list where it has none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import yaml

from headwater.case.read import read_case
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.shipped import open_packs, shipped_packs

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Ended:
    """What a unit came to: its truth, what was named and what else was still in question."""

    unit: str
    truth: frozenset[str]
    named: frozenset[str]
    listed: frozenset[str]
    settled: bool

    @property
    def grade(self) -> str:
        """How right that is, strictly: everything true is named, and nothing else."""
        if not self.truth:
            return "settled on a neighbour" if self.settled else "not in the book"
        if self.truth <= self.named:
            return "right" if self.named == self.truth else "right, and more named"
        if self.truth & self.named:
            return "partly"
        if self.settled:
            return "settled wrongly"
        return "listed" if self.truth & self.listed else "missed"


def truths() -> dict[str, frozenset[str]]:
    """Return the origins at which each unit began."""
    told = yaml.safe_load((HERE / "truths.yaml").read_text(encoding="utf-8"))
    return {unit: frozenset(one["truth"]) for unit, one in told.items()}


@cache
def _shipped() -> OpenBook:
    return open_packs(shipped_packs())


@cache
def ended(unit: str) -> Ended:
    """Return what a unit comes to."""
    case = read_case(HERE / "cases" / f"{unit}.yaml")
    verdict = open_session(_shipped(), case).verdict
    candidates = (c for account in verdict.accounts.values() for c in account.candidates)
    return Ended(
        unit,
        truths()[unit],
        frozenset(verdict.origins),
        frozenset(c.origin for c in candidates if c.origin),
        verdict.settled,
    )


def table() -> Iterator[str]:
    """Yield a line for each unit, and a count of the grades."""
    count: dict[str, int] = {}
    for unit in truths():
        one = ended(unit)
        count[one.grade] = count.get(one.grade, 0) + 1
        state = "settled" if one.settled else "open"
        yield f"{unit}  {one.grade:<24} {state:<8} named: {', '.join(sorted(one.named)) or '-'}"
    yield "; ".join(f"{grade} {number}" for grade, number in sorted(count.items()))


if __name__ == "__main__":
    for line in table():
        print(line)
