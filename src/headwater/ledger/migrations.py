"""From one shape of the ledger's tables to the next: small steps, numbered, forward only.

A new ledger is made in the newest shape. An older one takes the steps that it lacks, all of them in
one transaction or none. A step is never changed once a ledger may have taken it.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection

from headwater.ledger.tables import damages, forecasts, origins, sightings

Step = Callable[[Connection], None]


def outcomes(connection: Connection) -> None:
    """Shape 2: what was done, days and distances in and out, warranty, returns, what was behind."""
    for column in (
        "came_on VARCHAR(10)",
        "out_on VARCHAR(10)",
        "out_km FLOAT",
        "until VARCHAR(10)",
        "until_km FLOAT",
        "since_days INTEGER",
        "since_km FLOAT",
        "same BOOLEAN",
        "source VARCHAR(10) DEFAULT 'case' NOT NULL",
        "ending VARCHAR(20) DEFAULT '' NOT NULL",
        "family TEXT DEFAULT '' NOT NULL",
    ):
        connection.exec_driver_sql(f"ALTER TABLE cases ADD COLUMN {column}")
    for table in (origins, damages, sightings):
        table.create(connection)


def what_was_said(connection: Connection) -> None:
    """Shape 3: what the book said before a case was proven."""
    forecasts.create(connection)


STEPS: dict[int, Step] = {2: outcomes, 3: what_was_said}
"""Shape -> the step that leads to it from the one before."""
FIRST = 1
NEWEST = max(STEPS, default=FIRST)


def take_steps(connection: Connection, shape: int) -> None:
    """Bring the tables from an older shape to the newest."""
    for number in range(shape + 1, NEWEST + 1):
        STEPS[number](connection)
