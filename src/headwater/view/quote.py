"""What a customer is quoted: each way with its sums, and the tax where the shop charges one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from headwater.session.letterhead import Tax
from headwater.verdict.options import Option
from headwater.verdict.sums import Sums, sums_of
from headwater.view.options import NOTHING_TO_REPAIR, Pricing, list_words
from headwater.view.paper import Grid, Section, Tone, Words, say
from headwater.view.words import money, percent

WHOLE_JOB = (
    "Each price is that of the whole job: opening, closing, what that uses up, work and small "
    "material. Material and labour are rounded to the cent, half a cent upwards."
)
COMES_BACK = (
    "'Comes back' is the probability that what is left in place brings back what was found."
)


def tax_words(tax: Tax) -> str:
    """Return what a tax is called, with its rate."""
    return f"{tax.name} {tax.rate:g} %"


def sum_words(sums: Sums, tax: Tax | None) -> dict[str, str]:
    """Return the sums of a quote by what they are called, in the order in which they add up."""
    told = {"material": money(sums.material), "labour": money(sums.labour)}
    if tax:
        told |= {"net": money(sums.net), tax_words(tax): money(sums.tax)}
    return told | {"total": money(sums.gross)}


def priced_options(pricing: Pricing, tax: Tax | None) -> Iterator[tuple[Option, Sums | None]]:
    """Yield each way to put the unit right, with its sums where it has a price."""
    prices, rate = pricing.prices, tax.rate if tax else None
    for option in pricing.options():
        yield option, sums_of(option, prices, rate) if prices else None


def quote_section(pricing: Pricing, tax: Tax | None) -> Section:
    """Return what each way comes to, for the customer: no expected cost, which is the shop's."""
    every, prices = list(priced_options(pricing, tax)), pricing.prices
    if not every:
        return Section("Ways to put it right", (say(NOTHING_TO_REPAIR),))
    names = _names(tax) if prices else ()
    rows = (_row(n, option, sums, tax, names) for n, (option, sums) in enumerate(every, 1))
    table = Grid(("way", "minutes", *names, "comes back"), tuple(rows))
    if not prices:
        return Section("Ways to put it right", (table, say(Words(COMES_BACK, Tone.QUIET))))
    rate = f"{list_words(prices)}, labour {money(prices.labour)} an hour."
    taxed = [f"{tax_words(tax)} is worked out once, on net, and rounded likewise."] if tax else []
    how = " ".join([WHOLE_JOB, *taxed, COMES_BACK])
    blocks = (say(Words(rate, Tone.QUIET)), table, say(Words(how, Tone.QUIET)))
    return Section("Ways to put it right", blocks)


def _names(tax: Tax | None) -> tuple[str, ...]:
    return ("material", "labour", *(("net", tax_words(tax)) if tax else ()), "total")


def _row(
    number: int, option: Option, sums: Sums | None, tax: Tax | None, names: Sequence[str]
) -> tuple[tuple[Words, ...], ...]:
    way = f"{number} {option.way.value}"
    if option.refused:
        texts = (way, "refused", *[""] * len(names), "")
    else:
        minutes = "-" if option.minutes is None else f"{option.minutes:.0f}"
        told = tuple(sum_words(sums, tax).values()) if sums else ("-",) * len(names)
        texts = (way, minutes, *told, percent(option.again.chance) if option.again else "-")
    return tuple((Words(text),) for text in texts)
