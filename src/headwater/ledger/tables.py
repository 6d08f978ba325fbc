"""The tables of the ledger, for SQLite and for PostgreSQL. Texts of time are ISO 8601, UTC.

Customer, vehicle and unit are three things: a unit's number is the unit, and vehicles change units.
A case is kept as it is written: its head, and each finding with its number.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

META = MetaData()
_WORD = String(64).with_variant(String(64, collation="C"), "postgresql")
"""A word is looked for by how it begins, so it is ordered by its signs alone."""

about = Table(
    "about",
    META,
    Column("key", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

customers = Table(
    "customers",
    META,
    Column("id", Integer, primary_key=True),
    Column("key", Text, nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("phone", Text, nullable=False, default=""),
    Column("erased", String(20)),
)

vehicles = Table(
    "vehicles",
    META,
    Column("id", Integer, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    Column("plate", Text, nullable=False),
)

units = Table(
    "units",
    META,
    Column("id", Integer, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    Column("number", Text, nullable=False),
)

cases = Table(
    "cases",
    META,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("edition", Integer, nullable=False, default=1),
    Column("head", Text, nullable=False),
    Column("complaint", Text, nullable=False, default=""),
    Column("findings", Integer, nullable=False, default=0),
    Column("state", String(10), nullable=False, default="open"),
    Column("waits_for", Text, nullable=False, default=""),
    Column("customer", ForeignKey("customers.id"), index=True),
    Column("vehicle", ForeignKey("vehicles.id"), index=True),
    Column("unit", ForeignKey("units.id"), index=True),
    Column("earlier", ForeignKey("cases.id"), index=True),
    Column("distance_km", Float),
    Column("came_on", String(10)),
    Column("out_on", String(10)),
    Column("out_km", Float),
    Column("until", String(10)),
    Column("until_km", Float),
    Column("since_days", Integer),
    Column("since_km", Float),
    Column("same", Boolean),
    Column("source", String(10), nullable=False, server_default="case"),
    Column("ending", String(20), nullable=False, server_default=""),
    Column("family", Text, nullable=False, server_default=""),
    Column("opened", String(20), nullable=False),
    Column("changed", String(20), nullable=False, index=True),
)
Index("cases_by_state", cases.c.state, cases.c.changed)

findings = Table(
    "findings",
    META,
    Column("case", ForeignKey("cases.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
    Column("at", String(20), nullable=False),
    Column("who", Text, nullable=False),
    Column("device", Text, nullable=False),
    sqlite_with_rowid=False,
)

happened = Table(
    "happened",
    META,
    Column("id", Integer, primary_key=True),
    Column("case", ForeignKey("cases.id"), index=True),
    Column("at", String(20), nullable=False),
    Column("who", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("what", Text, nullable=False),
)

words = Table(
    "words",
    META,
    Column("word", _WORD, primary_key=True),
    Column("case", ForeignKey("cases.id"), primary_key=True, autoincrement=False, index=True),
    sqlite_with_rowid=False,
)

pictures = Table(
    "pictures",
    META,
    Column("digest", String(64), primary_key=True),
    Column("size", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
)

case_pictures = Table(
    "case_pictures",
    META,
    Column("case", ForeignKey("cases.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("digest", ForeignKey("pictures.digest"), nullable=False),
    UniqueConstraint("case", "name"),
)

origins = Table(
    "origins",
    META,
    Column("case", ForeignKey("cases.id"), primary_key=True),
    Column("origin", String(200), primary_key=True),
    Column("naming", String(10), nullable=False),
    Column("chance", Float, nullable=False),
    Column("corrected", Boolean, nullable=False),
)
"""What was behind a case when it was done: named, or still in question, with its chance then."""

damages = Table(
    "damages",
    META,
    Column("case", ForeignKey("cases.id"), primary_key=True),
    Column("condition", String(200), primary_key=True),
    Column("part", String(200), primary_key=True),
)

sightings = Table(
    "sightings",
    META,
    Column("id", Integer, primary_key=True),
    Column("case", ForeignKey("cases.id"), nullable=False, index=True),
    Column("on", String(10), nullable=False),
    Column("km", Float),
    Column("gone", String(10), nullable=False, server_default=""),
)
"""When, and at which distance, a unit was known to run after a case, or where it has gone."""

forecasts = Table(
    "forecasts",
    META,
    Column("case", ForeignKey("cases.id"), primary_key=True),
    Column("seat", String(10), primary_key=True),
    Column("origin", String(200), primary_key=True),
    Column("pack", String(200), nullable=False),
    Column("chance", Float, nullable=False),
    Column("came_true", Boolean, nullable=False),
)
"""What the book said at a seat of a case that was proven in the end."""
