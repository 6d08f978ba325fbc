from __future__ import annotations

import pytest

from headwater.drill.exercise import (
    DrillError,
    Exercise,
    draw_exercise,
    justified_parts,
    planner_run,
    solved,
)
from headwater.drill.score import CHECKS, MINUTES, ORIGIN, PARTS, score_run
from headwater.drill.truth import LEVELS, TWISTS, Twist, draw_unit, reached, shares
from headwater.session.openbook import OpenBook

SEEDS = range(4)


def bore(practised: OpenBook) -> Exercise:
    """Return an exercise whose origin is the worn bore, looked for over the seeds."""
    for seed in range(200):
        exercise = draw_exercise(practised, 2, seed)
        if exercise.unit.origins == ("bore-worn",) and len(exercise.planner.orders) > 1:
            return exercise
    raise AssertionError("no seed gives the worn bore")


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_planner_gets_full_marks(practised: OpenBook, level: int, seed: int) -> None:
    exercise = draw_exercise(practised, level, seed)
    again = planner_run(exercise.reasoner, exercise.unit)
    assert again is not None
    score = score_run(exercise, again, list(again.named()), again.parts())
    assert (score.origin, score.parts, score.minutes, score.checks) == (40, 30, 20, 10)
    assert score.total == ORIGIN + PARTS + MINUTES + CHECKS == 100
    assert not score.missed


@pytest.mark.parametrize("level", LEVELS)
def test_the_same_seed_gives_the_same_unit(practised: OpenBook, level: int) -> None:
    one, other = (draw_exercise(OpenBook(practised.book), level, 3) for _ in range(2))
    assert one.unit == other.unit
    assert [o.check for o in one.planner.orders] == [o.check for o in other.planner.orders]


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_truth_is_what_fired_links_reach(practised: OpenBook, level: int, seed: int) -> None:
    unit = draw_exercise(practised, level, seed).unit
    assert unit.present == reached(unit.origins, unit.fired)
    for chain in unit.chains:
        assert set(chain.path()) <= unit.present
    assert unit.present & practised.book.origins.keys() == set(unit.origins)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_hardest_level_has_every_twist(practised: OpenBook, seed: int) -> None:
    exercise = draw_exercise(practised, 5, seed)
    unit = exercise.unit
    assert len(set(unit.origins)) == 2
    assert unit.loop
    assert set(unit.loop) <= unit.present
    assert unit.herring in unit.opening
    assert unit.mistaken in unit.opening
    assert exercise.begin().verdict.disputed
    assert TWISTS[5] == set(Twist) - {Twist.LOUD}


def test_a_second_look_at_a_mistake_tells_the_truth(practised: OpenBook) -> None:
    unit = draw_exercise(practised, 5, 0).unit
    assert unit.mistaken is not None
    check = practised.book.checks[unit.mistaken]
    assert unit.answer(check, 2) != unit.opening[unit.mistaken]
    assert shares(check, unit.present)[unit.answer(check, 2)] > 0.95


def test_answers_follow_the_sureness_table(practised: OpenBook) -> None:
    hum = practised.book.checks["hum"]
    assert shares(hum, {"fork-bent"})["hums"] == pytest.approx(0.7)
    assert shares(hum, set())["hums"] == pytest.approx(0.3)
    # Honest slips: of a hundred looks two miss what is plain, of a thousand two see what is not.
    pads = practised.book.checks["pads-look"]
    assert shares(pads, {"pads-burnt"})["burnt"] == pytest.approx(0.98)
    assert shares(pads, set())["burnt"] == pytest.approx(0.002)


def test_drawn_answers_come_as_often_as_the_table_says(practised: OpenBook) -> None:
    reasoner = practised.compiled({})
    chain = practised.book.chains["vent-blows-seal"]
    hum = practised.book.checks["hum"]
    units = [draw_unit(reasoner, chain, 2, f"t{n}", [chain]) for n in range(2000)]
    told = [unit.answer(hum) for unit in units if unit]
    assert len(told) == 2000
    assert told.count("hums") / 2000 == pytest.approx(0.3, abs=0.04)


