"""The cheapest set of actions that together cover everything: a weighted set cover.

Exact by branch and bound up to 14 offers that matter, greedy beyond (Chvatal, A greedy heuristic
for the set-covering problem, Mathematics of Operations Research 4 (1979) 233-235).
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
EXACT_UP_TO = 14


@dataclass(frozen=True, slots=True)
class Offer(Generic[K]):
    """Something that covers a set of items at a cost."""

    key: K
    covers: frozenset[str]
    cost: float


def cheapest_cover(items: frozenset[str], offers: list[Offer[K]]) -> list[Offer[K]] | None:
    """Return the cheapest offers that cover all items, in the order given; None if none can."""
    useful = [offer for offer in offers if offer.covers & items]
    if items - frozenset().union(*(offer.covers for offer in useful)):
        return None
    chosen = _exact(items, useful) if len(useful) <= EXACT_UP_TO else _greedy(items, useful)
    return [offer for offer in useful if offer in chosen]


def _exact(items: frozenset[str], offers: list[Offer[K]]) -> list[Offer[K]]:
    best: list[Offer[K]] = list(offers)
    best_cost = sum(offer.cost for offer in offers)

    def branch(left: frozenset[str], chosen: list[Offer[K]], cost: float) -> None:
        nonlocal best, best_cost
        if not left:
            if (cost, len(chosen)) < (best_cost, len(best)):
                best, best_cost = list(chosen), cost
            return
        if cost >= best_cost:
            return
        item = min(left, key=lambda i: (sum(i in o.covers for o in offers), i))
        for offer in offers:
            if item in offer.covers:
                branch(left - offer.covers, [*chosen, offer], cost + offer.cost)

    branch(items, [], 0.0)
    return best


def _greedy(items: frozenset[str], offers: list[Offer[K]]) -> list[Offer[K]]:
    left, chosen = items, []
    while left:
        offer = min(
            (o for o in offers if o.covers & left),
            key=lambda o: (o.cost / len(o.covers & left), offers.index(o)),
        )
        chosen.append(offer)
        left -= offer.covers
    needed = list(chosen)
    for offer in sorted(chosen, key=lambda o: -o.cost):
        others = frozenset().union(*(o.covers for o in needed if o is not offer))
        if items <= others:
            needed.remove(offer)
    return needed
