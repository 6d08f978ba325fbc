"""Acts: what one person did at once. Proof hangs on no single one.

Answers that share an act are one look: a check however often it is repeated, the checks that one
look or one reading answers (`act` in the book), and everything that the owner told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import prod

from headwater.belief.figures import Figure
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Seat
from headwater.rules.evidence import Pair, Weighed

LEADS_FROM = 0.50


def act_of(check: Check, seat: Seat | None = None) -> str:
    """Return the act that answers a check, asked at a seat."""
    return check.act_at(seat)


def acts(book: Book, weighed: Weighed) -> dict[str, tuple[str, ...]]:
    """Return the checks of each act that told something, whether it weighs or is set aside."""
    found: dict[str, list[str]] = {}
    for name, look in weighed.looks.items():
        if look.told:
            found.setdefault(act_of(book.checks[name], look.told[-1].seat), []).append(name)
    return {act: tuple(checks) for act, checks in found.items()}


def joined(pairs: Iterable[Mapping[str, Pair]]) -> dict[str, Pair]:
    """Return what several answers say of each condition, together."""
    found: dict[str, Pair] = {}
    for by_condition in pairs:
        for condition, (there, not_there) in by_condition.items():
            before = found.get(condition, (1.0, 1.0))
            found[condition] = (before[0] * there, before[1] * not_there)
    return found


def surely_leads(share: float, said: Mapping[str, Pair], present: Callable[[str], Figure]) -> bool:
    """Say whether what has a share leads yet, even odds or better, once what is said is taken away.

    Taking it away makes worlds heavier that it spoke against. How many these are `present` says of
    the condition that it says most of; of the others, any world may be such a one.
    """
    ratio = {c: max(pair) / min(pair) for c, pair in said.items()}
    most = max(ratio, key=lambda c: (ratio[c], c), default=None)
    if most is None:
        return share >= LEADS_FROM
    others = prod(by for c, by in ratio.items() if c != most)
    figure, (there, not_there) = present(most), said[most]
    unlikely = 1.0 - figure.low if there > not_there else figure.high
    return share - unlikely >= others * (1.0 - share + unlikely * ratio[most])
