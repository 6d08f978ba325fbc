"""How many examples a property test draws: a share in the plain run, all in the long one.

`HEADWATER_DRAWS=all pytest -m "trial or hypothesis"` is the long one, which `.ci/run` runs too.
"""

from __future__ import annotations

import os

SHARE = 4
"""One in so many is drawn in the plain run: an author waits for it."""
FEWEST = 12


def draws(number: int) -> int:
    """Return how many of a property's examples this run draws."""
    if os.environ.get("HEADWATER_DRAWS") == "all":
        return number
    return max(min(number, FEWEST), number // SHARE)
