"""What a person picks of what was understood is taken, or it is said why not."""

from __future__ import annotations

from sessions import at_hoist

from headwater.book.records import Book
from headwater.hearing.targets import Topic
from headwater.hearing.understand import Understood
from headwater.session.intake import Intake, Item
from headwater.verdict.assess import Reasoner


def test_what_no_such_unit_can_have_is_named_and_kept_as_told(
    book: Book, reasoner: Reasoner
) -> None:
    family = book.family
    assert family["low-range"] == "planetary"
    check = next(
        c for c in book.checks.values() if c.when.get("low-range") == ("sliding",) and c.answers
    )
    session = at_hoist(book, family, reasoner)
    intake = Intake(session, said=["the sliding gear is chipped"])
    one = Understood(Topic.FINDING, check.id, check.id, next(iter(check.answers)), "chipped", 1.0)
    intake.items.append(Item(one, ticked=True))
    assert intake.take() == {}
    assert intake.misfits == ("chipped",)
    assert check.id not in session.answers
    assert "the sliding gear is chipped" in session.case.told
