"""The form that takes down a customer's approval, with the quotes of the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from headwater.session.letterhead import Tax
from headwater.view.approved import HOW
from headwater.view.choice import Choice
from headwater.view.options import Pricing
from headwater.view.quote import priced_options, sum_words, tax_words
from headwater.view.shop import Reporting


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
    tax = reporting.letterhead.tax if reporting.letterhead else None
    ways = tuple(Choice(how.value, words) for how, words in HOW.items())
    quotes = dict(_quotes(reporting.pricing, tax)) if reporting.pricing else {}
    customer = reporting.session.case.customer
    return ApprovalPage(
        customer, str(reporting.on), ways, quotes, prices.currency if prices else ""
    )


def _quotes(pricing: Pricing, tax: Tax | None) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield each way that has its price, with the price and the list that it stands in."""
    if not (prices := pricing.prices):
        return
    of_day = f" of {prices.valid_from}" if prices.valid_from else ""
    taxed = f" with {tax_words(tax)}" if tax else ""
    for option, sums in priced_options(pricing, tax):
        if sums:
            told = {k: f"{v} {prices.currency}" for k, v in sum_words(sums, tax).items()}
            amount = f"{told['total']}{taxed}"
            yield f"{option.way.value}, {amount}, by the price list '{prices.prices}'{of_day}", told
