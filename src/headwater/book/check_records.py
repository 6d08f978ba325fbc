"""The rules of the book about single records: checks, disassembly, dangers, names, modes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from headwater.book.model import Chain, Condition, Remedies
from headwater.book.problem import Faults, nearest
from headwater.book.records import Book, removals_before
from headwater.book.refs import records_of
from headwater.book.seal import unseal
from headwater.book.tables import DRIVE_RANK, SPECIAL, Drive, Seat
from headwater.book.things import Limit, When
from headwater.errors import Place

REMEDY = re.compile(
    r"\b((replac|renew|swap|exchang|re-?shim|rebuil[dt])\w*|buy(ing)?|"
    r"(fit(ted|ting)?|order(ed|ing)?) (a )?new)\b",
    re.I,
)


def decided(book: Book) -> dict[str, str]:
    """Condition -> the first check that can decide it."""
    decided: dict[str, str] = {}
    for check in book.checks.values():
        for condition in check.decides():
            decided.setdefault(condition, check.id)
    return decided


def observable(book: Book) -> Faults:
    """A condition in the middle or at the end can be decided, or the author says why not."""
    known = decided(book)
    for condition in book.conditions.values():
        if condition.origin or condition.id in known or condition.unobservable:
            continue
        yield (
            condition.place,
            f"no check decides '{condition.id}'; add one, or say 'unobservable:' why",
        )


def checks_sound(book: Book) -> Faults:
    """A check has a seat, its minutes, at least two answers, and answers that mean something."""
    for check in book.checks.values():
        if not check.seats:
            yield check.place, f"check '{check.id}' names no seat"
        if check.minutes <= 0:
            yield check.place, f"check '{check.id}' takes no time; give its minutes"
        if len(check.answers) < 2:
            yield check.place, f"check '{check.id}' needs at least two answers"
        if not any(a.shows or a.rules_out for a in check.answers.values()):
            yield check.place, f"no answer of check '{check.id}' shows or rules out anything"
        for word, answer in check.answers.items():
            if word in SPECIAL:
                yield word.place, f"'{word}' is understood everywhere; do not declare it"
            for both in set(answer.shows) & set(answer.rules_out):
                yield both.place, f"one answer both shows and rules out '{both}'"
        if Seat.CALL in check.seats and (check.tool or check.after or check.reading):
            if check.reading and not (check.tool or check.after):
                continue
            yield check.place, f"a caller cannot do '{check.id}': it needs a tool or disassembly"


def disassembly_sound(book: Book) -> Faults:
    """A removal takes time, and what a check needs off is not what must still be on."""
    for removal in book.removals.values():
        if removal.minutes <= 0:
            yield removal.place, f"removal '{removal.id}' takes no time; give its minutes"
    for check in book.checks.values():
        needed = removals_before(book, check.after)
        for late in check.before:
            if late in needed:
                yield late.place, f"check '{check.id}' needs '{late}' both off and still on"


def dangers_sound(book: Book) -> Faults:
    """Danger says stop, or limp and how far; a vehicle that may be driven is in none."""
    for condition in book.conditions.values():
        danger = condition.danger
        if danger and danger.advice is Drive.OK:
            yield (
                danger.place,
                "a danger advises stop, parked or limp; delete it where it is safe",
            )
        elif danger and danger.advice is Drive.LIMP and not danger.limits:
            yield danger.place, "limp needs 'limits:': how slow, how far, in which range"
        if danger and danger.likely and DRIVE_RANK[danger.likely] >= DRIVE_RANK[danger.advice]:
            yield danger.place, "'likely' is milder than 'advice'; leave it out where it is not"


def renames_sound(book: Book) -> Faults:
    """An old id means one record only, and is not in use again."""
    owner: dict[str, str] = {}
    for kind in ("conditions", "checks", "chains"):
        for record in book.table(kind).values():
            for old in record.replaces:
                if old in book.table(kind):
                    yield record.place, f"'{record.id}' replaces '{old}', which is still in use"
                if owner.setdefault(old, record.id) != record.id:
                    yield record.place, f"'{old}' is replaced by '{owner[old]}' already"


def attributes_known(book: Book) -> Faults:
    """Every `when` names declared attributes and values."""

    def whens(record: Any) -> Iterator[tuple[Place, When]]:
        if getattr(record, "when", None):
            yield record.place, record.when
        if isinstance(record, Chain):
            for step in record.because:
                yield step.cause.place, step.said.when
        if isinstance(record, Condition):
            corrections = record.origin.corrections if record.origin else Remedies()
            for action in (*unseal(record.dispositions), *unseal(corrections)):
                yield action.place, action.when
        for special in record.families if isinstance(record, Limit) else ():
            yield special.place, special.when

    for record in (*records_of(book), *book.packs):
        for place, when in whens(record):
            for name, values in when.items():
                yield from _attribute(book, place, name, values)
        if hasattr(record, "family"):
            for name, value in record.family.items():
                yield from _attribute(book, record.place, name, (value,))


def modes_sound(book: Book) -> Faults:
    """A mode has neighbours in its own list; a check names a list and reasons behind its modes."""
    pointed: dict[str, set[str]] = {}
    for mode in book.modes.values():
        pointed.setdefault(str(mode.of), set()).update(map(str, mode.points_to))
        if not mode.points_to:
            yield mode.place, f"mode '{mode.id}' points to no reason"
        for other in mode.neighbours:
            if other == mode.id or (other in book.modes and book.modes[other].of != mode.of):
                yield other.place, f"'{other}' is not another mode of list '{mode.of}'"
        for text in (mode.title, mode.looks, *mode.neighbours.values()):
            yield from no_remedy(mode.place, text)
    for reason in book.reasons.values():
        if not any(reason.id in reasons for reasons in pointed.values()):
            yield reason.place, f"no mode points to reason '{reason.id}'"
    for check in book.checks.values():
        if check.modes and check.modes not in pointed:
            mend = nearest(check.modes, pointed)
            yield check.modes.place, f"there is no list of modes '{check.modes}'{mend}"
        elif not check.modes and (check.reasons or check.any_mode or check.offers):
            text = "'reasons', 'any-mode' and 'offers' need 'modes', the list they are about"
            yield check.place, text
        for ref in check.offers:
            if check.modes in pointed and ref in book.modes and book.modes[ref].of != check.modes:
                yield ref.place, f"'{ref}' is not a mode of list '{check.modes}'"
        known = pointed.get(check.modes or "", set())
        offered = [book.modes[ref] for ref in check.offers if ref in book.modes]
        if offered and check.modes in pointed:
            known = {str(reason) for mode in offered for reason in mode.points_to}
        for ref in check.reasons:
            if check.modes in pointed and ref in book.reasons and ref not in known:
                few = "offered" if offered else f"of list '{check.modes}'"
                yield ref.place, f"no mode {few} points to '{ref}'"


def assumptions_sound(book: Book) -> Faults:
    """What is assumed of a unit is a value of the attribute."""
    for name, value in book.assumed.items():
        yield from _attribute(book, book.attributes[name].place, name, (value,))


def _attribute(book: Book, place: Place, name: str, values: tuple[str, ...]) -> Faults:
    if name not in book.attributes:
        yield place, f"there is no attribute '{name}'{nearest(name, book.attributes)}"
        return
    known = book.attributes[name].values
    for value in values:
        if value not in known:
            yield place, f"'{name}' cannot be '{value}'{nearest(value, known)}"


def overrides_said(book: Book) -> Faults:
    """Say what a later pack put in place of an earlier one's record."""
    for item in book.overrides:
        kind = item.kind.rstrip("s")
        yield item.place, f"{kind} '{item.id}' of pack '{item.pack}' overrides {item.instead_of}"


def no_remedy(place: Place, text: str) -> Faults:
    """Say so where a text names a remedy."""
    if found := REMEDY.search(text):
        yield place, f"'{found.group()}' belongs in a correction or disposition, not in this text"
