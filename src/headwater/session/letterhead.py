"""Reads what a shop has on its papers: name, address, tax, warranty, from one settings file.

```yaml
letterhead: Ridge workshop
address: [Mill Lane 4, North Valley]
phone: 555 0100
tax: {name: VAT, rate: 19}   # per cent of the net sum; without it no tax is printed
warranty: Twelve months on what was done.
sheet: a4                    # or letter
```
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from headwater.book.shape import read_whole
from headwater.book.things import NOWHERE
from headwater.errors import HeadwaterError, Place, refuse_all
from headwater.yamltext import parse, read_file

HIGHEST_RATE = 100.0


class LetterheadError(HeadwaterError):
    """A letterhead that cannot be used."""


class Sheet(StrEnum):
    """The sizes of paper."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """The tax on what a customer pays."""

    name: str = field(metadata={"doc": "what it is called, as the shop writes it"})
    rate: float = field(metadata={"doc": "per cent of the net sum: 19"})
    place: Place = field(metadata={"given": True}, default=NOWHERE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """What stands on the papers of a shop."""

    letterhead: str = field(metadata={"doc": "the name of the shop"})
    address: tuple[str, ...] = field(metadata={"doc": "where it is, line by line"}, default=())
    phone: str = field(metadata={"doc": "where it is reached"}, default="")
    tax: Tax | None = field(
        metadata={"doc": "the tax on what a customer pays; none is printed without"}, default=None
    )
    warranty: str = field(metadata={"doc": "what it stands for, in its own words"}, default="")
    sheet: Sheet = field(metadata={"doc": "the size of its paper"}, default=Sheet.A4)
    place: Place = field(metadata={"given": True}, default=NOWHERE)


def read_letterhead(path: Path) -> Letterhead:
    """Return the letterhead in a file. Raises LetterheadError with every fault of it."""
    return parse_letterhead(read_file(path), str(path))


def parse_letterhead(text: str, file: str) -> Letterhead:
    """Return the letterhead in a text. Raises LetterheadError with every fault of it."""
    found = read_whole(Letterhead, parse(text, file), LetterheadError)
    faults: list[HeadwaterError] = []
    if not found.letterhead:
        faults.append(LetterheadError("the name of the shop is empty; write it", found.place))
    if found.tax and not found.tax.name:
        text = "the tax has no name; write it as it is to be printed"
        faults.append(LetterheadError(text, found.tax.place))
    if found.tax and not 0 <= found.tax.rate <= HIGHEST_RATE:  # nor is what is no number
        text = f"a tax of {found.tax.rate:g} % cannot be; write 0 to {HIGHEST_RATE:g}"
        faults.append(LetterheadError(text, found.tax.place))
    refuse_all(faults)
    return found
