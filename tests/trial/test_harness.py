"""The trial's own means: what they draw, and whether the bound is one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_book import CHECKS, CONDITIONS, write_book
from trial.bound import Need, bound, least, narrows, needs_of
from trial.ceiling import likeliest
from trial.desk import Release
from trial.score import Result, score
from trial.sitting import People, is_right, is_wrong, leaves_one, planner, sit

from headwater.book.chances import Common
from headwater.book.load import load_book
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, SPECIAL, SURENESS
from headwater.measure.answer import understand
from headwater.session.openbook import OpenBook
from headwater.simulate.observer import SIGNS, SKILL, Asked, Manner, Observer, skill_of, way_of
from headwater.simulate.units import SETTINGS, Setting, SimulatedUnit, draw_unit, nameable
from headwater.verdict.assess import Reasoner

PERFECT = Setting("perfect", unsure=0.0, not_now=0.0)

TINY_CONDITIONS = (
    CONDITIONS
    + """\
  lever-bent:
    title: lever bent
    kind: damage
    part: lever
    origin:
      common: rare
      alone: bent or straight, nobody takes the one for the other
      corrections:
        - {action: adjust, text: Straighten the lever., minutes: 5}
  jumps:
    title: jumps out of low
    kind: complaint
"""
)
TINY_CHECKS = (
    CHECKS
    + """\
  jumping:
    ask: Does it jump out?
    seats: [call]
    minutes: 1
    answers:
      yes-it-does: {shows: {jumps: decisive}}
      no-never: {rules-out: {jumps: decisive}}
  lever:
    ask: Is the lever straight?
    seats: [hoist]
    minutes: 3
    answers:
      bent: {shows: {lever-bent: decisive}}
      straight: {rules-out: {lever-bent: decisive}}
"""
)
BORE_CHAIN = """\
chain: bore-burns-pads
found: jumps
because:
  - bore-worn: {how: the bearing floats back, often: usually}
verdict: bore-worn
"""
LEVER_CHAIN = """\
chain: lever-jumps
found: jumps
because:
  - lever-bent: {how: the range is not held, often: usually}
