"""A shop's cases drawn at random, put straight into the tables: for tests of size and figures."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from sqlalchemy import insert, select, update

from headwater.ledger.door import Ledger
from headwater.ledger.tables import (
    cases,
    damages,
    findings,
    origins,
    sightings,
    units,
    vehicles,
    words,
)
from headwater.ledger.terms import terms_of

START = date(2026, 1, 1)
ORIGINS = ("bore-worn", "ring-not-seated", "linkage-misset", "oil-wrong")
PARTS = ("range-fork", "input-bearing", "chain", "rear-seal")
BACK_IF_RIGHT, BACK_IF_NOT = 0.08, 0.30
"""How often a repair comes back whose origin was put right, and one whose origin was not."""
SHAPE, SCALE = 1.3, 300.0
"""The Weibull curve of the days after which those come back that do."""
AT_ONCE = 5_000


def fill(ledger: Ledger, number: int, seed: int, named: float = 0.7) -> None:
    """Put so many repairs in: a third as many units, some origins named, of those some left."""
    draw = random.Random(seed)
    names = [f"U-{n}" for n in range(1, number // 3 + 2)]
    with ledger.writing() as connection:
        connection.execute(insert(units), [{"key": name, "number": name} for name in names])
    rows: list[dict[str, Any]] = []
    for row in _cases(draw, number, len(names), named):
        rows.append(row)
        if len(rows) == AT_ONCE:
            _put(ledger, rows)
            rows.clear()
    _put(ledger, rows)


def _cases(draw: random.Random, number: int, known: int, named: float) -> Iterator[dict[str, Any]]:
    last = 0
    while last < number:
        first = _case(draw, last + 1, START + timedelta(days=draw.randrange(1500)), known, named)
        yield first
        last += 1
        often = BACK_IF_RIGHT if first["right"] else BACK_IF_NOT
        if draw.random() < often and last < number:
            last += 1
            days = int(draw.weibullvariate(SCALE, SHAPE)) + 1
            came = date.fromisoformat(first["out_on"]) + timedelta(days=days)
            again = _case(draw, last, came, known, named)
            km = first["distance_km"] + 40.0 * days
            told = {"since_days": days, "since_km": 40.0 * days, "same": draw.random() < 0.6}
            yield again | told | {
                "earlier": first["id"], "unit": first["unit"], "distance_km": km, "out_km": km,
            }  # fmt: skip


def _case(
    draw: random.Random, number: int, came: date, known: int, often_named: float
) -> dict[str, Any]:
    named = draw.random() < often_named
    km = draw.uniform(20_000, 250_000)
    return {
        "id": number,
        "name": f"C-{number}",
        "head": f"case: C-{number}\nfindings:\n",
        "complaint": "it howls",
        "findings": 1,
        "state": "done",
        "unit": draw.randrange(known) + 1,
        "earlier": None,
        "distance_km": km,
        "came_on": came.isoformat(),
        "out_on": (came + timedelta(days=4)).isoformat(),
        "out_km": km,
        "since_days": None,
        "since_km": None,
        "same": None,
        "ending": "settled" if named else "undetermined",
        "family": draw.choice(["drive=chain", "drive=gear"]),
        "opened": f"{came}T08:00:00Z",
        "changed": f"{came}T09:00:00Z",
        "right": named and draw.random() < 0.8,
        "named": named,
        "origin": draw.choices(ORIGINS, weights=[5, 3, 3, 2])[0],
        "part": draw.choice(PARTS),
    }


def _put(ledger: Ledger, rows: list[dict[str, Any]]) -> None:
    behind = ("right", "named", "origin", "part")
    tables = {
        cases: [{k: v for k, v in row.items() if k not in behind} for row in rows],
        findings: [
            {
                "case": row["id"],
                "number": 1,
                "text": '  - {told: "it howls"}\n',
                "at": row["changed"],
                "who": "",
                "device": "",
            }
            for row in rows
        ],
        origins: [
            {
                "case": row["id"],
                "origin": row["origin"],
                "naming": "proven",
                "chance": 0.97,
                "corrected": row["right"],
            }
            for row in rows
            if row["named"]
        ],
        damages: [{"case": row["id"], "condition": "worn", "part": row["part"]} for row in rows],
        words: [
            {"word": word, "case": row["id"]}
            for row in rows
            for word in terms_of("it howls when it pulls", row["name"], f"U-{row['unit']}")
        ],
    }
    with ledger.writing() as connection:
        for table, some in tables.items():
            if some:
                connection.execute(insert(table), some)


def roughen(ledger: Ledger, seed: int) -> None:
    """Make drawn repairs as unlike as a shop's are: gaps, vehicles, sightings, two origins."""
    draw = random.Random(seed)
    with ledger.writing() as connection:
        rows = connection.execute(select(cases).order_by(cases.c.id)).all()
        named = connection.scalars(select(origins.c.case).order_by(origins.c.case)).all()
        plates = [{"key": f"v{n}", "plate": f"V {n}"} for n in range(1, 40)]
        connection.execute(insert(vehicles), plates)
        for row in rows:
            if change := _roughened(draw, row):
                connection.execute(update(cases).where(cases.c.id == row.id).values(**change))
        seen = [one for row in rows for one in _sightings(draw, row)]
        connection.execute(insert(sightings), seen)
        more = [
            {
                "case": case,
                "origin": "second-thing",
                "naming": draw.choice(["open", "probable"]),
                "chance": 0.5,
                "corrected": draw.random() < 0.5,
            }
            for case in named
            if draw.random() < 0.2
        ]
        connection.execute(insert(origins), more)
        hurt = [
            {"case": row.id, "condition": "burnt", "part": draw.choice(PARTS)}
            for row in rows
            if draw.random() < 0.3
        ]
        connection.execute(insert(damages), hurt)


def _roughened(draw: random.Random, row: Any) -> dict[str, Any]:
    change: dict[str, Any] = {}
    if draw.random() < 0.15:
        change |= {"unit": None, "vehicle": draw.choice([None, *range(1, 40)])}
    for name, often in (("out_km", 0.1), ("distance_km", 0.1), ("came_on", 0.05), ("same", 0.1)):
        if draw.random() < often:
            change[name] = None
    if draw.random() < 0.05:
        change["source"] = "sheet"
    if draw.random() < 0.05:
        change["family"] = ""
    if draw.random() < 0.02:
        change["out_on"] = None
    if row.since_km is not None:
        change["since_km"] = draw.choice([None, row.since_km + draw.random()])
        if draw.random() < 0.05:
            change["since_days"] = 0
    return change


def _sightings(draw: random.Random, row: Any) -> Iterator[dict[str, Any]]:
    for _ in range(draw.choice([0, 0, 1, 2])):
        on = date.fromisoformat(row.out_on) + timedelta(days=draw.randrange(400))
        km = row.out_km + draw.uniform(-10.0, 9_000.0) if draw.random() < 0.6 else None
        gone = "sold" if draw.random() < 0.15 else ""
        yield {"case": row.id, "on": on.isoformat(), "km": km, "gone": gone}
