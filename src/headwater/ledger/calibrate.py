"""How right the book was: its chances against what turned out; and what nobody could say."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType

from sqlalchemy import Connection, func, select

from headwater.book.tables import DONT_KNOW, Seat
from headwater.ledger.door import Ledger
from headwater.ledger.records import CalibrationGroup, CalibrationReport, CountRow, ReliabilityRow
from headwater.ledger.returns import share_row
from headwater.ledger.tables import cases, findings, forecasts
from headwater.yamltext import Table, Value, parse

BANDS = (0.0, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0)
"""The ends of the bands of chances whose outcomes are counted together."""
MOST_COUNTED = 10
SURE = 1e-4
"""A chance is taken to be no nearer to 0 or 1 than this, or one surprise would outweigh all."""
Pair = tuple[float, bool]
Owner = Mapping[tuple[str, str], str]


def calibration_report(ledger: Ledger, owner: Owner = MappingProxyType({})) -> CalibrationReport:
    """Return how the book's chances stand to what was proven in the end, by seat and by pack.

    `owner` tells the pack of a check, as `Book.owner` does.
    """
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
        tuple(
            CountRow(check, count, seat, owner.get(("checks", check), ""))
            for (check, seat), count in unknown.most_common(MOST_COUNTED)
        ),
        tuple(
            CountRow(word, count, seat) for (word, seat), count in words.most_common(MOST_COUNTED)
        ),
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


At = tuple[str, str]
"""What nobody could say, and the seat where they were asked."""


def _entries(connection: Connection, sign: str) -> Iterator[tuple[dict[str, Value], str]]:
    """Yield the findings in whose text a sign stands, key by key, each with its seat."""
    wanted = select(findings.c.text, cases.c.head).join(cases, cases.c.id == findings.c.case)
    has_sign = findings.c.text.contains(sign, autoescape=True)
    for text, head in connection.execute(wanted.where(has_sign)).all():
        items = parse(text, "(ledger)").data
        for item in items if isinstance(items, tuple) else ():
            if isinstance(item.data, Table):
                entry = item.data.entries
                yield entry, str(entry["seat"].data) if "seat" in entry else _seat_in(head)


def _seat_in(head: str) -> str:
    """Return the seat of a case, which its findings have where they do not say their own."""
    found = _SEAT.search(head)
    return found[1] if found else Seat.CALL.value


_SEAT = re.compile(r"^seat: *[\"']?(\w+)", re.MULTILINE)


def _not_known(connection: Connection) -> Iterator[At]:
    for entry, seat in _entries(connection, DONT_KNOW):
        if "check" in entry and "answer" in entry and entry["answer"].data == DONT_KNOW:
            yield str(entry["check"].data), seat


def _unplaced(connection: Connection) -> Iterator[At]:
    for entry, seat in _entries(connection, "unplaced:"):
        words = entry["unplaced"].data if "unplaced" in entry else None
        for one in words if isinstance(words, tuple) else ():
            yield str(one.data).lower(), seat
