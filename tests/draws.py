"""How many examples a property test draws: a share in the plain run, all in the long one.

`HEADWATER_DRAWS=all pytest -m "trial or hypothesis"` is the long one. `.ci/run` draws all; the gate
and the naming of origins do in every run.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

import pytest

T = TypeVar("T")
SHARE, SOME = 3, 6
"""One in so many examples is drawn in the plain run, and one of many alike looked at."""
FEWEST = 12
LONG = os.environ.get("HEADWATER_DRAWS") == "all"


def some(items: Sequence[T]) -> Sequence[T]:
    """Return those that this run looks at, of many alike in the shipped book."""
    return items if LONG else items[::SOME]


def draws(number: int) -> int:
    """Return how many of a property's examples this run draws."""
    if LONG:
        return number
    return max(min(number, FEWEST), number // SHARE)


def at_night(minutes: int) -> pytest.MarkDecorator:
    """Return the mark of a trial that takes so many minutes: run where `HEADWATER_NIGHT` is set."""
    asked = "HEADWATER_NIGHT" in os.environ
    return pytest.mark.skipif(not asked, reason=f"{minutes} minutes: HEADWATER_NIGHT=1 asks for it")
