"""Covers against published examples, minimal hitting sets by another library, and brute force."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain, combinations

import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st

from headwater.graph import cover
from headwater.graph.cover import EXACT_UP_TO, Offer, cheapest_cover

hitman = pytest.importorskip("pysat.examples.hitman")

Sets = set[frozenset[str]]


def sets(*words: str) -> Sets:
    """Return sets written as words: 'd1 d2' is {d1, d2}."""
    return {frozenset(word.split()) for word in words}


def minimal_hitting_sets(groups: list[frozenset[str]]) -> Sets:
    """Return the minimal hitting sets as python-sat finds them."""
    with hitman.Hitman(bootstrap_with=[sorted(g) for g in groups], htype="sorted") as hitter:
        return {frozenset(found) for found in hitter.enumerate()}


def chosen(items: frozenset[str], covers: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """Return the names that the cheapest cover is made of, each at one price."""
    found = cheapest_cover(items, [Offer(name, told, 1.0) for name, told in covers.items()])
    assert found is not None
    return frozenset(offer.key for offer in found)


def causes_by_item(covers: Mapping[str, frozenset[str]], items: frozenset[str]) -> Sets:
    return {frozenset(c for c, told in covers.items() if item in told) for item in items}


def table(text: str) -> dict[str, frozenset[str]]:
    """Return covers written as 'd1: m1 m4; d2: m1'."""
    rows = (row.partition(":") for row in text.split(";"))
    return {name.strip(): frozenset(told.split()) for name, _, told in rows}


# Peng & Reggia, Abductive Inference Models for Diagnostic Problem-Solving (1990), the classic
# example of nine disorders: the table is from memory, the covers are worked out twice below.
NINE = table(
    "d1: m1 m4; d2: m1 m3 m4; d3: m1 m3; d4: m1 m6; d5: m2 m3 m4; d6: m2 m3; d7: m2 m5;"
    "d8: m4 m5 m6; d9: m2 m5"
)
SMALL = table("d1: m1 m2; d2: m2 m3; d3: m1 m3; d4: m3 m4; d5: m1 m2 m3")


@pytest.mark.parametrize(
    ("covers", "items", "expected"),
    [
        (
            NINE,
            "m1 m4 m5",
            # minimum covers: the generator set {d1,d2,d3,d4} x {d8} + {d1,d2} x {d7,d9}
            sets("d1 d7", "d1 d8", "d1 d9", "d2 d7", "d2 d8", "d2 d9", "d3 d8", "d4 d8")
            | sets("d3 d5 d7", "d3 d5 d9", "d4 d5 d7", "d4 d5 d9"),
        ),
        (NINE, "m1", sets("d1", "d2", "d3", "d4")),
        (NINE, "m1 m4", sets("d1", "d2", "d3 d5", "d3 d8", "d4 d5", "d4 d8")),
        (SMALL, "m1 m2 m3", sets("d5", "d1 d2", "d1 d3", "d1 d4", "d2 d3")),
        (SMALL, "m1 m2 m3 m4", sets("d1 d4", "d4 d5", "d2 d3 d4")),
    ],
)
def test_the_cheapest_is_a_smallest_parsimonious_cover(
    covers: dict[str, frozenset[str]], items: str, expected: Sets
) -> None:
    """Each cause at one price: what is chosen is a minimal hitting set, and none is smaller."""
    wanted = frozenset(items.split())
    assert expected == minimal_hitting_sets(list(causes_by_item(covers, wanted)))
    found = chosen(wanted, covers)
    assert found in expected
    assert len(found) == min(map(len, expected))


@pytest.mark.parametrize(
    ("conflicts", "diagnoses"),
    [
        # Three multipliers and two adders: de Kleer & Williams, Diagnosing multiple faults,
        # Artificial Intelligence 32 (1987) 97-130.
        (sets("A1 M1 M2", "A1 A2 M1 M3"), sets("A1", "M1", "A2 M2", "M2 M3")),
        # Full adder: Reiter, A theory of diagnosis from first principles,
        # Artificial Intelligence 32 (1987) 57-95 (citation from memory).
        (sets("X1 X2", "X1 A2 O1"), sets("X1", "X2 A2", "X2 O1")),
        # The hitting-set tree of the same paper (collection from memory); {2,4} lies inside two
        # others, which is where a wrong pruning shows.
        (
            sets("2 4 5", "1 2 3", "1 3 5", "2 4 6", "2 4", "2 3 5", "1 6"),
            sets("1 2", "1 3 4", "1 4 5", "2 3 6", "2 5 6", "3 4 6"),
        ),
    ],
)
def test_diagnoses_are_the_covers_of_the_conflicts(conflicts: Sets, diagnoses: Sets) -> None:
    names = {conflict: f"k{index}" for index, conflict in enumerate(sorted(conflicts, key=sorted))}
    suspects = frozenset(chain.from_iterable(conflicts))
    covers = {s: frozenset(names[c] for c in conflicts if s in c) for s in suspects}
    found = chosen(frozenset(names.values()), covers)
    assert found in diagnoses
    assert len(found) == min(map(len, diagnoses))
    assert minimal_hitting_sets(list(conflicts)) == diagnoses


_ITEMS = [f"m{i}" for i in range(6)]
_COVERS = st.dictionaries(
    st.sampled_from([f"d{i}" for i in range(7)]),
    st.frozensets(st.sampled_from(_ITEMS)),
    min_size=1,
)


@settings(max_examples=draws(200), deadline=None)
@given(_COVERS, st.frozensets(st.sampled_from(_ITEMS), min_size=1))
def test_what_is_chosen_is_a_smallest_minimal_hitting_set(
    covers: dict[str, frozenset[str]], items: frozenset[str]
) -> None:
    groups = causes_by_item(covers, items)
    offers = [Offer(name, told, 1.0) for name, told in covers.items()]
    if not all(groups):
        assert cheapest_cover(items, offers) is None
    else:
        hitting = minimal_hitting_sets(list(groups))
        assert chosen(items, covers) in hitting
        assert len(chosen(items, covers)) == min(map(len, hitting))


def test_nothing_to_cover_needs_nothing() -> None:
    assert cheapest_cover(frozenset(), [Offer("x", frozenset({"m1"}), 1.0)]) == []


# --- the cheapest cover -------------------------------------------------------------------------


def brute_force(items: frozenset[str], offers: list[Offer[str]]) -> float | None:
    """Return the least cost over all subsets of the offers."""
    costs = [
        sum(offer.cost for offer in some)
        for size in range(len(offers) + 1)
        for some in combinations(offers, size)
        if items <= frozenset().union(*(offer.covers for offer in some))
    ]
    return min(costs) if costs else None


_OFFERS = st.lists(
    st.tuples(st.frozensets(st.sampled_from(_ITEMS), max_size=4), st.integers(0, 40)),
    max_size=9,
).map(lambda rows: [Offer(f"o{i}", told, float(c)) for i, (told, c) in enumerate(rows)])


@settings(max_examples=draws(300), deadline=None)
@given(st.frozensets(st.sampled_from(_ITEMS), min_size=1), _OFFERS)
def test_cheapest_cover_costs_what_brute_force_costs(
    items: frozenset[str], offers: list[Offer[str]]
) -> None:
    chosen = cheapest_cover(items, offers)
    least = brute_force(items, offers)
    if chosen is None:
        assert least is None
        return
    assert items <= frozenset().union(*(offer.covers for offer in chosen))
    assert sum(offer.cost for offer in chosen) == least
    assert chosen == [offer for offer in offers if offer in chosen]


@settings(max_examples=draws(100), deadline=None)
@given(st.frozensets(st.sampled_from(_ITEMS), min_size=1), _OFFERS)
def test_the_greedy_cover_covers_and_holds_nothing_needless(
    items: frozenset[str], offers: list[Offer[str]]
) -> None:
    """Beyond the exact size: a cover, nothing needless in it, within H(n) of the best (Chvatal)."""
    least = brute_force(items, offers)
    if least is None:
        return
    chosen = cover._greedy(items, [o for o in offers if o.covers & items])
    assert items <= frozenset().union(*(o.covers for o in chosen))
    for offer in chosen:
        assert not items <= frozenset().union(*(o.covers for o in chosen if o is not offer))
    harmonic = sum(1.0 / k for k in range(1, len(items) + 1))
    assert sum(o.cost for o in chosen) <= harmonic * least + 1e-9


def test_many_offers_go_the_greedy_way() -> None:
    many = [Offer(f"o{i}", frozenset({f"m{i}"}), 1.0) for i in range(EXACT_UP_TO + 1)]
    items = frozenset(f"m{i}" for i in range(EXACT_UP_TO + 1))
    assert cheapest_cover(items, many) == many
    together = Offer("all", items, 2.0)
    assert cheapest_cover(items, [*many, together]) == [together]


def test_what_no_offer_covers_has_no_cover() -> None:
    assert cheapest_cover(frozenset({"m1", "m9"}), [Offer("x", frozenset({"m1"}), 1.0)]) is None
    assert cheapest_cover(frozenset({"m1"}), []) is None
