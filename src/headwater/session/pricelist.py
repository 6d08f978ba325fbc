"""Reads a shop's price file. No price is ever invented: what the file does not say stays unknown.

```yaml
prices: winter list, Ridge workshop
currency: EUR
labour: 64.00            # one hour
parts: {range-fork: 88.00, alignment dowels: 4.00}
sundries: {shim: 6.00}   # small material of one step, by what is done
exchange: {price: 2450.00, minutes: 150}
```
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from itertools import islice
from pathlib import Path

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.shape import EnoughFaultsError, Reader, Ref
from headwater.book.tables import Verb
from headwater.errors import MOST_FAULTS, HeadwaterError, Place, enough, refuse_all
from headwater.session.parts import part_known
from headwater.verdict.prices import Prices
from headwater.yamltext import Table, Value, parse, read_file

MOST = 1e9
"""Above this a figure is a slip of the keyboard, and sums of such figures mean nothing."""


class PriceError(HeadwaterError):
    """A price file that cannot be used."""


def read_prices(path: Path, book: Book) -> Prices:
    """Return the prices in a file; raises PriceError with every fault: file, line and mend."""
    return parse_prices(read_file(path), str(path), book)


def parse_prices(text: str, file: str, book: Book) -> Prices:
    """Return the prices in a text, every part of it known to the book, by id or in words."""
    tree, reader, prices = parse(text, file), Reader(to_the_end=False), None
    with suppress(EnoughFaultsError):
        prices = reader.record(Prices, tree)
    faults: list[HeadwaterError] = [PriceError(p.message, p.place) for p in reader.problems]
    parts: dict[Ref, str] = {}
    for words, place, item in _rows(tree, "parts"):
        if enough(faults):
            break
        try:
            part = Ref(part_known(book, words, place), place)
            if part in parts:
                raise PriceError(f"'{words}' has a price already, as '{parts[part]}'", place)
            parts[part] = words
        except HeadwaterError as fault:
            faults.append(fault)
        faults += _bad_figure(f"the price of '{words}'", item)
    faults += islice(_other_faults(tree), MOST_FAULTS)
    refuse_all(sorted(faults, key=lambda fault: fault.place or Place(file)))
    assert isinstance(prices, Prices)
    known = {part: prices.parts[Ref(words)] for part, words in parts.items()}
    return replace(prices, parts=known)


def _rows(tree: Value, key: str) -> Iterator[tuple[str, Place, Value]]:
    """Yield the lines under a key of the file; nothing where there are none."""
    if isinstance(tree.data, Table) and key in tree.data.entries:
        inner = tree.data.entries[key]
        if isinstance(inner.data, Table):
            yield from inner.data


def _other_faults(tree: Value) -> Iterator[PriceError]:
    for key, place, item in tree.data if isinstance(tree.data, Table) else ():
        if key == "labour":
            yield from _bad_figure("labour", item)
        if key == "currency" and isinstance(item.data, str) and not item.data.strip():
            yield PriceError("the currency is empty; write it as it is to be printed", place)
    words = [verb.value for verb in Verb]
    for word, place, item in _rows(tree, "sundries"):
        if word not in words:
            text = f"nothing is done by '{word}'{nearest(word, words)}; sundries go by what is done"
            yield PriceError(text, place)
        yield from _bad_figure(f"sundries for '{word}'", item)
    for word, _, item in _rows(tree, "exchange"):
        yield from _bad_figure(f"the {word} of the exchange unit", item)


def _bad_figure(name: str, item: Value) -> Iterator[PriceError]:
    if isinstance(item.data, bool) or not isinstance(item.data, (int, float)):
        return  # said already: it is no number
    figure = float(item.data)
    if not math.isfinite(figure) or figure < 0:
        yield PriceError(f"{name} cannot be {figure:g}; write 0 or more", item.place)
    elif figure > MOST:
        yield PriceError(f"{name} cannot be {figure:g}; write {MOST:.0f} at most", item.place)