def test_links_off_the_chain_fire_by_their_chance(practised: OpenBook) -> None:
    reasoner = practised.compiled({})
    chain = practised.book.chains["bore-burns-pads"]
    units = [draw_unit(reasoner, chain, 2, f"t{n}", [chain]) for n in range(1000)]
    crumbs = sum("crumbs-in-oil" in unit.present for unit in units if unit)
    assert crumbs / 1000 == pytest.approx(0.8, abs=0.05)


def test_a_right_guess_without_looking_earns_half_the_origin(practised: OpenBook) -> None:
    exercise = bore(practised)
    score = score_run(exercise, exercise.begin(), ["bore-worn"], ["bore"])
    assert score.guessed == ("bore-worn",)
    assert (score.origin, score.parts, score.minutes, score.checks) == (20, 30, 10, 5)
    assert score.missed


def test_a_wrong_name_shares_the_points_and_a_wrong_part_costs_ten(practised: OpenBook) -> None:
    exercise = bore(practised)
    assert "vent" not in justified_parts(practised.book, exercise.unit)
    score = score_run(exercise, exercise.planner, ["bore-worn", "vent-blocked"], ["bore", "vent"])
    assert (score.origin, score.parts, score.minutes, score.checks) == (20, 20, 10, 5)
    assert (score.wrong, score.wrong_parts) == (("vent-blocked",), ("vent",))


def test_nothing_named_earns_nothing(practised: OpenBook) -> None:
    exercise = bore(practised)
    score = score_run(exercise, exercise.planner, [], [])
    assert score.total == 0
    assert (score.left, score.uncorrected) == (("bore-worn",), ("bore-worn",))


def test_a_slow_run_loses_minutes_in_proportion(practised: OpenBook) -> None:
    exercise = bore(practised)
    run = exercise.begin()
    for order in exercise.planner.orders:
        run.order(run.session.check(order.check))
    run.order(run.session.check(run.orders[0].check))
    assert len(run.needless) == 1
    score = score_run(exercise, run, ["bore-worn"], ["bore"])
    assert score.minutes == round(20 * exercise.planner.minutes / (exercise.planner.minutes + 5))
    assert (score.origin, score.parts, score.checks) == (40, 30, 8)


def test_disassembly_is_paid_once(practised: OpenBook) -> None:
    run = bore(practised).begin()
    first = run.order(run.session.check("fork-gauge"))
    second = run.order(run.session.check("old-dirt"))
    assert (first.minutes, first.opens) == (25.0, ("half",))
    assert (second.minutes, second.opens) == (5.0, ())


def test_the_same_check_again_cannot_matter(practised: OpenBook) -> None:
    run = bore(practised).begin()
    run.order(run.session.check("fork-gauge"))
    assert not run.order(run.session.check("fork-gauge")).mattered


def test_the_next_exercise_is_drawn_from_the_missed_and_their_rivals(practised: OpenBook) -> None:
    near = {"vent-blows-seal", "cut-seal-leaks"}
    drawn = [draw_exercise(practised, 2, seed, ["vent-blows-seal"]) for seed in range(12)]
    told = {str(exercise.unit.chains[0].chain) for exercise in drawn}
    assert told == near


def test_a_planner_that_needs_too_long_gives_no_exercise(practised: OpenBook) -> None:
    exercise = bore(practised)
    assert planner_run(exercise.reasoner, exercise.unit, most=0) is None


def test_a_run_that_names_nothing_is_not_solved(practised: OpenBook) -> None:
    exercise = bore(practised)
    assert not solved(exercise.reasoner, exercise.begin())


def test_no_level_from_a_book_that_has_no_such_unit(practised: OpenBook) -> None:
    bare = OpenBook(type(practised.book)(packs=practised.book.packs))
    with pytest.raises(DrillError, match="no unit of level 1"):
        draw_exercise(bare, 1, 1)
