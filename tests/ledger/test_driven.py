"""A shop whose units are driven through `Session`: what its ledger teaches, held against the truth;
and that nothing is spoilt where the book is right."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from draws import at_night

from headwater.belief.learning import LINK_WORTH
from headwater.belief.worlds import network_of
from headwater.book.tables import DONT_KNOW
from headwater.simulate.units import Setting, SimulatedUnit
from ledger.driven import LOOKS, Bench, Tree, complaints, draw_unit, drive, opened, run
from ledger.shopfloor import RARE, drifted, gain_words
from ledger.shopfloor import run as run_shop

NOTHING = frozenset[str]()


@cache
def tree() -> Tree:
    """Return what the program asks, shared by the tests: it is worked out once."""
    return Tree()


def unit(present: frozenset[str], seed: int = 1) -> SimulatedUnit:
    return SimulatedUnit(seed, present, present, {}, {}, ())


def test_every_customer_is_asked_about_each_complaint() -> None:
    bench = Bench(opened().book, unit(NOTHING), Setting("sure", unsure=0.0))
    case = drive(tree(), bench)
    asked = [str(entry.check) for entry in case.findings]
    assert asked[:5] == [str(one.id) for one in complaints()]
    assert len(set(asked[:5])) == 5
    assert 5 < len(asked) <= 5 + LOOKS


def test_the_program_chooses_by_what_was_told() -> None:
    sure = Setting("sure", unsure=0.0)
    book = opened().book
    leaks = unit(frozenset({"lip-hard", "seal-leaks", "oil-on-ground"}))
    cases = [drive(tree(), Bench(book, one, sure)) for one in (unit(NOTHING), leaks)]
    sound, leaking = ([str(entry.check) for entry in case.findings] for case in cases)
    assert sound != leaking
    assert "lip-look" in leaking


def test_answers_are_those_of_the_books_own_table() -> None:
    """A decisive look: 98 of a hundred see what is there, two of a thousand what is not."""
    book = opened().book
    check = book.checks["seal-look"]
    for present, often in ((frozenset({"seal-leaks"}), 0.98), (NOTHING, 0.002)):
        answers = [
            Bench(book, unit(present, seed), Setting("sure", unsure=0.0)).told(check, 0).word
            for seed in range(2_000)
        ]
        assert answers.count("wet") / 2_000 == pytest.approx(often, abs=0.01)
    doubting = Bench(book, unit(NOTHING), Setting("unsure", unsure=1.0))
    assert doubting.told(check, 0).word == DONT_KNOW


def test_a_unit_is_drawn_by_its_number_and_seed() -> None:
    network = drifted(replace(network_of(opened().book), unlisted=0.0))
    first, again, other = (draw_unit(network, "a", n) for n in (1, 1, 2))
    assert first == again != other


@at_night(5)
@pytest.mark.trial
def test_a_driven_shop_learns_what_it_was_drawn_by() -> None:
    """Four thorough shops of 500 units: links with 30 exposures, pooled, and the units held out."""
    found = [run(tree(), seed, 500, moved=True, tested=300) for seed in range(4)]
    held, of = sum(one.held for one in found), sum(one.of for one in found)
    every = replace(found[0], gains=tuple(gain for one in found for gain in one.gains))
    print(f"{held} of {of} held;", gain_words(every))
    assert of >= 24
    assert held / of >= 0.76  # of about thirty; 0.9 within 2.5 standard errors
    assert every.within[2] < 0.0, "its figures foretell other units better than the book's"


@at_night(5)
@pytest.mark.trial
def test_nothing_is_spoilt_where_nothing_drifted_in_thirty_shops() -> None:
    """The units of thirty shops drawn directly, by the book itself."""
    found = [run_shop(seed, 500, moved=False, tested=200) for seed in range(30)]
    held, of = sum(one.held for one in found), sum(one.of for one in found)
    every = replace(found[0], gains=tuple(gain for one in found for gain in one.gains))
    print(f"{held} of {of} held;", gain_words(every))
    mean, low, high = every.within
    assert low <= 0.0, "whatever is proposed by chance harms no more than chance"
    assert max(mean, high) < 0.005
    assert held / of >= 0.87
    # Of a link that could fire in fewer than RARE units, these weigh so much against the book's.
    assert max(one.rare for one in found) < RARE / (RARE + LINK_WORTH)
