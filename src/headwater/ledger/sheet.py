"""Cases of the past from a spreadsheet: one row, one repair. They count for returns, and for
nothing that is learnt: nobody knows what was found in them.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from headwater.book.problem import nearest
from headwater.book.shape import Named
from headwater.case.casestore import case_text
from headwater.case.model import Case, CaseUnit, Done
from headwater.errors import HeadwaterError, Place, refuse_all
from headwater.ledger.door import Ledger
from headwater.ledger.kept import file_name, has_case
from headwater.ledger.outcome import since
from headwater.ledger.records import CaseState, Hand, LedgerError
from headwater.ledger.taken import add_case, case_file_of
from headwater.ledger.times import Clock, utc_now
from headwater.units import parse_quantity
from headwater.yamltext import read_file

COLUMNS = (
    *("case", "customer", "phone", "vehicle", "unit", "complaint", "distance", "came"),
    *("out", "out-distance", "done", "returned"),
)
"""What a row can say. `returned` names the case, further up or in the ledger, that came back."""
NEEDED = ("case", "out")
_GERMAN = re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})")


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row as it was read; days are ISO, distances in km."""

    place: Place
    case: Case
    came: str | None
    out: str
    out_km: float | None
    returned: str


def read_sheet(path: Path, columns: Mapping[str, str], unit: str = "km") -> list[SheetRow]:
    """Return the rows of a CSV file; `columns` says which of its heads stands for what.

    A bare distance is in `unit`. Raises LedgerError with every fault, file and line with it.
    """
    text = read_file(path)
    first = text.splitlines()[0] if text else ""
    table = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    heads = list(table.fieldnames or ())
    where = _where(heads, columns, Place(str(path)))
    rows: list[SheetRow] = []
    faults: list[HeadwaterError] = []
    for row in table:
        place = Place(str(path), table.line_num, 1)
        told = {what: (row.get(head) or "").strip() for what, head in where.items()}
        try:
            rows.append(_row(told, place, unit))
        except HeadwaterError as error:
            faults.append(LedgerError(error.message, place))
    refuse_all(faults)
    return rows


def _where(heads: Sequence[str], columns: Mapping[str, str], place: Place) -> dict[str, str]:
    """Return which head stands for what: as told, else by its own name."""
    found = {what: what for what in COLUMNS if what in heads}
    for what, head in columns.items():
        if what not in COLUMNS:
            known = nearest(what, COLUMNS) or f"; it is one of {', '.join(COLUMNS)}"
            raise LedgerError(f"--column: a row has no '{what}'{known}")
        if head not in heads:
            known = nearest(head, heads) or f"; it has {', '.join(map(repr, heads[:12]))}"
            raise LedgerError(f"has no column '{head}'{known}", place)
        found[what] = head
    for what in NEEDED:
        if what not in found:
            mend = f"--column {what}=HEAD"
            raise LedgerError(f"says nowhere which column is the '{what}'; name it: {mend}", place)
    return found


def _row(told: Mapping[str, str], place: Place, unit: str) -> SheetRow:
    if not told["case"]:
        raise LedgerError("the case has no name")
    distance = _distance(told.get("distance", ""), unit)
    out_km = _distance(told.get("out-distance", ""), unit)
    done = told.get("done", "")
    case = Case(
        case=told["case"],
        complaint=told.get("complaint", ""),
        customer=told.get("customer", ""),
        phone=told.get("phone", ""),
        vehicle=told.get("vehicle", ""),
        distance="" if distance is None else f"{distance:.0f} km",
        unit=CaseUnit(number=told.get("unit", "")),
        done=(Done(action="repair", on=Named("unit"), note=done),) if done else (),
    )
    came = read_any_day(told["came"]) if told.get("came") else None
    out = read_any_day(told["out"])
    if came and came > out:
        raise LedgerError(f"it left ({out}) before it came ({came})")
    return SheetRow(
        place, case, came, out, distance if out_km is None else out_km, told.get("returned", "")
    )


def _distance(text: str, unit: str) -> float | None:
    if not text:
        return None
    return parse_quantity(f"{text} {unit}" if text[-1].isdecimal() else text, "distance").value


def read_any_day(text: str) -> str:
    """Return a day that is written in a way that can be read in one way only.

    >>> read_any_day("9.4.2031"), read_any_day("2031-04-09")
    ('2031-04-09', '2031-04-09')
    """
    try:
        if german := _GERMAN.fullmatch(text):
            day, month, year = map(int, german.groups())
            return date(year, month, day).isoformat()
        return date.fromisoformat(text).isoformat()
    except ValueError:
        mend = "write 2031-04-09 or 9.4.2031"
        raise LedgerError(f"'{text}' is no day that can be read in one way; {mend}") from None


def import_rows(
    ledger: Ledger, rows: Sequence[SheetRow], hand: Hand, dry: bool, clock: Clock = utc_now
) -> int:
    """Put rows into the ledger as cases that are done; return how many. `dry` only tries.

    Raises LedgerError with every row that cannot go in, and then none goes in.
    """
    refuse_all(list(_faults(ledger, rows)))
    for row in () if dry else rows:
        _import(ledger, row, hand, clock)
    return len(rows)


def _faults(ledger: Ledger, rows: Sequence[SheetRow]) -> Iterator[LedgerError]:
    seen: set[str] = set()
    for row in rows:
        name = row.case.case
        if name in seen or has_case(ledger, name):
            where = "stands further up, too" if name in seen else "is in the ledger already"
            yield LedgerError(f"case '{name}' {where}; give each a name of its own", row.place)
        if row.returned and row.returned not in seen and not has_case(ledger, row.returned):
            text = f"came back from '{row.returned}', which is neither further up nor in the ledger"
            yield LedgerError(text, row.place)
        seen.add(name)


def _import(ledger: Ledger, row: SheetRow, hand: Hand, clock: Clock) -> None:
    columns: dict[str, object] = {
        "source": "sheet",
        "state": CaseState.DONE.value,
        "came_on": row.came,
        "out_on": row.out,
        "out_km": row.out_km,
    }
    case = row.case
    if row.returned:
        case = replace(case, earlier=file_name(row.returned))
        came = row.came or row.out
        km = parse_quantity(case.distance, "distance").value if case.distance else None
        columns |= since(ledger, row.returned, came, km)
    text = case_text(case)
    add_case(ledger, case_file_of(text, case.case), hand, columns=columns, clock=clock)
