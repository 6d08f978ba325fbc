"""What a call may come to cost: in words for the sheet, and as data.

There are three kinds of line: what finding out costs, the range of what is still possible, and how
much of it the price file does not say. No line names a part's price, or what is done to a part.
"""

from __future__ import annotations

from dataclasses import dataclass

from headwater.report.job_text import NOTHING_TO_REPAIR, labour_words, list_words, money
from headwater.report.planning_json import prices_data
from headwater.verdict.assess import Assessment
from headwater.verdict.options import Way
from headwater.verdict.possible import PriceRange, price_range
from headwater.verdict.prices import Prices

PLANNED = Way.PLANNED.value.capitalize()
NO_OFFER = "A range over what is still possible, not an offer."
NOT_SEEN = "Not an offer: the shop has not seen the vehicle yet."
ONE_SUM_ONLY = "No range: it comes to a single sum, which would price what is still held or open."
NOTHING_PRICED = "No range: nothing that is still possible can be priced yet."


@dataclass(frozen=True, slots=True)
class Cost:
    """The range by a price list, and the minutes of the checks that come first."""

    prices: Prices
    span: PriceRange
    minutes: float

    @property
    def finding_out(self) -> float:
        """Return what the checks that come first cost."""
        return self.prices.work(self.minutes)


def make_cost(assessment: Assessment, prices: Prices, minutes: float) -> Cost:
    """Return what a call may come to cost. `minutes` are those of the shop's first checks."""
    return Cost(prices, price_range(assessment, prices), minutes)


def cost_words(cost: Cost) -> list[str]:
    """Return the paragraphs of the sheet."""
    span = cost.span
    told = [f"{list_words(cost.prices)}."]
    if span.refused:
        told.append(f"{PLANNED}, refused: {span.refused}.")
    if cost.minutes:
        told.append(f"Finding out, the checks above: {labour_words(cost.minutes, cost.prices)}.")
    if not span.refused and not span.ways:
        return [*told, NOTHING_TO_REPAIR]
    told.append(_range_words(span, cost.prices.currency))
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


def cost_data(cost: Cost) -> dict[str, object]:
    """Return the same figures as plain data."""
    span = cost.span
    return {
        "prices": prices_data(cost.prices),
        "refused": span.refused or None,
        "finding_out": {"minutes": cost.minutes, "cost": round(cost.finding_out, 2)},
        "low": None if span.low is None else round(span.low, 2),
        "high": None if span.high is None else round(span.high, 2),
        "at_least": bool(span.unpriced),
        "ways": span.ways,
        "live": span.live,
        "materials": span.materials,
        "unpriced": span.unpriced,
        "words": cost_words(cost),
    }
