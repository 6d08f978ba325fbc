"""A case of the ledger as an open case: the second maker of `CaseStore`, beside the file's.

A case has an edition, which each change raises; a change is made only to the edition that its
writer has seen. Two people may so have one case open: whoever comes second is told, and looks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Table, bindparam, delete, insert, select, update

from headwater.case.grow import with_key, without_complaint
from headwater.case.model import Case, Done
from headwater.case.read import CaseError, parse_case
from headwater.errors import Place
from headwater.files import MAX_BYTES
from headwater.ledger.door import Ledger
from headwater.ledger.records import Hand, LedgerError
from headwater.ledger.tables import cases, customers, findings, happened, units, vehicles, words
from headwater.ledger.terms import key_of, terms_of_case, terms_of_entries
from headwater.ledger.times import Clock, kept_time, utc_now
from headwater.units import parse_quantity
from headwater.yamltext import quote

MOST_BEFORE = 20
"""Earlier cases that are followed back, one before the other."""


# Made once: to make a statement anew each time costs five times what it takes to run it.
_PUT = {table: insert(table) for table in (findings, words, happened)}
_NEW = {t: insert(t).returning(t.c.id) for t in (cases, customers, units, vehicles)}
_KEYED = {t: select(t.c.id).where(t.c.key == bindparam("key")) for t in (units, vehicles)}
_TEXTS = (
    select(findings.c.text).where(findings.c.case == bindparam("case")).order_by(findings.c.number)
)
_CUSTOMER = select(customers).where(
    (customers.c.key == bindparam("key")) & customers.c.erased.is_(None)
)

Also = Callable[[Connection], None]


def nothing(_: Connection) -> None:
    """Do nothing beside."""


class LedgerCase:
    """An open case of the ledger; a context manager, as `CaseStore` wants it.

    Others may have it open as well. What one of them changed meanwhile is told as CaseError, and
    nothing is written over.
    """

    def __init__(
        self, ledger: Ledger, name: str, hand: Hand | None = None, clock: Clock = utc_now
    ) -> None:
        """Open a case by its name. Raises LedgerError where there is none."""
        self.ledger, self.name = ledger, name
        self._hand, self._clock = hand or Hand(), clock
        with ledger.reading() as connection:
            self._read(connection)

    def _read(self, connection: Connection) -> None:
        row = connection.execute(select(cases).where(cases.c.name == self.name)).first()
        if row is None:
            text = f"there is no case '{self.name}'; 'headwater ledger list' names them"
            raise LedgerError(text, self.ledger.place)
        self.id, self.edition = int(row.id), int(row.edition)
        self.head = str(row.head)
        self._texts = texts_of(connection, self.id)
        self._before = earlier_of(connection, row.earlier)

    @property
    def place(self) -> Place:
        """How the case is named in messages."""
        return place_of(self.name)

    @property
    def text(self) -> str:
        """The case as the text of a case file."""
        return self.head + "".join(self._texts)

    def case(self) -> Case:
        """Return the case as it stands in the ledger."""
        return replace(parse_case(self.text, self.place.file), earlier_case=self._before)

    def with_done(self, done: tuple[Done, ...]) -> Case:
        """Return the case as it would be with this as what was done."""
        return replace(self.case(), done=done)

    def append(self, line: str) -> None:
        """Take down findings, each as a line of a case file: all of them, or nothing."""
        self._check_room(self.text + line)
        rows = [f"{row}\n" for row in line.split("\n") if row]
        seen = len(self._texts)
        entries = parse_case(self.text + line, self.place.file).findings[seen:]
        with self._changing(findings=seen + len(rows)) as connection:
            add_findings(connection, self.id, seen, rows, self._stamp())
            add_words(connection, self.id, terms_of_entries(entries))
        self._texts = (*self._texts, *rows)

    def tell(self, lines: str) -> None:
        """Put more of the case before its findings."""
        self.rewrite(with_key(self.head, self.place.file, "", lines), "told more")

    def forget_complaint(self) -> None:
        """Take the customer's first words out again, where they stand on a line."""
        self.rewrite(without_complaint(self.head, self.place.file), "took the first words back")

    def follow(self, earlier: str) -> None:
        """Say that this unit came back: which case of the ledger was the earlier one."""
        before = LedgerCase(self.ledger, earlier)
        line = f"earlier: {quote(file_name(earlier))}\n"
        head = with_key(self.head, self.place.file, "earlier", line)
        self.rewrite(head, f"came back: the earlier case is '{earlier}'", earlier=before.id)
        self._before = before.case()

    def put(self, key: str, lines: str, what: str, also: Also = nothing, **columns: object) -> None:
        """Write a key of the case anew, or without lines take it out."""
        self.rewrite(with_key(self.head, self.place.file, key, lines), what, also, **columns)

    def rewrite(self, head: str, what: str, also: Also = nothing, **more: object) -> None:
        """Put another head in place of the case's, and say in the log what was done.

        What `also` does is done with it or not at all.
        """
        text = head + "".join(self._texts)
        self._check_room(text)
        case = parse_case(text, self.place.file)
        with self._changing(head=head, **more) as connection:
            connection.execute(delete(words).where(words.c.case == self.id))
            add_words(connection, self.id, terms_of_case(case))
            mine = update(cases).where(cases.c.id == self.id)
            connection.execute(mine.values(columns_of(connection, case)))
            also(connection)
            note(connection, self.id, self._stamp(), what)
        self.head = head

    def mark(self, what: str, also: Also = nothing, **columns: object) -> None:
        """Change what the ledger alone knows of the case, and say so in its log."""
        with self._changing(**columns) as connection:
            also(connection)
            note(connection, self.id, self._stamp(), what)

    def _stamp(self) -> dict[str, str]:
        return stamp(self._hand, self._clock)

    @contextmanager
    def _changing(self, **columns: object) -> Iterator[Connection]:
        """Change the case if it is still the edition seen here. Raises CaseError.

        Its row is changed first of all, so that whoever comes second waits for the first.
        """
        now, edition = kept_time(self._clock()), self.edition
        same = (cases.c.id == self.id) & (cases.c.edition == edition)
        values = {"changed": now, **columns, "edition": edition + 1}
        with self.ledger.writing() as connection:
            if connection.execute(update(cases).where(same).values(values)).rowcount != 1:
                raise CaseError(_CHANGED, self.place)
            yield connection
        self.edition = edition + 1

    def _check_room(self, text: str) -> None:
        if len(text.encode()) > MAX_BYTES:
            most = f"would be larger than {MAX_BYTES // 1_000_000} MB, the most that is read"
            raise CaseError(f"{most}; this is not saved", self.place)

    def __enter__(self) -> Self:
        """Return the case."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Nothing is left to be done: what was taken down is in the ledger."""


