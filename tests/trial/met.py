"""A unit met: by the planner, and by what stands beside it."""

from __future__ import annotations

from collections.abc import Mapping

from trial.bound import bound
from trial.ceiling import knowable
from trial.desk import Desk
from trial.score import Result
from trial.sitting import People, begin, cheapest, is_right, planner, sit

from headwater.book.tables import DONT_KNOW
from headwater.session.openbook import OpenBook
from headwater.simulate.observer import Observer, Reply
from headwater.simulate.units import Setting, draw_unit


def meet(
    opened: OpenBook, family: Mapping[str, str], setting: Setting, seed: int, beside: bool = True
) -> Result:
    """Return what comes of a unit; `beside`: also of cheapest first, the ceiling and the bound."""
    book = opened.compiled(family).book
    observer = Observer(book, draw_unit(book, setting.origins, seed), setting)
    sitting = sit(opened, family, observer, planner)
    settled = sitting.outcome.settled
    right = settled and is_right(sitting.outcome, observer.unit)
    return Result(
        observer.unit,
        sitting,
        cheapest=sit(opened, family, observer, cheapest) if beside else None,
        ceiling=knowable(observer) if beside else 0,
        can_settle=settled or not beside or can_settle(opened, family, observer),
        bound=bound(opened, family, observer, sitting) if beside and right else None,
    )


def can_settle(opened: OpenBook, family: Mapping[str, str], observer: Observer) -> bool:
    """Say whether true answers to all checks settle a unit, asked in the order of the teardown."""
    desk = begin(opened, family, observer.unit, People(observer))
    _answer_all(desk, observer)
    desk.to_bench()
    _answer_all(desk, observer)
    return desk.settled


def _answer_all(desk: Desk, observer: Observer) -> None:
    """Answer what can be answered at this seat; what opening would spoil comes first."""
    while possible := desk.possible():
        check = min(possible, key=lambda c: (not c.before, desk.cost(c) - c.minutes, c.id))
        sense = observer.makes_sense(check)
        heard = observer.exactly(check) if sense else Reply(DONT_KNOW, DONT_KNOW)
        desk.answer(str(check.id), heard.given, heard.word)
