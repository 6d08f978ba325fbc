"""The shop's price list as a paper."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.records import Book
from headwater.verdict.prices import Prices
from headwater.view.paper import Grid, Paper, Section, cell, say
from headwater.view.words import money, part_title, plain_word


@dataclass(frozen=True, slots=True)
class PriceSheet:
    """A price list with the book that names its parts; None where the shop has none."""

    prices: Prices | None
    book: Book


def prices_paper(sheet: PriceSheet) -> Paper:
    """Return what the shop charges: labour, parts, small material, an exchange unit."""
    prices = sheet.prices
    if prices is None:
        text = "No price list was named; start the pages with --prices FILE."
        return Paper("Prices", (say(text),), ())
    head = ("what", prices.currency)
    rows = [("one hour of labour", prices.labour)]
    rows += [(f"small material: {plain_word(k)}", v) for k, v in prices.sundries.items()]
    if prices.exchange:
        rows.append(("exchange unit, old unit taken back", prices.exchange.price))
    parts = [(part_title(sheet.book, str(part)), price) for part, price in prices.parts.items()]
    sections = (
        Section("Work and material", (_grid(head, rows),)),
        Section("Parts", (_grid(head, sorted(parts)),)),
    )
    since = (say(f"Valid from {prices.valid_from} on."),) if prices.valid_from else ()
    return Paper(f"Prices: {prices.prices}", since, sections)


def _grid(head: tuple[str, str], rows: list[tuple[str, float]]) -> Grid:
    return Grid(head, tuple((cell(name), cell(money(price))) for name, price in rows))
