"""What an apprentice may see before the debrief says nothing of the truth: pages, order, ids, work.

Two units that are told alike and are not alike are served to two classes: what is sent must be the
same to the sign, and so must the work that goes into it, which is what a clock would show.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from itertools import pairwise, product
from math import log, prod, sqrt
from statistics import mean, stdev
from types import FrameType
from typing import Any

import pytest
from draws import at_night

from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.drill.classhour import ClassHour, Phase
from headwater.drill.exercise import Exercise, Wish, _family, _Lot, draw_exercise
from headwater.drill.hourpages import Playing
from headwater.drill.progress import Task
from headwater.drill.pupil import Pupil
from headwater.drill.truth import HiddenUnit
from headwater.outputs import page_of
from headwater.render.data import as_json
from headwater.render.site import site_page
from headwater.rules.evidence import likelihoods
from headwater.session.openbook import OpenBook
from headwater.shipped import shipped_packs
from headwater.simulate.units import reached

FRAME: dict[str, Any] = {"csrf": "x", "who": "ana", "desk": "", "menu": ()}
SAME_LOOKS = ("vent-look", "wet-look", "lip-look", "fork-gauge", "bore-float")


def served(exercise: Exercise, open_book: OpenBook) -> tuple[ClassHour, Pupil]:
    """Return a lesson that runs, and its one apprentice."""
    hour = ClassHour("CODE", open_book, Wish(2, exercise.seed), Task(level=2), Phase.READY)
    hour.exercise = exercise
    hour.join("seat", "ana")
    hour.start()
    return hour, hour.pupils["seat"]


def pages(hour: ClassHour, pupil: Pupil) -> Iterator[str]:
    """Yield everything that is sent of the question an apprentice is at."""
    for told in (
        Playing(hour, pupil),
        Playing(hour, pupil, every=True),
        Playing(hour, pupil, "oil"),
    ):
        record = page_of("class-play", told)
        yield as_json(record)
        yield site_page("play.html", {"page": record, "words": told.words, "code": "CODE"} | FRAME)


def otherwise(exercise: Exercise) -> Exercise:
    """Return an exercise that is told alike: another origin and way, another seed."""
    book, unit = exercise.book, exercise.unit
    (end,) = unit.ends
    chains = [c for c in book.chains.values() if c.found == end and c.verdict != unit.origins[0]]
    chain = min(chains, key=lambda one: str(one.chain))
    path = chain.path()
    fired = frozenset(pairwise(path))
    present = reached([str(chain.verdict)], fired)
    other = HiddenUnit("another", (chain,), present, fired, unit.ends, opening=unit.opening)
    return replace(exercise, unit=other, seed=exercise.seed + 1, done=())


@pytest.fixture(scope="module")
def two(practised: OpenBook) -> tuple[Exercise, Exercise]:
    drawn = (draw_exercise(practised, 2, 700_000 + n) for n in range(60))
    first = next(one for one in drawn if one.unit.origins == ("bore-worn",) and _plain(one.unit))
    return first, otherwise(first)


def _plain(unit: HiddenUnit) -> bool:
    return unit.ends == ("pads-burnt",) and "hum" not in unit.opening


def played(exercise: Exercise, open_book: OpenBook) -> Iterator[str]:
    """Yield all that is sent: at the start, after looks that both answer alike, at the end."""
    hour, pupil = served(exercise, open_book)
    yield from pages(hour, pupil)
    for look in SAME_LOOKS[:3]:
        hour.do(pupil, "look", look, pupil.turn)
        yield from pages(hour, pupil)
    for deed, what in (("go", "next"), ("pick", "bore-worn"), ("go", "next"), ("go", "next")):
        hour.do(pupil, deed, what, pupil.turn)
        yield from pages(hour, pupil)
    hour.do(pupil, "pick", "vent-look", pupil.turn)
    yield from pages(hour, pupil)


def test_what_is_sent_is_the_same_for_units_that_are_told_alike(
    practised: OpenBook, two: tuple[Exercise, Exercise]
) -> None:
    first, second = two
    assert first.unit.origins != second.unit.origins
    sent = [list(played(one, practised)) for one in two]
    assert sent[0] == sent[1]
    assert len(sent[0]) > 40
    whole = "".join(sent[0])
    assert "fork-gauge" in whole, "every look was there to be chosen"
    for secret in (first.unit.seed, str(first.seed), first.mark):
        assert secret not in whole


def looked(hour: ClassHour, pupil: Pupil, look: str) -> None:
    hour.do(pupil, "look", look, pupil.turn)


def work_of(act: Callable[[], object]) -> int:
    """Return how many functions an act calls: unlike a clock, the same each time."""
    calls = 0

    def count(_frame: FrameType, event: str, _arg: object) -> None:
        nonlocal calls
        calls += event == "call"

    sys.setprofile(count)
    try:
        act()
    finally:
        sys.setprofile(None)
    return calls


def test_the_work_of_a_look_is_the_same_for_units_that_are_told_alike(
    practised: OpenBook, two: tuple[Exercise, Exercise]
) -> None:
    def work(exercise: Exercise) -> list[int]:
        hour, pupil = served(exercise, practised)
        return [work_of(partial(looked, hour, pupil, look)) for look in SAME_LOOKS[:3]]

    work(two[0])  # what is worked out once for a book is there now
    first, second = work(two[0]), work(two[1])
    assert min(first) > 1000
    for one, other in zip(first, second, strict=True):
        assert abs(one - other) <= 0.01 * one


def test_no_answer_is_quicker_where_the_planner_or_another_looked(
    practised: OpenBook, two: tuple[Exercise, Exercise]
) -> None:
    exercise = two[0]
    planner = exercise.planner
    assert planner.orders, "the planner has made its looks"
    hour, ana = served(exercise, practised)
    hour.join("other seat", "ben")
    ben = hour.pupils["other seat"]
    looks = [order.check for order in planner.orders]
    for look in looks:
        hour.do(ana, "look", look, ana.turn)
        if ana.doing.value == "reading":
            hour.do(ana, "judge", "", ana.turn)
    hour.do(ben, "look", "vent-look", ben.turn)
    reasoners = [one.session.reasoner for one in (planner, ana.run, ben.run)]
    remembered = [set(map(id, one.verdicts.values())) for one in reasoners]  # type: ignore[attr-defined]
    assert all(remembered)
    for number, one in enumerate(remembered):
        assert not any(one & other for other in remembered[number + 1 :])


def places(unit: HiddenUnit, place: Callable[[str], float]) -> Iterator[float]:
    """Yield 1 for each line that the misleading one comes after, 0 for one that follows it."""
    assert unit.herring is not None
    own = place(unit.herring)
    for check in unit.opening:
        if check != unit.herring:
            yield (own > place(check)) + 0.5 * (own == place(check))


def herrings(open_book: OpenBook, families: int, units: int) -> Iterator[HiddenUnit]:
    for turn in range(families):
        wish = Wish(3, turn)
        lot = _Lot(open_book.compiled(_family(open_book.book, wish, 0)), wish, 0)
        drawn = (lot.unit(number) for number in range(units))
        yield from (unit for unit in drawn if unit and unit.herring)


def area(units: list[HiddenUnit], place: Callable[[HiddenUnit, str], float]) -> float:
    """Return the area under the curve of a place against the misleading line (Mann and Whitney)."""
    told = [one for unit in units for one in places(unit, partial(place, unit))]
    assert len(told) > 1000
    return sum(told) / len(told)


def line(unit: HiddenUnit, check: str) -> float:
    """Return the number of a line on the page."""
    return [*unit.opening].index(check)


def rank(unit: HiddenUnit, check: str) -> float:
    """Return the place of an id among those of the page."""
    return sorted(unit.opening).index(check)


def test_the_line_says_nothing_of_the_misleading_sign(practised: OpenBook) -> None:
    units = list(herrings(practised, families=1, units=5000))
    assert area(units, line) == pytest.approx(0.5, abs=0.03)
    error = 1 / sqrt(12 * len(units))
    assert error < 0.01, "the bound is three standard errors or more"


@at_night(10)
@pytest.mark.trial
def test_neither_line_nor_id_says_anything_of_the_misleading_sign() -> None:
    opened = OpenBook(load_book(shipped_packs()))
    units = list(herrings(opened, families=40, units=60))
    found = {
        "line": area(units, line),
        "id": area(units, rank),
        "length": area(units, lambda _, check: float(len(check))),
    }
    print(len(units), found)
    assert found == pytest.approx(dict.fromkeys(found, 0.5), abs=0.03)


DRAWN = 2000


def book_says(book: Book, opening: Mapping[str, str]) -> dict[str, float]:
    """Return how likely the book holds each origin, one alone: by brute force over all links."""
    links = [(ends, link.often.p) for ends, link in book.links.items()]
    weights: dict[str, float] = {}
    for origin in book.origins:
        told = book.conditions[origin].origin
        assert told is not None
        total = 0.0
        for fired in product((False, True), repeat=len(links)):
            there = reached(
                [origin], [ends for (ends, _), on in zip(links, fired, strict=True) if on]
            )
            p = prod(p if on else 1.0 - p for (_, p), on in zip(links, fired, strict=True))
            for check, word in opening.items():
                given = book.checks[check].answers[word]  # type: ignore[index]
                for condition in book.checks[check].speaks_of():
                    p *= likelihoods(given, condition)[condition not in there]
            total += p
        weights[origin] = told.common.p / (1.0 - told.common.p) * total
    whole = sum(weights.values())
    return {origin: weight / whole for origin, weight in weights.items()}


@at_night(20)
@pytest.mark.trial
@pytest.mark.parametrize("order", [False, True], ids=["what is told", "and where it stands"])
def test_who_has_seen_a_thousand_units_knows_no_more_than_the_book(
    practised: OpenBook, order: bool
) -> None:
    """A recogniser that learnt from 1,000 units is held against the book on 1,000 others.

    Before units were drawn by chance it was better by 0.58 (2 standard errors: 0.08).
    """
    from sklearn.feature_extraction import DictVectorizer
    from sklearn.linear_model import LogisticRegression

    units = [draw_exercise(practised, 2, seed).unit for seed in range(DRAWN)]
    signs = [
        {f"{check} {word}": 1 for check, word in unit.opening.items()}
        | ({f"{check} at {n}": 1 for n, check in enumerate(unit.opening)} if order else {})
        for unit in units
    ]
    origins = [unit.origins[0] for unit in units]
    half = DRAWN // 2
    told = DictVectorizer()
    learnt = LogisticRegression(C=10.0, max_iter=3000)
    learnt.fit(told.fit_transform(signs[:half]), origins[:half])
    guessed = learnt.predict_log_proba(told.transform(signs[half:]))
    known = {name: n for n, name in enumerate(learnt.classes_)}
    by_book: dict[tuple[tuple[str, str], ...], dict[str, float]] = {}
    better = []
    for unit, row in zip(units[half:], guessed, strict=True):
        key = tuple(sorted(unit.opening.items()))
        if key not in by_book:
            by_book[key] = book_says(practised.book, unit.opening)
        origin = unit.origins[0]
        better.append(float(row[known[origin]]) - log(by_book[key][origin]))
    error = stdev(better) / sqrt(len(better))
    print(f"better than the book by {mean(better):.4f}, standard error {error:.4f}")
    assert mean(better) <= 2.0 * error
    assert error < 0.015, "a leak of a few hundredths would be seen"
