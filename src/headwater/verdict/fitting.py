"""Which origins earlier work makes likelier, and which less likely.

Trouble soon after work is a fitting error until proved otherwise, and a part renewed lately is not
at the end of its life: what breaks it again is something else. The factors are common practice, no
source: they order the candidates, they do not measure a fleet.
"""

from __future__ import annotations

from collections.abc import Iterable

from headwater.book.records import Book
from headwater.book.tables import Verb
from headwater.verdict.decision import Deed
from headwater.verdict.gate import mending_parts
from headwater.verdict.opening import deciders_of, way_in

ON_THE_PART = 8.0
"""How much likelier a fitting error is on a part that was worked on, or used up on the way."""
ON_THE_WAY = 4.0
"""How much likelier it is on a part that lay open while others were worked on."""
RENEWED_LATELY = 0.05
"""How much less likely it is that a part has run its life, when it was renewed then."""
AT_MOST = 0.5
"""The largest starting chance that a factor may lead to."""


def ageing_chances(book: Book, earlier_done: Iterable[Deed]) -> dict[str, float]:
    """Return a factor below 1 on what long running makes, on parts that were renewed then."""
    renewed = {deed.part for deed in earlier_done if deed.action is Verb.REPLACE}
    return {
        cid: RENEWED_LATELY
        for cid, record in book.origins.items()
        if record.origin and record.origin.by_age and str(record.part) in renewed
    }


def fitting_chances(
    book: Book, earlier_done: Iterable[Deed], opened: bool = False
) -> dict[str, float]:
    """Return a factor on the starting chance of each origin that earlier work may have made.

    `earlier_done` is what was done then; `opened` says that the whole unit was apart. The largest
    come first. Origins that are not in the result keep their chance.
    """
    deciders = deciders_of(book)
    worked = {deed.part for deed in earlier_done}
    off = {rid for part in worked for rid in way_in(book, deciders, part)}
    worked |= {str(part) for rid in off for part in book.removals[rid].consumes}

    def handled(part: str) -> bool:
        inside = part in book.parts and not book.parts[part].outside
        way = way_in(book, deciders, part) if inside else ()
        return inside and (opened or (bool(way) and off.issuperset(way)))

    found: dict[str, float] = {}
    for cid, record in book.origins.items():
        if record.origin is None or not record.origin.at_fitting:
            continue
        parts = {str(record.part), *mending_parts(book, {}, cid)}
        factor = ON_THE_PART if parts & worked else ON_THE_WAY if any(map(handled, parts)) else 1.0
        if factor > 1.0:
            found[cid] = max(1.0, min(factor, AT_MOST / record.origin.common.p))
    return dict(sorted(found.items(), key=lambda item: -item[1]))
