"""Reads a shop's price lists. No price is ever invented: what a list does not say stays unknown.

```yaml
prices: winter list, Ridge workshop
valid-from: 2026-01-01   # may be left out
currency: EUR
labour: 64.00            # one hour
parts: {range-fork: 88.00, alignment dowels: 4.00}
sundries: {shim: 6.00}   # small material of one step, by what is done
exchange: {price: 2450.00, minutes: 150}
```

Several lists lie in one folder, each valid until the next one is. The list of a day is the last one
that is valid by then; a list without a date was always valid.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, MutableMapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import islice, pairwise
from pathlib import Path

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.shape import EnoughFaultsError, Reader, Ref
from headwater.book.tables import Verb
from headwater.errors import MOST_FAULTS, HeadwaterError, Place, enough, refuse_all
from headwater.files import reason_of
from headwater.session.parts import part_known
from headwater.verdict.prices import Prices
from headwater.yamltext import Table, Value, parse, read_file

MOST = 1e9
"""Above this a figure is a slip of the keyboard, and sums of such figures mean nothing."""


ENDINGS = (".yaml", ".yml")
"""Endings of the files of a folder that are price lists."""

Known = MutableMapping[tuple[str, str], Prices]
"""Lists that were read already, by the name and the text of their file."""


class PriceError(HeadwaterError):
    """A price file that cannot be used."""


@dataclass(frozen=True, slots=True)
class PriceLists:
    """The price lists of a shop, looked at anew each time; it has none where `where` is None.

    Lists that are `known` already are not read again.
    """

    where: Path | None
    book: Book
    known: Known = field(default_factory=dict)

    def on(self, day: date) -> Prices | None:
        """Return the prices of a day; None where the shop has none. Raises as `prices_on`."""
        return prices_on(self.where, self.book, day, self.known) if self.where else None


def prices_on(where: Path, book: Book, day: date, known: Known | None = None) -> Prices:
    """Return the prices of a day, out of a price list or a folder of them.

    What is `known` is not read again; only the lists that lie there now stay in it.

    Raises PriceError with every fault of every list, for two lists of one day, and where none is
    valid yet.
    """
    lists, faults = [], list[HeadwaterError]()
    before = {} if known is None else dict(known)
    now: dict[tuple[str, str], Prices] = {}
    for path in _files(where):
        try:
            file = (str(path), read_file(path))
            now[file] = before.get(file) or parse_prices(file[1], file[0], book)
            lists.append(now[file])
        except HeadwaterError as fault:
            faults += fault.every
    refuse_all(faults)
    if known is not None:
        known.clear()
        known.update(now)
    return _list_of(lists, day, where)


def read_prices(path: Path, book: Book) -> Prices:
    """Return the prices in a file; raises PriceError with every fault: file, line and mend."""
    return parse_prices(read_file(path), str(path), book)


def _files(where: Path) -> list[Path]:
    """Return the files of price lists in a folder, by name; anything else is one itself."""
    if not where.is_dir():
        return [where]
    try:
        inside = [one for one in where.iterdir() if one.suffix.lower() in ENDINGS]
    except OSError as error:
        text = f"cannot be read ({reason_of(error)}); see to who may read it"
        raise PriceError(text, Place(str(where))) from None
    files = sorted(one for one in inside if not one.name.startswith("."))
    if not files:
        text = "no price list lies here; 'headwater prices new' begins one"
        raise PriceError(text, Place(str(where)))
    return files


def _list_of(lists: Iterable[Prices], day: date, where: Path) -> Prices:
    """Return the list of a day. Raises PriceError where two are of one day, or none is valid."""
    in_order = sorted(lists, key=_since)
    for one, other in pairwise(in_order):
        if one.valid_from == other.valid_from:
            since = f"valid from {one.valid_from} on" if one.valid_from else "without a day"
            text = f"{since}, as is {one.place.file}; give one of them another 'valid-from'"
            raise PriceError(text, Place(other.place.file))
    valid = [one for one in in_order if _since(one) <= day]
    if not valid:
        first = in_order[0].valid_from
        text = (
            f"no price list is valid on {day} yet, the first one from {first} on; add an older one"
        )
        raise PriceError(text, Place(str(where)))
    return valid[-1]


def _since(prices: Prices) -> date:
    return prices.valid_from or date.min


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
