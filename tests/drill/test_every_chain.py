"""Every chain of the shipped book can be walked and ordered, and every unit be searched by words.

Met by a newcomer: a chain of another unit than the first was taken apart on the first one.
"""

from __future__ import annotations

import pytest

from headwater.drill.order import make_puzzle
from headwater.drill.truth import family_for
from headwater.drill.walk import chain_stops
from headwater.hearing.index import build_index
from headwater.hearing.targets import targets_of
from headwater.session.openbook import OpenBook
from headwater.shipped import open_packs, shipped_packs


@pytest.fixture(scope="module")
def opened() -> OpenBook:
    return open_packs(shipped_packs())


def test_the_unit_of_a_chain_has_every_link_of_it(opened: OpenBook) -> None:
    lacking = {}
    for name, chain in opened.book.chains.items():
        reasoner = opened.compiled(family_for(opened.book, chain))
        links = [c for c in chain.path() if c not in reasoner.graph]
        if links or name not in reasoner.book.chains:
            lacking[name] = links
    assert lacking == {}


UNITS = ["transfer-case", "drive-axle", "wheel-end", "cv-shaft", "propeller-shaft"]


@pytest.mark.parametrize("unit", UNITS)
def test_the_chains_of_each_unit_are_walked_and_ordered(opened: OpenBook, unit: str) -> None:
    book, walked = opened.book, 0
    for chain in [*book.chains.values()][::9]:
        family = family_for(book, chain)
        if family["unit"] != unit:
            continue
        reasoner = opened.compiled(family)
        assert len(chain_stops(reasoner, chain)) >= len(chain.path())
        make_puzzle(reasoner, chain, 1)
        walked += 1
    assert walked


def test_a_unit_is_searched_by_words_though_its_book_has_not_every_condition(
    opened: OpenBook,
) -> None:
    for value in opened.book.attributes["unit"].values:
        part = opened.compiled({**opened.book.family, "unit": str(value)}).book
        assert [*targets_of(part)]
    assert build_index(part).targets
