"""The form that takes down a customer's approval, with the quotes of the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.view.approved import HOW
from headwater.view.choice import Choice
from headwater.view.options import Pricing
from headwater.view.shop import Reporting
from headwater.view.words import money


@dataclass(frozen=True, slots=True)
class ApprovalPage:
    """What is asked of an approval: who it will be, how, by which day, and for which quote.

    Each of the `quotes` has its sums, by what they are called.
    """

    by: str
    on: str
    ways: tuple[Choice, ...]
    quotes: Mapping[str, Mapping[str, str]]
    currency: str


def approval_page(reporting: Reporting) -> ApprovalPage:
    """Return the form of an approval, with the quotes of the day where there is a price list."""
    prices = reporting.pricing.prices if reporting.pricing else None
    ways = tuple(Choice(how.value, words) for how, words in HOW.items())
    quotes = dict(_quotes(reporting.pricing)) if reporting.pricing else {}
    customer = reporting.session.case.customer
    return ApprovalPage(
        customer, str(reporting.on), ways, quotes, prices.currency if prices else ""
    )


def _quotes(pricing: Pricing) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield each way that has its price, with the price and the list that it stands in."""
    if not (prices := pricing.prices):
        return
    for option in pricing.options():
        if option.total is not None and not option.refused:
            of_day = f" of {prices.valid_from}" if prices.valid_from else ""
            sums = {"material": option.material, "labour": option.labour, "total": option.total}
            told = {name: f"{money(amount)} {prices.currency}" for name, amount in sums.items()}
            words = f"{option.way.value}, {told['total']}, by the price list '{prices.prices}'"
            yield words + of_day, told
