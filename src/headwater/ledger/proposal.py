"""A pack of a shop's own with the figures that its cases propose, for the foreman to lay over."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from headwater.ledger.learned import LEVEL, FigureRow, Learning
from headwater.yamltext import quote

PACK = "shop-figures"
SOURCE = "shop-ledger"


def pack_files(found: Learning, folder: Path, schemas: str) -> dict[Path, str]:
    """Return the files of the pack; `schemas` is where the schemas of the book's files are."""
    texts = {"pack": "\n".join(_head(found)), "figures": "\n".join(_figures(found))}
    kinds = {"pack": "pack", "figures": "sections"}
    return {
        folder / f"{name}.yaml": (
            f"# yaml-language-server: $schema={schemas}/{kinds[name]}.schema.json\n{text}\n"
        )
        for name, text in texts.items()
    }


def _head(found: Learning) -> Iterator[str]:
    about = (
        f"Proposed by {found.cases} cases up to {found.last}. Nothing is changed by it until it is "
        "laid over the book with --shop."
    )
    yield f"pack: {PACK}"
    yield f"version: {quote(found.last)}"
    yield f"title: {quote('Figures by the cases of this shop')}"
    yield f"about: {quote(about)}"


def _figures(found: Learning) -> Iterator[str]:
    yield (
        f"# The book's word counts as {found.link_worth:g} cases of a link and "
        f"{found.origin_worth:g} of an origin. Intervals are of {100 * LEVEL:.0f} %."
    )
    yield "# Counts are expected ones, over all cases: in so many the figure held, of so many."
    yield "sources:"
    title = f"the ledger of this shop, {found.cases} cases up to {found.last}"
    yield f"  {SOURCE}: {{title: {quote(title)}}}"
    yield "figures:"
    rows: dict[str, list[FigureRow]] = {}
    for row in found.moved:
        rows.setdefault(row.of, []).append(row)
    for of, some in sorted(rows.items()):
        yield f"  {of}:"
        yield f"    source: {SOURCE}"
        yield from (f"    common: {_figure(row)}" for row in some if not row.cause)
        if links := sorted((row for row in some if row.cause), key=lambda row: row.cause):
            yield "    often:"
            yield from (f"      {row.cause}: {_figure(row)}" for row in links)


def _figure(row: FigureRow) -> str:
    was = row.word if row.word[:1].isdigit() else f"{row.word}, {row.book:g}"
    counts = f"{row.held:.1f} of {row.tried:.1f}, worth {row.told:.0f} plain cases"
    return f"{row.shop:.3g}  # was {was}; {row.low:.3g} to {row.high:.3g}; {counts}"
