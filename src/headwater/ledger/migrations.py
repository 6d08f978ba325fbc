"""From one shape of the ledger's tables to the next: small steps, numbered, forward only.

A new ledger is made in the newest shape. An older one takes the steps that it lacks, all of them in
one transaction or none. A step is never changed once a ledger may have taken it.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection

Step = Callable[[Connection], None]

STEPS: dict[int, Step] = {}
"""Shape -> the step that leads to it from the one before."""
FIRST = 1
NEWEST = max(STEPS, default=FIRST)


def take_steps(connection: Connection, shape: int) -> None:
    """Bring the tables from an older shape to the newest."""
    for number in range(shape + 1, NEWEST + 1):
        STEPS[number](connection)
