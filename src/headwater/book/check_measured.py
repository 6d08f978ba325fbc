"""The rules of the book about measuring: limits, gauges, bands and bench arithmetic."""

from __future__ import annotations

from headwater.book.model import Check
from headwater.book.problem import Faults, Works, nearest
from headwater.book.records import Book
from headwater.book.things import Limit
from headwater.errors import HeadwaterError, Place
from headwater.units import parse_quantity


def readings_sound(book: Book) -> Faults:
    """A measured check answers to the bands of its limit, one answer a band."""
    for check in book.checks.values():
        reading = check.reading
        if not reading:
            continue
        limit = book.limits.get(reading.limit)
        if limit:
            yield from _band_names(check, limit)
            if reading.gauge and reading.gauge in book.gauges:
                yield from _quantity(book.gauges[reading.gauge].u, limit.dimension, check.place)


def works_known(book: Book, works: Works) -> Faults:
    """A check that computes names bench arithmetic that exists, and inputs that it takes."""
    for check in book.checks.values():
        reading = check.reading
        if not reading or reading.work is None:
            continue
        if reading.work not in works:
            mend = nearest(reading.work, works)
            yield reading.place, f"there is no bench arithmetic '{reading.work}'{mend}"
            continue
        for name in set(reading.inputs) - set(works[reading.work]):
            mend = nearest(name, works[reading.work])
            yield reading.place, f"'{reading.work}' takes no '{name}'{mend}"


def _band_names(check: Check, limit: Limit) -> Faults:
    for bands in (limit.bands, *(special.bands for special in limit.families)):
        names = [str(band.name) for band in bands]
        for name in names:
            if name not in check.answers:
                yield check.place, f"check '{check.id}' has no answer for band '{name}'"
    known = {
        str(b.name) for bands in (limit.bands, *(f.bands for f in limit.families)) for b in bands
    }
    for word in check.answers:
        if word not in known:
            yield word.place, f"limit '{limit.id}' has no band '{word}'{nearest(word, known)}"


def limits_sound(book: Book) -> Faults:
    """The bands of a limit run upwards in its own dimension; only the last has no edge."""
    for limit in book.limits.values():
        yield from _quantity(f"1 {limit.unit}", limit.dimension, limit.place)
        for special in limit.families:
            if not special.when:
                yield special.place, "bands for some families need 'when', the families meant"
        for bands in (limit.bands, *(special.bands for special in limit.families)):
            if len(bands) < 2:
                yield limit.place, f"limit '{limit.id}' needs at least two bands"
            edges: list[float] = []
            for index, band in enumerate(bands):
                last = index == len(bands) - 1
                if (band.upto is None) != last:
                    yield band.place, "every band but the last has 'upto', and the last has none"
                elif band.upto is not None:
                    yield from _quantity(band.upto, limit.dimension, band.place)
                    edges.extend(_value(band.upto, limit.dimension))
            if edges != sorted(set(edges)):
                yield limit.place, f"the bands of limit '{limit.id}' do not run upwards"


def _value(text: str, dimension: str) -> list[float]:
    try:
        return [parse_quantity(text, dimension).value]
    except HeadwaterError:
        return []


def _quantity(text: str, dimension: str, place: Place) -> Faults:
    try:
        parse_quantity(text, dimension)
    except HeadwaterError as error:
        yield place, error.message
