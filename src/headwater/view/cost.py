"""What a call may come to cost, in words."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.session.session import Session
from headwater.verdict.possible import PriceRange, price_range
from headwater.verdict.prices import Prices
from headwater.view.options import (
    NOTHING_TO_REPAIR,
    PLANNED,
    PricesView,
    labour_words,
    list_words,
    prices_view,
)
from headwater.view.words import money

NO_OFFER = "A range over what is still possible, not an offer."
NOT_SEEN = "Not an offer: the shop has not seen the vehicle yet."
ONE_SUM_ONLY = "No range: it comes to a single sum, which would price what is still held or open."
NOTHING_PRICED = "No range: nothing that is still possible can be priced yet."


@dataclass(frozen=True, slots=True)
class FindingOutView:
    """What the checks that come first cost."""

    minutes: float
    cost: float


@dataclass(frozen=True, slots=True)
class CostView:
    """What a call may come to cost: finding out, and the range of what is still possible.

    No line names a part's price, or what is done to a part.
    """

    prices: PricesView
    refused: str | None
    finding_out: FindingOutView
    low: float | None
    high: float | None
    at_least: bool
    ways: int
    live: int
    materials: int
    unpriced: int
    words: tuple[str, ...]


def cost_view(session: Session, prices: Prices, minutes: float) -> CostView:
    """Return what a call may come to cost. `minutes` are those of the shop's first checks."""
    span = price_range(session.verdict, prices)
    return CostView(
        prices=prices_view(prices),
        refused=span.refused or None,
        finding_out=FindingOutView(minutes, round(prices.work(minutes), 2)),
        low=None if span.low is None else round(span.low, 2),
        high=None if span.high is None else round(span.high, 2),
        at_least=bool(span.unpriced),
        ways=span.ways,
        live=span.live,
        materials=span.materials,
        unpriced=span.unpriced,
        words=tuple(_cost_words(span, prices, minutes)),
    )


def _cost_words(span: PriceRange, prices: Prices, minutes: float) -> list[str]:
    told = [f"{list_words(prices)}."]
    if span.refused:
        told.append(f"{PLANNED}, refused: {span.refused}.")
    if minutes:
        told.append(f"Finding out, the checks above: {labour_words(minutes, prices)}.")
    if not span.refused and not span.ways:
        return [*told, NOTHING_TO_REPAIR]
    told.append(_range_words(span, prices.currency))
    if span.unpriced:
        told.append(
            f"The price file has no price for {span.unpriced} of {span.materials} lines of "
            "material; none is made up."
        )
    return told


def _range_words(span: PriceRange, currency: str) -> str:
    if span.low is None:
        return ONE_SUM_ONLY if span.ways else NOTHING_PRICED
    least = "at least " if span.unpriced else ""
    low, high = (f"{least}{money(amount)}" for amount in (span.low, span.high))
    if not span.refused:
        return f"{PLANNED}, material and labour: {low} {currency}. {NOT_SEEN}"
    told = f"From {low} to {high} {currency}. {NO_OFFER}"
    if not span.live:
        return f"{told} Every live origin is corrected, or another unit put in, with labour."
    return (
        f"{told} {span.ways} of {span.live} live origins are in it, each corrected with its chain "
        "and the part, with labour. Finding out is not in it, and no cause that the book does not "
        "know."
    )
