"""Customers, vehicles and units: put together by hand where two are one; and a person is erased."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import Connection, Table, delete, select, update

from headwater.case.grow import with_key
from headwater.case.store import entry_line
from headwater.ledger.door import Ledger
from headwater.ledger.kept import Also, LedgerCase, note, stamp
from headwater.ledger.records import Hand, LedgerError
from headwater.ledger.tables import cases, customers, findings, units, vehicles
from headwater.ledger.terms import key_of
from headwater.ledger.times import Clock, kept_time, utc_now

KINDS: dict[str, Table] = {"customer": customers, "vehicle": vehicles, "unit": units}
"""What may be put together."""
ERASED = "a customer who was erased"


def merge(ledger: Ledger, kind: str, stays: str, goes: str, hand: Hand) -> int:
    """Make two customers, vehicles or units one; return how many cases change hands.

    What the cases say stays as it was written. Raises LedgerError where one is not known.
    """
    table = KINDS[kind]
    with ledger.writing() as connection:
        kept, other = (_row(connection, kind, text, ledger) for text in (stays, goes))
        if kept == other:
            raise LedgerError(f"{kind} '{stays}' and '{goes}' are one already", ledger.place)
        mine = update(cases).where(cases.c[kind] == other).values({kind: kept})
        moved = connection.execute(mine).rowcount
        connection.execute(delete(table).where(table.c.id == other))
        told = f"{kind} '{goes}' is '{stays}': put together by hand"
        note(connection, None, stamp(hand, utc_now), told)
    return moved


def _row(connection: Connection, kind: str, text: str, ledger: Ledger) -> int:
    table = KINDS[kind]
    wanted = select(table.c.id).where(table.c.key == key_of(text))
    if kind == "customer":
        wanted = wanted.where(customers.c.erased.is_(None))
    found = connection.scalar(wanted)
    if found is None:
        raise LedgerError(f"there is no {kind} '{text}'; 'headwater ledger find'", ledger.place)
    return int(found)


def erase_customer(ledger: Ledger, name: str, hand: Hand, clock: Clock = utc_now) -> list[str]:
    """Take a person out of the ledger, and leave their cases for the statistics.

    Name and phone go from every case, from what they approved and from what it is found by; return
    those cases. Words that were told stay, for nobody but a reader can know whom they name. Raises
    LedgerError.
    """
    with ledger.reading() as connection:
        number = _row(connection, "customer", name, ledger)
        mine = select(cases.c.name).where(cases.c.customer == number).order_by(cases.c.id)
        names = list(connection.scalars(mine))
    for one in names:
        kept = LedgerCase(ledger, one, hand, clock)
        head = kept.head
        for key in ("customer", "phone"):
            head = with_key(head, kept.place.file, key, "")
        out = _out_of_approvals(kept, key_of(name))
        kept.rewrite(head, "the customer was erased", out, customer=number)
    gone = {"name": "", "phone": "", "key": "", "erased": kept_time(clock())}
    with ledger.writing() as connection:
        connection.execute(update(customers).where(customers.c.id == number).values(gone))
    return names


def _out_of_approvals(kept: LedgerCase, key: str) -> Also:
    """Return what takes a name out of what was approved under it; the approval stays."""

    def take(connection: Connection) -> None:
        for number, entry in enumerate(kept.case().findings, 1):
            if entry.approved is None or key_of(entry.approved.by) != key:
                continue
            bare = replace(entry, approved=replace(entry.approved, by=ERASED))
            mine = (findings.c.case == kept.id) & (findings.c.number == number)
            connection.execute(update(findings).where(mine).values(text=entry_line(bare)))

    return take
