"""A unit met: by the planner, and by what stands beside it."""

from __future__ import annotations

from collections.abc import Mapping

from trial.bound import PERSONS, bound
from trial.desk import Desk, likeliest
from trial.observer import Asked, Observer, pair_of, skill_of
from trial.score import Result
from trial.sitting import People, begin, cheapest, is_right, planner, sit
from trial.units import Setting, draw_unit

from headwater.book.tables import SPECIAL, Seat
from headwater.session.openbook import OpenBook

SURELY = (1.0, 1e-6)
"""Likelihoods of a complaint that was told."""


def meet(
    opened: OpenBook, family: Mapping[str, str], setting: Setting, seed: int, beside: bool = True
) -> Result:
    """Return what comes of a unit; `beside`: also what cheapest first, and the least, come to."""
    book = opened.compiled(family).book
    observer = Observer(book, draw_unit(book, setting.origins, seed), setting)
    sitting = sit(opened, family, observer, planner)
    settled = sitting.outcome.settled
    right = settled and is_right(sitting.outcome, observer.unit)
    return Result(
        observer.unit,
        sitting,
        cheapest=sit(opened, family, observer, cheapest) if beside else None,
        ceiling=ceiling(opened, family, observer),
        can_settle=settled or not beside or can_settle(opened, family, observer),
        bound=bound(opened, family, observer, sitting) if beside and right else None,
    )


def ceiling(opened: OpenBook, family: Mapping[str, str], observer: Observer) -> int:
    """Count the complaints whose likeliest origin is true once people have answered every check.

    The likelihoods are the observer's own, so that nobody who hears the same can do better but by
    luck; answers are taken as independent, given what is there.
    """
    factors = factors_of(observer) | dict.fromkeys(observer.unit.found, SURELY)
    best = likeliest(opened.compiled(family), factors, observer.unit.found)
    return sum(best[c] in observer.unit.causes[c] for c in observer.unit.found)


def factors_of(observer: Observer) -> dict[str, tuple[float, float]]:
    """Return (likelihood if present, if absent) of all answers together, by condition."""
    factors: dict[str, tuple[float, float]] = {}
    for check in observer.book.checks.values():
        words = (observer.answer(check, Asked(person)).word for person in range(PERSONS))
        word = next((word for word in words if word not in SPECIAL), None)
        answer = check.answer(word) if word else None
        if answer is None:
            continue
        right = skill_of(check) * (1.0 - observer.setting.slips)
        astray = (1.0 - right) / len(check.answers)
        for condition in check.speaks_of():
            pair = [right * p + astray for p in pair_of(check, answer, condition)]
            before = factors.get(condition, (1.0, 1.0))
            factors[condition] = (before[0] * pair[0], before[1] * pair[1])
    return factors


def can_settle(opened: OpenBook, family: Mapping[str, str], observer: Observer) -> bool:
    """Say whether true answers to all checks settle a unit, asked in the order of the teardown."""
    desk = begin(opened, family, observer.unit, People(observer))
    _answer_all(desk, observer)
    desk.to_bench()
    _answer_all(desk, observer)
    return desk.settled


def _answer_all(desk: Desk, observer: Observer) -> None:
    """Answer what can be answered at this seat; what opening would spoil comes first."""
    here = {str(seat) for seat in Seat}
    while possible := [c for c in desk.possible() if here & {*map(str, c.seats)}]:
        check = min(possible, key=lambda c: (not c.before, desk.cost(c) - c.minutes, c.id))
        heard = observer.exactly(check)
        desk.answer(str(check.id), heard.given, heard.word)
