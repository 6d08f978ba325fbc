"""Figures that a pack lays over those of the packs before it: how often, how common.

So a shop may correct a figure by what it has seen without writing a chain or a condition anew.
"""

from __future__ import annotations

from dataclasses import replace

from headwater.book.model import LaidFigures
from headwater.book.problem import nearest
from headwater.book.records import Book, Override
from headwater.book.shape import Reader, Ref
from headwater.errors import Place


def lay_figures(book: Book, reader: Reader) -> None:
    """Put every pack's figures in place; what they cannot belong to is a fault.

    A chain or condition of a later pack than the figures' own is newer, and keeps its own.
    """
    rank = {str(pack.pack): number for number, pack in enumerate(book.packs)}
    for figures in book.figures.values():
        pack = book.owner["figures", figures.id]
        if figures.id not in book.conditions:
            mend = nearest(figures.id, book.conditions)
            reader.fault(figures.place, f"no condition is '{figures.id}'{mend}")
            continue
        if figures.common is not None:
            _lay_common(book, reader, figures, pack, rank)
        for cause in figures.often:
            _lay_often(book, reader, figures, cause, pack, rank)


def _lay_common(
    book: Book, reader: Reader, figures: LaidFigures, pack: str, rank: dict[str, int]
) -> None:
    condition = book.conditions[figures.id]
    if condition.origin is None or figures.common is None:
        text = f"'{figures.id}' is no origin, so nothing says how common it is; take 'common' out"
        reader.fault(figures.place, text)
    elif rank[book.owner["conditions", figures.id]] <= rank[pack]:
        origin = replace(condition.origin, common=figures.common, source=figures.source)
        book.conditions[figures.id] = replace(condition, origin=origin)
        _say(book, "conditions", figures.id, pack, figures.place, condition.place)


def _lay_often(
    book: Book, reader: Reader, figures: LaidFigures, cause: Ref, pack: str, rank: dict[str, int]
) -> None:
    link = book.links.get((str(cause), figures.id))
    if link is None:
        causes = [one for one, effect in book.links if effect == figures.id]
        text = f"no chain leads from '{cause}' to '{figures.id}'{nearest(cause, causes)}"
        reader.fault(cause.place, text)
        return
    arrow = f"{link.cause} -> {link.effect}"
    if rank[book.owner["links", arrow]] <= rank[pack]:
        book.links[link.cause, link.effect] = replace(link, often=figures.often[cause])
        _say(book, "links", arrow, pack, cause.place, link.place)


def _say(book: Book, kind: str, name: str, pack: str, place: Place, instead_of: Place) -> None:
    if book.owner[kind, name] != pack:
        book.overrides.append(Override(kind, name, pack, place, instead_of))
