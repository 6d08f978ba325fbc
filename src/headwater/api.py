"""The door for other programs: open a book, open a session over a case, answer, read the verdict.

What stands here stays as it is from one version to the next; what stands elsewhere may move.

    from headwater import api

    book = api.open_book()
    session = api.open_session(book, api.new_case("field-1", family={"drive": "chain"}))
    session.answer("range-fork-pads", "burnt")
    print([check.check for check in session.next()], session.held)
    print(api.verdict_json(session))

A book is compiled once for each unit family and does not change after that: threads and sessions
share it. A session belongs to one thread at a time. Every fault is a `HeadwaterError` whose text is
one line: where, what, and how to mend it. A part that the gate holds has no action in any form.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from headwater import outputs
from headwater.book.shape import Ref
from headwater.book.tables import Drive, Seat, Verb
from headwater.case.model import Case, CaseUnit
from headwater.case.read import CaseError, case_from_json, read_case
from headwater.case.store import case_data
from headwater.errors import HeadwaterError, Place
from headwater.render.data import as_json
from headwater.rules.status import Status
from headwater.session.ask import NextCheck
from headwater.session.findings import Finding
from headwater.session.openbook import OpenBook
from headwater.session.session import Session, Why, open_session
from headwater.shipped import open_packs, packs_with
from headwater.verdict.ending import Ending
from headwater.view.case import CaseView, case_view

__all__ = [
    "Case",
    "CaseError",
    "CaseView",
    "Drive",
    "Ending",
    "Finding",
    "HeadwaterError",
    "NextCheck",
    "OpenBook",
    "Place",
    "Seat",
    "Session",
    "Status",
    "Verb",
    "Why",
    "case_from_json",
    "case_json",
    "json_schemas",
    "new_case",
    "open_book",
    "open_session",
    "read_case",
    "verdict",
    "verdict_json",
]


def open_book(packs: Iterable[Path | str] = (), shop: Iterable[Path | str] = ()) -> OpenBook:
    """Return the shipped book, or that of some pack folders, with a shop's own packs over it.

    Raises BookError with every fault that keeps the files from being read.
    """
    return open_packs(packs_with(packs, shop))


def new_case(
    name: str,
    family: Mapping[str, str] | None = None,
    seat: Seat | str = Seat.BENCH,
    complaint: str = "",
    removed: Iterable[str] | None = None,
) -> Case:
    """Return a case without findings, which stands in no file.

    `family` names construction attributes (`{"drive": "chain"}`), `removed` what is off; None means
    all of it on the bench, and nothing elsewhere. What is wrong in it shows when it is opened.
    """
    off = None if removed is None else tuple(map(Ref, removed))
    unit = CaseUnit(family=dict(family or {}), removed=off)
    return Case(case=name, unit=unit, seat=Seat(seat), complaint=complaint)


def verdict(session: Session) -> CaseView:
    """Return what a case comes to, as records with the keys of its JSON."""
    return case_view(session)


def verdict_json(session: Session) -> str:
    """Return what a case comes to as JSON; `json_schemas()["verdict.schema.json"]` describes it."""
    return outputs.json_text("verdict", session)


def case_json(case: Case) -> str:
    """Return a case as JSON with the keys of its file; `case_from_json` reads it back."""
    return as_json(case_data(case))


def json_schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON Schemas (draft 2020-12) of a case, a price list, a plan and every `--json`.

    The same stand as files in the package, in `headwater/schema`.
    """
    return outputs.schemas()
