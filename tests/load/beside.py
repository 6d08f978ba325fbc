"""The same answers in the library, without the web: what the pages themselves cost beside it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from typing import Any

from load.person import BEGIN, Deed

from headwater import outputs
from headwater.book.tables import Seat
from headwater.case.store import new_case_text, unsaid
from headwater.caseshelf import FolderShelf
from headwater.errors import HeadwaterError
from headwater.session.atseat import AtSeat
from headwater.session.openbook import OpenBook
from headwater.session.sent import Sent
from headwater.session.session import open_session
from headwater.view.seat import Seated


def in_library(folder: Path, opened: OpenBook, deeds: Sequence[Deed]) -> list[Deed]:
    """Do what was sent once more, case by case, and return it with the times that it took."""
    ordered = sorted(deeds, key=lambda deed: deed.case)
    shelf = FolderShelf(folder)
    return [
        deed
        for name, some in groupby(ordered, key=lambda deed: deed.case)
        for deed in _case(shelf, opened, name, list(some))
    ]


def _case(shelf: FolderShelf, opened: OpenBook, name: str, deeds: list[Deed]) -> Iterator[Deed]:
    """Yield what was done in one case; one that was begun before the clock started is left out."""
    first = deeds[0]
    if first.kind != BEGIN:
        return
    begun = time.monotonic()
    place, seat = shelf.new_place(name), Seat(first.seat)
    text = new_case_text(name, opened.book, {}, seat, first.sent["words"], None, {})
    with place.create(text, unsaid) as store:
        session = open_session(opened, store.case(), seat, store, lambda: "2031-04-09T10:00:00")
        at = AtSeat(session, time.monotonic)
        outputs.page_of("seat", Seated(at))
        yield replace(first, seconds=time.monotonic() - begun)
        for deed in deeds[1:]:
            begun = time.monotonic()
            try:
                with at.at_work():
                    DEEDS[deed.kind](at, deed.sent)
            except HeadwaterError:
                return  # something before it went wrong on the pages, and is missing here
            outputs.page_of("seat", Seated(at))
            yield replace(deed, seconds=time.monotonic() - begun)


def _answer(at: AtSeat, sent: Mapping[str, Any]) -> None:
    number = int(sent["number"]) if "number" in sent else None
    chosen, reading = sent.get("answer", ""), sent.get("reading", "")
    at.answer(Sent(sent["check"], chosen, "", reading, {}, number, int(sent["seen"]), ""))


DEEDS: Mapping[str, Callable[[AtSeat, Mapping[str, Any]], None]] = {
    "answer": _answer,
    "confirm": lambda at, sent: at.confirm({int(one) for one in sent["row"]}, sent["sign"], ""),
    "clear-up": lambda at, sent: at.clear_up(sent["how"], ""),
    "earlier": lambda at, _: at.tell_earlier(""),
    "unit": lambda at, sent: at.describe(sent["attribute"], sent["value"]),
}
"""What people send on the pages, sent to the library."""
