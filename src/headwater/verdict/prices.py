"""A shop's price file. No price is ever invented: what the file does not say stays unknown.

```yaml
prices: winter list, Ridge workshop
currency: EUR
labour: 64.00            # one hour
parts: {range-fork: 88.00}
sundries: {shim: 6.00}   # small material of one step, by what is done
exchange: {price: 2450.00, minutes: 150}
```
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.shape import Ref, read_whole
from headwater.book.tables import RENEWED, Verb
from headwater.book.things import NOWHERE
from headwater.errors import HeadwaterError, Place, refuse_all
from headwater.yamltext import parse, read_file

MOST = 1e9
"""Above this a figure is a slip of the keyboard, and sums of such figures mean nothing."""
NEEDS_PART = RENEWED | {Verb.REFILL}
"""What cannot be done without buying the part itself."""


class PriceError(HeadwaterError):
    """A price file that cannot be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Another unit in place of this one: its price, and the minutes to put it in."""

    price: float = field(metadata={"doc": "price of the exchange unit, old unit taken back"})
    minutes: float = field(metadata={"doc": "minutes to take the old unit out and put this one in"})
    place: Place = field(metadata={"given": True}, default=NOWHERE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What a shop charges."""

    called: ClassVar[str] = "price list"

    prices: str = field(metadata={"doc": "the name of the list"})
    currency: str = field(metadata={"doc": "the currency, as it is to be printed"})
    labour: float = field(metadata={"doc": "one hour of labour"})
    parts: dict[Ref, float] = field(metadata={"doc": "price of each part, by the book's part id"})
    sundries: dict[str, float] = field(
        metadata={"doc": "small material, by what is done"}, default_factory=dict
    )
    exchange: Exchange | None = field(
        metadata={"doc": "an exchange unit, where the shop has one"}, default=None
    )
    place: Place = field(metadata={"given": True}, default=NOWHERE)

    def material(self, verb: Verb, part: str) -> float | None:
        """Return what the material of a step costs; None where the list does not say."""
        if verb in NEEDS_PART:
            return self.parts.get(Ref(part))
        return self.sundries.get(verb.value, 0.0)

    def work(self, minutes: float) -> float:
        """Return what labour costs."""
        return self.labour * minutes / 60.0


def read_prices(path: Path, book: Book) -> Prices:
    """Return the prices in a file; raises PriceError with file, line and mend."""
    return parse_prices(read_file(path), str(path), book)


def parse_prices(text: str, file: str, book: Book) -> Prices:
    """Return the prices in a text, every part of it known to the book."""
    prices = read_whole(Prices, parse(text, file), PriceError)
    refuse_all(list(_faults(prices, book)))
    return prices


def _faults(prices: Prices, book: Book) -> Iterator[PriceError]:
    for part in prices.parts:
        if part not in book.parts:
            yield PriceError(f"there is no part '{part}'{nearest(part, book.parts)}", part.place)
    if not prices.currency.strip():
        yield PriceError("the currency is empty; write it as it is to be printed", prices.place)
    words = [verb.value for verb in Verb]
    for word in prices.sundries:
        if word not in words:
            text = f"nothing is done by '{word}'{nearest(word, words)}; sundries go by what is done"
            yield PriceError(text, prices.place)
    for name, figure in _figures(prices):
        if not math.isfinite(figure) or figure < 0:
            yield PriceError(f"{name} cannot be {figure:g}; write 0 or more", prices.place)
        elif figure > MOST:
            yield PriceError(f"{name} cannot be {figure:g}; write {MOST:.0f} at most", prices.place)


def _figures(prices: Prices) -> Iterator[tuple[str, float]]:
    yield "labour", prices.labour
    yield from ((f"the price of '{part}'", figure) for part, figure in prices.parts.items())
    yield from ((f"sundries for '{word}'", figure) for word, figure in prices.sundries.items())
    if prices.exchange:
        yield "the price of the exchange unit", prices.exchange.price
        yield "the minutes of the exchange unit", prices.exchange.minutes
