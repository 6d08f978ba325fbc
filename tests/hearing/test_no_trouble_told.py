"""What a vehicle is or was is no trouble: said outright, it takes nothing down.

The sentences are invented; what they must not say is common sense, no source.
"""

from __future__ import annotations

import pytest
from once import load_once

from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.session.intake import Intake
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session
from headwater.shipped import shipped_packs


@pytest.fixture(scope="module")
def vehicle() -> OpenBook:
    return OpenBook(load_once(shipped_packs()))


@pytest.mark.parametrize(
    "said",
    [
        "it has permanent four wheel drive, an automatic",
        "my dash shows four wheel drive",
        "I have not moved it since",
        "nobody has moved it",
        "they changed the transmission oil last year",
        "the gearbox oil was checked",
        "it's the one with the pto",
        "I had to reverse and back up a few times",
    ],
)
def test_what_it_is_and_was_is_no_trouble(vehicle: OpenBook, said: str) -> None:
    intake = Intake(open_session(vehicle, Case(case="a"), Seat.CALL))
    intake.hear(said)
    assert [item.one.id for item in intake.items if item.ticked] == []
    assert not intake.signs
