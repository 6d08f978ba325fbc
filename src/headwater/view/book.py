"""What the book's own commands show: problems, records, cover, changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from headwater.author.cover import CoverReport
from headwater.author.diff import Change
from headwater.book.problem import Problem
from headwater.book.records import Book, Family, for_family
from headwater.view.paper import Facts, Paper, Section, listed, say

COUNTED = ("conditions", "checks", "links", "chains")


@dataclass(frozen=True, slots=True)
class Checked:
    """A book with its problems."""

    book: Book
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """What changed between two states of a book."""

    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """Records of one id, by kind: where each stands, and what it says under its YAML keys."""

    id: str
    records: tuple[tuple[str, str, dict[str, Any]], ...]


@dataclass(frozen=True, slots=True)
class ProblemView:
    """One problem: where, how bad, which check, what and the mend."""

    file: str
    line: int
    column: int
    severity: str
    check: str
    message: str


@dataclass(frozen=True, slots=True)
class ExpectedView:
    """How many origins a unit of a pack's family brings in, by how common each is said to be."""

    pack: str
    faults: float
    usages: float


@dataclass(frozen=True, slots=True)
class CheckedView:
    """Every problem of a book, how much there is of it, and what is expected of a unit."""

    problems: tuple[ProblemView, ...]
    counts: dict[str, int]
    expected: tuple[ExpectedView, ...]


@dataclass(frozen=True, slots=True)
class CoverView:
    """What no case exercises and no check tells apart; `hints` are checks that decide nothing."""

    conditions: tuple[str, ...]
    checks: tuple[str, ...]
    origins: tuple[str, ...]
    alike: tuple[tuple[str, ...], ...]
    idle: tuple[str, ...]
    single: tuple[str, ...]
    links: tuple[tuple[str, ...], ...]
    hints: int


@dataclass(frozen=True, slots=True)
class ChangeView:
    """One change of meaning."""

    kind: str
    id: str
    change: str


@dataclass(frozen=True, slots=True)
class ChangedView:
    """Every change of meaning, and every stored case that comes out otherwise."""

    changes: tuple[ChangeView, ...]


@dataclass(frozen=True, slots=True)
class ShownView:
    """The records of an id, by kind."""

    records: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Kept:
    """The records of one kind, as they are written."""

    kind: str
    records: dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class NamedView:
    """A record by its id, with what it is called or asks."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class KeptView:
    """The ids of one kind, in the order of the alphabet."""

    kind: str
    records: tuple[NamedView, ...]


def kept_view(kept: Kept) -> KeptView:
    """Return the ids of one kind with their titles."""
    named = (NamedView(key, _called(record)) for key, record in sorted(kept.records.items()))
    return KeptView(kept.kind, tuple(named))


def _called(record: dict[str, Any]) -> str:
    words = (record.get(key) for key in ("title", "ask", "text"))
    return str(next((word for word in words if word), ""))


def kept_paper(kept: Kept) -> Paper:
    """Return the ids of one kind with their titles, one to a line."""
    view = kept_view(kept)
    rows = tuple((row.id, row.title or "no title") for row in view.records)
    count = f"{len(rows)} {kept.kind}"
    return Paper(count, (Facts(rows),) if rows else (), ())


def checked_view(checked: Checked) -> CheckedView:
    """Return the problems as a record."""
    return CheckedView(
        tuple(
            ProblemView(p.place.file, p.place.line, p.place.column, p.severity, p.check, p.message)
            for p in checked.problems
        ),
        counts(checked.book),
        expected(checked.book),
    )


def expected(book: Book) -> tuple[ExpectedView, ...]:
    """Return the expected number of faults and of usages in a unit of each pack's family."""
    return tuple(_expected(book, str(pack.pack), pack.family) for pack in book.packs if pack.family)


def _expected(book: Book, pack: str, family: Family) -> ExpectedView:
    origins = [c.origin for c in for_family(book, family).origins.values() if c.origin]
    faults = sum(origin.common.p for origin in origins if not origin.usage)
    usages = sum(origin.common.p for origin in origins if origin.usage)
    return ExpectedView(pack, round(faults, 2), round(usages, 2))


def counts(book: Book) -> dict[str, int]:
    """Return how many records of each kind a book has."""
    found = {"origins": len(book.origins)} | {kind: len(book.table(kind)) for kind in COUNTED}
    return found | {"cases": sum(len(samples) for samples in book.samples.values())}


def checked_paper(checked: Checked) -> Paper:
    """Return the problems, each on its line, the counts, and what is expected of a unit."""
    errors = sum(problem.severity == "error" for problem in checked.problems)
    told = ", ".join(f"{number} {kind}" for kind, number in counts(checked.book).items())
    foot = f"{checked.book.name or 'no book'}: {told}; {errors} errors"
    units = ", ".join(
        f"{unit.pack} {unit.faults:.2f} faults and {unit.usages:.2f} usages"
        for unit in expected(checked.book)
    )
    chances = (say(f"expected in a unit that comes in: {units}"),) if units else ()
    lines = (*(say(str(problem)) for problem in checked.problems), say(foot), *chances)
    return Paper("", lines, ())


def cover_view(report: CoverReport) -> CoverView:
    """Return a cover report as a record."""
    return CoverView(
        report.conditions,
        report.checks,
        report.origins,
        report.alike,
        report.idle,
        report.single,
        report.links,
        report.hints,
    )


def cover_paper(report: CoverReport) -> Paper:
    """Return a cover report, a section for each kind of gap."""
    rows = {
        "conditions no case settles": report.conditions,
        "checks no case answers": report.checks,
        "origins no case names": report.origins,
        "origins no check tells apart": tuple(" = ".join(group) for group in report.alike),
        "checks that tell nothing": report.idle,
        "faults that one act alone shows": report.single,
        "links on no named chain": tuple(" -> ".join(ends) for ends in report.links),
    }
    hints = f"checks that only hint, and decide nothing by themselves: {report.hints}"
    sections = [
        Section(f"{name}: {len(items)}", (listed(items),) if items else ())
        for name, items in rows.items()
    ]
    return Paper("", (), (*sections, Section("", (say(hints),))))


def changed_view(changed: Changed) -> ChangedView:
    """Return changes as a record."""
    return ChangedView(tuple(ChangeView(c.kind, c.id, c.text) for c in changed.changes))


def changed_paper(changed: Changed) -> Paper:
    """Return changes in words."""
    rows = [say(f"{c.kind} {c.id}: {c.text}") for c in changed.changes]
    foot = f"{len(rows)} changes" if rows else "nothing changed in meaning"
    return Paper("", (*rows, say(foot)), ())


def shown_view(shown: Shown) -> ShownView:
    """Return records as they were written."""
    return ShownView({kind: record for kind, _, record in shown.records})


def shown_paper(shown: Shown) -> Paper:
    """Return records as facts, nested keys joined by a stroke."""
    return Paper(
        "",
        (),
        tuple(
            Section(f"{kind.rstrip('s')} {shown.id}", (Facts((("at", place), *_facts(record))),))
            for kind, place, record in shown.records
        ),
    )


def _facts(value: Any, path: str = "") -> list[tuple[str, str]]:
    rows: list[tuple[str, str]] = []
    if isinstance(value, dict):
        for key, item in value.items():
            rows += _facts(item, f"{path} / {key}" if path else str(key))
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        for number, item in enumerate(value, 1):
            rows += _facts(item, f"{path} {number}")
    else:
        text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        rows.append((path, text))
    return rows
