"""The rules of the book about proof: usages, what answers come to, readings, conflicts."""

from __future__ import annotations

from headwater.book.model import Check, HowMeasured
from headwater.book.problem import Faults, nearest
from headwater.book.records import Book, effects_by_cause, spread
from headwater.book.tables import SPECIAL, Nature, Sense
from headwater.errors import HeadwaterError
from headwater.units import parse_quantity


def usages_sound(book: Book) -> Faults:
    """A usage is no damage; what it leaves behind lies downstream of it; only it has traces."""
    effects = effects_by_cause(book.links)
    for cid, record in book.origins.items():
        origin = record.origin
        assert origin is not None
        if origin.usage and record.kind is Nature.DAMAGE:
            yield origin.place, f"'{cid}' is damage, so it is no usage: it can be put right"
        if origin.traces and not origin.usage:
            yield origin.place, f"'{cid}' is a fault and is looked at itself: it needs no 'traces'"
        if origin.usage and origin.alone:
            yield origin.place, f"'{cid}' is a usage: nobody can look at it, so 'alone' goes"
        below = spread([cid], effects) - {cid}
        for trace in origin.traces:
            if trace in book.conditions and trace not in below:
                yield (
                    trace.place,
                    f"'{trace}' does not follow from '{cid}': it is no trace",
                )


def renewals_sound(book: Book) -> Faults:
    """What a removal uses up is marked as renewed, so that nobody fits it again."""
    for removal in book.removals.values():
        for part in removal.consumes:
            if part in book.parts and not book.parts[part].renewed:
                text = f"'{part}' is used up here, so it needs 'renewed: when-removed'"
                yield part.place, text


def answers_come_to_something(book: Book) -> Faults:
    """Nothing bad vanishes: a bad answer shows a condition, and a plain one shows no damage."""
    for check in book.checks.values():
        for word, answer in check.answers.items():
            if answer.sense is Sense.BAD and not answer.shows:
                yield word.place, f"'{word}' is bad but shows nothing: say which condition it shows"
            if answer.is_ is None and answer.sense is Sense.PLAIN:
                text = f"'{word}' tells nothing: say 'is: plain' or 'is: sound', or what it shows"
                yield word.place, text
            damage = [c for c in answer.shows if _is_damage(book, c)]
            if answer.is_ is not None and answer.sense is not Sense.BAD and damage:
                yield word.place, f"'{word}' shows '{damage[0]}', which is damage: it is bad"


def answers_part(book: Book) -> Faults:
    """No condition is ruled out whichever answer is given: nobody would need to look."""
    for check in book.checks.values():
        telling = [a for a in check.answers.values() if a.shows or a.rules_out]
        out = [{str(c) for c in answer.rules_out} for answer in telling]
        for condition in sorted(set.intersection(*out)) if len(out) > 1 else ():
            text = f"every answer of check '{check.id}' rules out '{condition}'"
            yield check.place, f"{text}: leave it out where the answer does not tell of it"


def _is_damage(book: Book, condition: str) -> bool:
    return condition in book.conditions and book.conditions[condition].kind is Nature.DAMAGE


def readings_possible(book: Book) -> Faults:
    """A measured check says what gauge it takes, and what gauge and geometry can give."""
    for check in book.checks.values():
        reading = check.reading
        if reading is None:
            continue
        if reading.gauge is None:
            yield reading.place, f"check '{check.id}' names no gauge: how sure is its reading?"
        if len(reading.possible) != 2:
            text = "give 'possible: [least, most]', what gauge and geometry can give"
            yield reading.place, f"check '{check.id}': {text}"
            continue
        yield from _range(book, check, reading)


def _range(book: Book, check: Check, reading: HowMeasured) -> Faults:
    limit = book.limits.get(reading.limit)
    if limit is None:
        return
    edges = [_value(text, limit.dimension) for text in reading.possible]
    for text, edge in zip(reading.possible, edges, strict=True):
        if edge is None:
            yield reading.place, f"check '{check.id}': '{text}' is no {limit.dimension}"
    least, most = edges
    if least is None or most is None:
        return
    if least >= most:
        yield reading.place, f"check '{check.id}': 'possible' runs from least to most"
    for bands in (limit.bands, *(special.bands for special in limit.families)):
        for band in bands:
            value = _value(band.upto, limit.dimension) if band.upto else None
            if value is not None and not least <= value <= most:
                text = f"band '{band.name}' of limit '{limit.id}' ends outside what is possible"
                yield reading.place, f"check '{check.id}': {text}"


def _value(text: str, dimension: str) -> float | None:
    try:
        return parse_quantity(text, dimension).value
    except HeadwaterError:
        return None


def conflicts_sound(book: Book) -> Faults:
    """A conflict is between answers of two checks or more, and each of them is an answer."""
    for conflict in book.conflicts.values():
        if len(conflict.answers) < 2:
            yield conflict.place, f"conflict '{conflict.id}' needs answers of two checks"
        for check, word in conflict.answers.items():
            if check in book.checks and word not in (*book.checks[check].answers, *SPECIAL):
                mend = nearest(word, book.checks[check].answers)
                yield conflict.place, f"'{check}' has no answer '{word}'{mend}"


def presumed_found(book: Book) -> Faults:
    """What a check presumes is not what it decides: it would never be asked."""
    for check in book.checks.values():
        for condition in check.presumes:
            if condition in check.decides() and len(check.presumes) == 1:
                text = f"check '{check.id}' presumes '{condition}', which it is there to find"
                yield condition.place, text
