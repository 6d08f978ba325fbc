"""How right the book was: its chances against what turned out; and what nobody could say."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from sqlalchemy import Connection, func, select

from headwater.book.tables import DONT_KNOW
from headwater.ledger.door import Ledger
from headwater.ledger.records import CalibrationGroup, CalibrationReport, CountRow, ReliabilityRow
from headwater.ledger.returns import share_row
from headwater.ledger.tables import findings, forecasts
from headwater.yamltext import Table, Value, parse

BANDS = (0.0, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0)
"""The ends of the bands of chances whose outcomes are counted together."""
MOST_COUNTED = 10
SURE = 1e-4
"""A chance is taken to be no nearer to 0 or 1 than this, or one surprise would outweigh all."""
Pair = tuple[float, bool]


def calibration_report(ledger: Ledger) -> CalibrationReport:
    """Return how the book's chances stand to what was proven in the end, by seat and by pack."""
    columns = (forecasts.c.seat, forecasts.c.pack, forecasts.c.chance, forecasts.c.came_true)
    with ledger.reading() as connection:
        rows = connection.execute(select(*columns)).all()
        wanted = select(func.count(forecasts.c.case.distinct()))
        judged = connection.scalar(wanted) or 0
        unknown = Counter(_not_known(connection))
        words = Counter(_unplaced(connection))
    every = [(chance, bool(true)) for _, _, chance, true in rows]
    groups = [("all seats and packs", every)] if every else []
    for number, kind in ((0, "seat"), (1, "pack")):
        for name in sorted({str(row[number]) for row in rows}):
            pairs = [(row[2], bool(row[3])) for row in rows if row[number] == name]
            groups.append((f"{kind} {name}", pairs))
    return CalibrationReport(
        judged,
        tuple(group_of(name, pairs) for name, pairs in groups),
        tuple(CountRow(*one) for one in unknown.most_common(MOST_COUNTED)),
        tuple(CountRow(*one) for one in words.most_common(MOST_COUNTED)),
    )


def group_of(name: str, pairs: Sequence[Pair]) -> CalibrationGroup:
    """Return how some forecasts came out: Brier's score, the logarithmic loss, band by band."""
    return CalibrationGroup(name, len(pairs), brier(pairs), log_loss(pairs), tuple(_bands(pairs)))


def brier(pairs: Sequence[Pair]) -> float:
    """Return the mean square of chance less outcome (Brier, Monthly Weather Review 78, 1950).

    >>> brier([(0.5, True), (0.5, False)])
    0.25
    """
    return sum((chance - true) ** 2 for chance, true in pairs) / len(pairs)


def log_loss(pairs: Sequence[Pair]) -> float:
    """Return the mean of the negative logarithm of the chance given to what happened.

    >>> round(log_loss([(0.5, True), (0.5, False)]), 6) == round(math.log(2), 6)
    True
    """
    held = ((min(max(chance, SURE), 1 - SURE), true) for chance, true in pairs)
    return -sum(math.log(chance if true else 1 - chance) for chance, true in held) / len(pairs)


def _bands(pairs: Sequence[Pair]) -> Iterator[ReliabilityRow]:
    for low, high in pairwise(BANDS):
        here = [(c, true) for c, true in pairs if low <= c < high or (c == high == BANDS[-1])]
        if here:
            mean = sum(chance for chance, _ in here) / len(here)
            found = share_row(f"{low:.0%}-{high:.0%}", sum(true for _, true in here), len(here))
            yield ReliabilityRow(mean, found)


# What nobody could say --------------------------------------------------------------------------


def _entries(connection: Connection, sign: str) -> Iterator[dict[str, Value]]:
    """Yield the findings in whose text a sign stands, key by key."""
    wanted = select(findings.c.text).where(findings.c.text.contains(sign, autoescape=True))
    for text in connection.scalars(wanted).all():
        items = parse(text, "(ledger)").data
        for item in items if isinstance(items, tuple) else ():
            if isinstance(item.data, Table):
                yield item.data.entries


def _not_known(connection: Connection) -> Iterator[str]:
    for entry in _entries(connection, DONT_KNOW):
        if "check" in entry and "answer" in entry and entry["answer"].data == DONT_KNOW:
            yield str(entry["check"].data)


def _unplaced(connection: Connection) -> Iterator[str]:
    for entry in _entries(connection, "unplaced:"):
        words = entry["unplaced"].data if "unplaced" in entry else None
        yield from (str(one.data).lower() for one in words) if isinstance(words, tuple) else ()