_CHANGED = "was changed by somebody else meanwhile; this is not saved: open it again to go on"


def has_case(ledger: Ledger, name: str) -> bool:
    """Say whether there is a case of a name."""
    with ledger.reading() as connection:
        wanted = select(cases.c.id).where(cases.c.name == name)
        return connection.scalar(wanted) is not None


def drop_empty(ledger: Ledger, name: str, hand: Hand, clock: Clock = utc_now) -> None:
    """Take away a case that was begun and in which nothing was said; the log keeps that it was."""
    case = LedgerCase(ledger, name)
    if case.case().findings:
        raise CaseError("has findings, and stays", case.place)
    with ledger.writing() as connection:
        connection.execute(delete(happened).where(happened.c.case == case.id))
        connection.execute(delete(words).where(words.c.case == case.id))
        connection.execute(delete(cases).where(cases.c.id == case.id))
        note(connection, None, stamp(hand, clock), f"'{name}' was begun and left empty")


def file_name(name: str) -> str:
    """Return the name of a case's file: its own, without signs that a system may not bear.

    >>> file_name("fleet 17/second: pads")
    'fleet-17-second-pads.yaml'
    """
    plain = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in name)
    kept = "-".join(filter(None, plain.split("-"))).strip(".")[:120]
    return f"{kept or 'case'}.yaml"


