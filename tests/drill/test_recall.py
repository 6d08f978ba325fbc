from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from headwater.drill import recall as module
from headwater.drill.exercise import draw_exercise
from headwater.drill.mistakes import Mistake, mistakes_of
from headwater.drill.progress import Apprentice
from headwater.drill.recall import (
    AGAIN,
    GOOD,
    HARD,
    KEPT,
    card,
    ratings_of,
    recall,
    reviewed,
    weak_chains,
)
from headwater.drill.score import Statement, score_run, statement_of
from headwater.session.openbook import OpenBook

NOW = datetime(2031, 4, 9, 8, 30, tzinfo=UTC)
LINK = card("vent-blocked", "seal-leaks")


def test_what_is_known_fades_and_is_made_firm_by_practice() -> None:
    once = reviewed({}, {LINK: GOOD}, NOW)
    twice = reviewed(once, {LINK: GOOD}, NOW + timedelta(days=3))
    later = NOW + timedelta(days=30)
    fresh = recall(once, NOW + timedelta(minutes=1))[LINK]
    assert fresh > recall(once, later)[LINK] > 0.0
    assert recall(twice, later)[LINK] > recall(once, later)[LINK]
    assert recall(once, later) == recall(once, later)  # without chance


def test_times_are_in_utc_wherever_it_is_written() -> None:
    from datetime import timezone

    east = NOW.astimezone(timezone(timedelta(hours=9)))
    assert reviewed({}, {LINK: GOOD}, east) == reviewed({}, {LINK: GOOD}, NOW)


def test_old_reviews_are_dropped() -> None:
    told: dict[str, list[str]] = {}
    for day in range(KEPT + 3):
        told = reviewed(told, {LINK: GOOD}, NOW + timedelta(days=day))
    assert len(told[LINK]) == KEPT
    assert told[LINK][0].startswith("2031-04-12")


def test_ratings_say_how_each_link_was_known(practised: OpenBook) -> None:
    exercise = draw_exercise(practised, 2, 1)
    links = [card(*ends) for way in exercise.unit.ways for ends in pairwise(way)]
    said = statement_of(exercise.planner)
    for run, statement, rating in (
        (exercise.planner, said, GOOD),
        (exercise.begin(), said, HARD),
        (exercise.begin(), Statement(), AGAIN),
    ):
        score = score_run(exercise, run, statement)
        made = mistakes_of(exercise, run, score)
        before = {str(Mistake.BARE_PART): ["2031-04-01 08:00 again"]}
        rated = ratings_of(exercise, statement, score, made, before)
        assert {rated[link] for link in links} == {rating}
        assert {kind for kind, one in rated.items() if one is AGAIN} - {*links} == {*map(str, made)}
        if Mistake.BARE_PART not in made:
            assert rated[str(Mistake.BARE_PART)] == GOOD


def test_the_weakest_chain_comes_first_and_never_twice_in_a_row(practised: OpenBook) -> None:
    book = practised.book
    dirt = [card(*ends) for ends in pairwise(book.chains["dirt-burns-pads"].path())]
    told = reviewed({}, {LINK: AGAIN, **dict.fromkeys(dirt, GOOD)}, NOW)
    assert weak_chains(book, told, NOW)[0] == "vent-blows-seal"
    assert "dirt-burns-pads" not in weak_chains(book, told, NOW)
    months = NOW + timedelta(days=200)
    assert {"vent-blows-seal", "dirt-burns-pads"} <= {*weak_chains(book, told, months)}
    assert "vent-blows-seal" not in weak_chains(book, told, months, last="vent-blows-seal")


def test_now_and_then_it_is_anything(practised: OpenBook) -> None:
    weak: dict[str, tuple[str, ...]] = {LINK: ("2031-04-09 08:30 again",)}
    near = [Apprentice(done=n, reviews=weak).next_from(practised.book, NOW) for n in range(6)]
    assert near == [("vent-blows-seal",), ("vent-blows-seal",), ()] * 2


def test_without_the_extra_it_keeps_to_what_was_missed(
    practised: OpenBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "find_spec", lambda _name: None)
    record = Apprentice(missed={"cut-seal-leaks": 1}, reviews={LINK: ("2031-04-09 08:30 again",)})
    assert record.next_from(practised.book, NOW) == ("cut-seal-leaks",)