verdict: lever-bent
"""
OPENING = 30.0
"""Minutes of the cover and the rear half, behind which the bore is measured."""


@pytest.fixture
def tiny(tmp_path: Path) -> Book:
    """A book of two origins and one complaint: the lever is seen outside, the bore within."""
    folder = write_book(
        tmp_path / "book",
        conditions=TINY_CONDITIONS,
        checks=TINY_CHECKS,
        bore_burns_pads=BORE_CHAIN,
        bore_burns_pads_cases="cases: []\n",
    )
    words = (folder / "words.yaml").read_text(encoding="utf-8")
    words = words.replace("  fork: {title", "  lever: {title: lever}\n  fork: {title")
    (folder / "words.yaml").write_text(words, encoding="utf-8")
    (folder / "lever-jumps.yaml").write_text(LEVER_CHAIN, encoding="utf-8")
    return load_book([folder])


def unit_of(origin: str) -> SimulatedUnit:
    there = frozenset({origin, "jumps"})
    true = frozenset({origin})
    return SimulatedUnit(
        0, true, there, dict.fromkeys(there, (true,)), {"jumping": "yes-it-does"}, ("jumps",)
    )


def observers(book: Book, setting: Setting, units: int) -> list[Observer]:
    drawn = (draw_unit(book, setting.origins, seed) for seed in range(units))
    return [Observer(book, unit, setting) for unit in drawn]


# What is answered


def test_the_figures_are_not_those_of_the_book() -> None:
    assert SIGNS.keys() == SURENESS.keys()
    for word, figures in SURENESS.items():
        assert set(SIGNS[word]).isdisjoint(figures)


def test_looks_readings_and_hearsay_differ_and_so_do_single_checks(reasoner: Reasoner) -> None:
    assert len(set(SKILL.values())) == 3
    skills: dict[Manner, list[float]] = {way: [] for way in SKILL}
    for check in reasoner.book.checks.values():
        skills[way_of(check)].append(skill_of(check))
    for way, found in skills.items():
        assert SKILL[way][0] <= min(found) < max(found) <= SKILL[way][1]


def test_answers_are_right_as_often_as_the_skill_says(reasoner: Reasoner) -> None:
    slips = Setting("slips", unsure=0.0, slips=0.05, not_now=0.0)
    told = expected = right = 0.0
    for observer in observers(reasoner.book, slips, 12):
        for check in reasoner.book.checks.values():
            if not check.reading and not check.presumes:
                told += 1
                expected += skill_of(check) * 0.95
                right += observer.answer(check).word == observer.truth(check)
    assert told > 2000
    assert right / told == pytest.approx(expected / told, abs=0.012)


def test_who_does_not_know_does_not_know_when_asked_again_but_another_may(
    reasoner: Reasoner,
) -> None:
    """Of what somebody can know: some checks ask about what the unit does not have."""
    stuck = known = 0
    unsure = observers(reasoner.book, replace(PERFECT, unsure=0.3), 8)
    for observer, perfect in zip(unsure, observers(reasoner.book, PERFECT, 8), strict=True):
        askable = [c for c in reasoner.book.checks.values() if perfect.answer(c).word != DONT_KNOW]
        own = [c for c in askable if observer.answer(c).word == DONT_KNOW]
        assert len(own) > 50
        assert all(observer.answer(c, Asked(0, 1)).word == DONT_KNOW for c in own)
        stuck += len(own)
        known += sum(observer.answer(c, Asked(1)).word != DONT_KNOW for c in own)
    assert 0.5 < known / stuck < 0.9


def test_a_slip_is_repeated_by_the_same_person_six_times_in_ten(reasoner: Reasoner) -> None:
    slips = replace(PERFECT, slips=0.3)
    again = others = slipped = 0
    for observer in observers(reasoner.book, slips, 8):
        for check in reasoner.book.checks.values():
            word = observer.slip(check, Asked())
            if word:
                slipped += 1
                again += observer.slip(check, Asked(0, 1)) == word
                others += observer.slip(check, Asked(1)) == word
    assert slipped > 400
    assert again / slipped == pytest.approx(0.6, abs=0.08)
    assert others / slipped < 0.35


def test_a_slip_is_another_ordinary_answer(reasoner: Reasoner) -> None:
    (observer,) = observers(reasoner.book, replace(PERFECT, slips=1.0), 1)
    for check in reasoner.book.checks.values():
        if not check.presumes and not check.reading:
            heard = observer.answer(check)
            assert heard.word in check.answers
            assert heard.word != observer.truth(check)


def test_cannot_check_now_is_of_that_moment(reasoner: Reasoner) -> None:
    (observer,) = observers(reasoner.book, replace(PERFECT, not_now=0.5), 1)
    put_off = [c for c in reasoner.book.checks.values() if observer.answer(c).word == CANNOT_CHECK]
    assert len(put_off) > 100
    later = [c for c in put_off if observer.answer(c, Asked(0, 1)).word not in SPECIAL]
    assert 0.3 < len(later) / len(put_off) < 0.7


def test_a_reading_is_a_figure_that_the_program_takes_for_its_band(reasoner: Reasoner) -> None:
    book = reasoner.book
    measured = [c for c in book.checks.values() if c.reading and not c.presumes]
    settled = 0
    for observer in observers(book, PERFECT, 2):
        for check in measured:
            exact = observer.exactly(check)
            assert understand(book, check, exact.given).settled == exact.word
            heard = observer.answer(check)
            judged = understand(book, check, heard.given)
            assert judged.settled in (None, heard.word)
            assert judged.quantity is not None
            settled += judged.settled is not None
    assert settled / len(measured) > 1.4  # of 2: some lie too close to an edge, not most


def test_after_a_dont_know_somebody_else_is_asked_and_after_an_answer_the_same(
    reasoner: Reasoner,
) -> None:
    (observer,) = observers(reasoner.book, replace(PERFECT, unsure=0.5), 1)
    people = People(observer)
    for check in reasoner.book.checks.values():
        first = people.ask(check).word
        people.ask(check)
        assert people.askings[check.id] == (Asked(1) if first == DONT_KNOW else Asked(0, 1))


# What is drawn


@pytest.mark.parametrize("origins", [1, 2, 3])
def test_each_origin_has_brought_a_complaint_about(reasoner: Reasoner, origins: int) -> None:
    for seed in range(5):
        unit = draw_unit(reasoner.book, origins, seed)
        assert unit == draw_unit(reasoner.book, origins, seed)
        assert len(unit.origins) == origins
        assert 1 <= len(unit.found) <= origins
        assert unit.behind.keys() == unit.present >= set(unit.found) | unit.origins
        assert all(unit.origins & unit.causes(condition) for condition in unit.present)


def test_a_rare_origin_more_draws_no_other_unit(reasoner: Reasoner) -> None:
    book = reasoner.book
    first = next(cid for cid, record in book.origins.items() if record.origin)
    record = book.conditions[first]
    assert record.origin is not None
    rare = replace(record, origin=replace(record.origin, common=Common(1e-9, "1e-9")))
    more = replace(book, conditions={Ref("a-rare-one"): rare, **book.conditions})
    for seed in range(12):
        assert draw_unit(more, 2, seed) == draw_unit(book, 2, seed)


def test_of_a_usage_the_first_fault_below_may_be_named_too(tiny: Book) -> None:
    bore = tiny.conditions["bore-worn"]
    assert bore.origin is not None
    usage = replace(bore, id="waded", origin=replace(bore.origin, usage=True))
    book = replace(tiny, conditions={**tiny.conditions, "waded": usage})
    fired = frozenset({("waded", "bore-worn"), ("bore-worn", "jumps"), ("lever-bent", "jumps")})
    assert nameable(book, "waded", "jumps", fired) == {"waded", "bore-worn"}
    assert nameable(book, "bore-worn", "jumps", fired) == {"bore-worn"}
    below = fired | {("bore-worn", "lever-bent")}
    assert nameable(book, "waded", "jumps", below) == {"waded", "bore-worn"}


def test_a_release_is_wrong_when_no_true_origin_of_its_damage_is_named() -> None:
    unit = unit_of("bore-worn")
    assert not is_wrong(Release("fork", {"jumps": frozenset({"bore-worn"})}), unit)
    assert is_wrong(Release("fork", {"jumps": frozenset({"lever-bent"})}), unit)
    assert is_wrong(Release("fork", {"pads-burnt": frozenset({"lever-bent"})}), unit)


def test_a_release_leaves_an_origin_when_one_of_two_is_named() -> None:
    unit = unit_of("bore-worn")
    two = replace(unit, behind={"jumps": (frozenset({"bore-worn"}), frozenset({"lever-bent"}))})
    one_named = Release("fork", {"jumps": frozenset({"bore-worn"})})
    assert not is_wrong(one_named, two)
    assert leaves_one(one_named, two)
    assert not leaves_one(one_named, unit)
    assert not leaves_one(Release("fork", {"jumps": frozenset({"bore-worn", "lever-bent"})}), two)


# The ceiling and the bound


def test_the_likeliest_is_what_bayes_says(tiny: Book) -> None:
    # priors 0.06 and 0.005, the same link: 12 to 1 for the bore, unless the lever was seen bent
    told = {"jumps": 1e6}
    assert likeliest(tiny, told, ["jumps"], 1, 0) == {"jumps": "bore-worn"}
    seen = told | {"lever-bent": 13.0}
    assert likeliest(tiny, seen, ["jumps"], 1, 0) == {"jumps": "lever-bent"}
    assert likeliest(tiny, told | {"lever-bent": 11.0}, ["jumps"], 1, 0) == {"jumps": "bore-worn"}


def test_of_two_origins_each_is_likeliest_behind_its_own_complaint(tiny: Book) -> None:
    links = dict(tiny.links)
    links["lever-bent", "pads-burnt"] = links.pop(("lever-bent", "jumps"))
    told = {"jumps": 1e6, "pads-burnt": 1e6}
    best = likeliest(replace(tiny, links=links), told, told, 2, 0)
    assert best == {"jumps": "bore-worn", "pads-burnt": "lever-bent"}


def test_the_least_minutes_by_hand(tiny: Book) -> None:
    def needed(*looks: str, at_least: int = 1) -> Need:
        return Need(frozenset(looks), at_least)

    assert least(tiny, []) == 0.0
    assert least(tiny, [needed("lever")]) == 3.0
    assert least(tiny, [needed("bore-float")]) == 5.0 + OPENING
    assert least(tiny, [needed("bore-float"), needed("pads")]) == 5.0 + 2.0 + OPENING
    assert least(tiny, [needed("bore-float", "pads", at_least=2)]) == 5.0 + 2.0 + OPENING
    assert least(tiny, [needed("bore-float", "pads")]) == 2.0 + OPENING
    assert least(tiny, [needed("bore-float", "lever")]) == 3.0
    assert least(tiny, [needed("bore-float")], free=["pads"]) == 5.0
    with pytest.raises(ValueError, match="meet all needs"):
        least(tiny, [needed("lever", at_least=2)])


def test_a_way_round_makes_a_condition_no_narrow(tiny: Book) -> None:
    links = dict(tiny.links)
    link = links["bore-worn", "jumps"]
    links["bore-worn", "gear-displaced"] = link
    links["gear-displaced", "jumps"] = link
    assert narrows(replace(tiny, links=links), ["bore-worn"], "jumps") == []
    del links["bore-worn", "jumps"]
    assert narrows(replace(tiny, links=links), ["bore-worn"], "jumps") == ["gear-displaced"]


@pytest.mark.parametrize(("origin", "minutes"), [("lever-bent", 3.0), ("bore-worn", 5.0 + OPENING)])
def test_the_bound_of_a_tiny_book_by_hand(tiny: Book, origin: str, minutes: float) -> None:
    unit = unit_of(origin)
    observer = Observer(tiny, unit, PERFECT)
    opened = OpenBook(tiny)
    sitting = sit(opened, {}, observer, planner)
    assert sitting.outcome.named["jumps"] == {origin}
    assert is_right(sitting.outcome, unit)
    found = bound(opened, {}, observer, sitting)
    assert found is not None
    assert sitting.outcome.proven["jumps"]
    assert (found.lower, found.upper) == (minutes, minutes)


@pytest.mark.trial
def test_the_bound_from_below_is_under_the_one_from_above(book: Book) -> None:
    opened = OpenBook(book)
    found = []
    for observer in observers(opened.compiled(book.family).book, SETTINGS["plain"], 4):
        sitting = sit(opened, book.family, observer, planner)
        if not sitting.outcome.settled or not is_right(sitting.outcome, observer.unit):
            continue
        limits = bound(opened, book.family, observer, sitting)
        assert limits is not None
        assert limits.lower <= limits.upper <= sitting.minutes + sitting.sweep
        found.append(limits)
    assert len(found) >= 2
    assert any(limits.lower > 0 for limits in found)


def test_what_was_known_from_the_start_is_not_needed(tiny: Book) -> None:
    unit = unit_of("bore-worn")
    observer = Observer(tiny, unit, PERFECT)
    sitting = sit(OpenBook(tiny), {}, observer, planner)
    proven = replace(sitting.outcome, proven={"jumps": frozenset({"bore-worn"})})
    answers = {"bore-float": "past-limit", "jumping": "yes-it-does"}
    assert needs_of(tiny, unit, proven, answers) == [Need(frozenset({"bore-float"}))]
    told = replace(unit, told={**unit.told, "bore-float": "past-limit"})
    assert needs_of(tiny, told, proven, answers) == []


def test_a_usage_is_shown_by_its_traces(tiny: Book) -> None:
    bore = tiny.conditions["bore-worn"]
    assert bore.origin is not None
    usage = replace(bore, origin=replace(bore.origin, usage=True, traces=(Ref("lever-bent"),)))
    book = replace(tiny, conditions={**tiny.conditions, "bore-worn": usage})
    unit = unit_of("bore-worn")
    sitting = sit(OpenBook(tiny), {}, Observer(tiny, unit, PERFECT), planner)
    proven = replace(sitting.outcome, proven={"jumps": frozenset({"bore-worn"})})
    (need,) = needs_of(book, unit, proven, {"bore-float": "past-limit", "lever": "bent"})
    assert need.looks == {"bore-float", "lever"}


def test_the_score_counts_what_came_of_each_unit(tiny: Book) -> None:
    unit = unit_of("lever-bent")
    sitting = sit(OpenBook(tiny), {}, Observer(tiny, unit, PERFECT), planner)
    other = (frozenset({"bore-worn"}),)
    mistaken = replace(unit, behind=dict.fromkeys(unit.present, other))
    told = score(PERFECT, [Result(unit, sitting, ceiling=1), Result(mistaken, sitting)])
    assert (told.settled, told.right, told.leading, told.complaints) == (2, 1, 1, 2)
    assert (told.releases, told.wrong) == (2 * len(sitting.outcome.releases), 1)