# What a case is made of -------------------------------------------------------------------------


def place_of(name: str) -> Place:
    """Return how a case of the ledger is named in messages."""
    return Place(f"case '{name}' of the ledger")


def stamp(hand: Hand, clock: Clock) -> dict[str, str]:
    """Return who writes now, and where, as columns."""
    return {"at": kept_time(clock()), "who": hand.who, "device": hand.device}


def texts_of(connection: Connection, case: int) -> tuple[str, ...]:
    """Return the findings of a case, in order, as they are written."""
    return tuple(connection.scalars(_TEXTS, {"case": case}))


def earlier_of(
    connection: Connection, earlier: int | None, depth: int = MOST_BEFORE
) -> Case | None:
    """Return the earlier case of a case, with those before it."""
    if earlier is None or not depth:
        return None
    row = connection.execute(select(cases).where(cases.c.id == earlier)).one()
    text = row.head + "".join(texts_of(connection, row.id))
    before = earlier_of(connection, row.earlier, depth - 1)
    return replace(parse_case(text, place_of(row.name).file), earlier_case=before)


def add_findings(
    connection: Connection, case: int, seen: int, rows: Sequence[str], by: dict[str, str]
) -> None:
    """Put findings behind the `seen` ones."""
    added = [{"case": case, "number": n, "text": t, **by} for n, t in enumerate(rows, seen + 1)]
    if added:
        connection.execute(_PUT[findings], added)


def add_words(connection: Connection, case: int, found: Iterable[str]) -> None:
    """Put a case under some more words."""
    known = set(connection.scalars(select(words.c.word).where(words.c.case == case)))
    put_words(connection, case, set(found) - known)


def put_words(connection: Connection, case: int, new: Iterable[str]) -> None:
    """Put a case under words that it does not stand under yet."""
    rows = [{"word": word, "case": case} for word in sorted(set(new))]
    if rows:
        connection.execute(_PUT[words], rows)


def note(connection: Connection, case: int | None, by: dict[str, str], what: str) -> None:
    """Write into the log what was done."""
    connection.execute(_PUT[happened], {"case": case, "what": what, **by})


def columns_of(connection: Connection, case: Case) -> dict[str, object]:
    """Return what of a case stands in columns; its customer, vehicle and unit are made if new."""
    km = parse_quantity(case.distance, "distance").value if case.distance else None
    return {
        "complaint": case.complaint,
        "distance_km": km,
        "customer": _customer(connection, case.customer, case.phone),
        "vehicle": _row(connection, vehicles, "plate", case.vehicle),
        "unit": _row(connection, units, "number", case.unit.number),
    }


def _row(connection: Connection, table: Table, column: str, text: str) -> int | None:
    """Return the row of a plate or a number, made if it is new; None where nothing is said."""
    key = key_of(text)
    if not key:
        return None
    found = connection.scalar(_KEYED[table], {"key": key})
    if found is None:
        return new_row(connection, table, {"key": key, column: text.strip()})
    return int(found)


def new_row(connection: Connection, table: Table, row: Mapping[str, object]) -> int:
    """Put a row in and return its number."""
    return int(connection.execute(_NEW[table], row).scalar_one())


def _customer(connection: Connection, name: str, phone: str) -> int | None:
    """Return the row of a customer, made if new; one who was erased is another one."""
    key = key_of(name)
    if not key:
        return None
    found = connection.execute(_CUSTOMER, {"key": key}).first()
    if found is None:
        row = {"key": key, "name": name.strip(), "phone": phone}
        return new_row(connection, customers, row)
    if phone and phone != found.phone:
        connection.execute(update(customers).where(customers.c.id == found.id).values(phone=phone))
    return int(found.id)
