"""Which attributes of a unit matter to what is asked next: nobody is asked for the others.

An attribute matters while it is not known and some check worth making now, some condition that it
speaks of, or some condition on a live chain is there in certain unit families alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from headwater.book.records import Book, has_checks
from headwater.book.things import When
from headwater.case.model import LogEntry
from headwater.hearing.together import Ear, concept, listen
from headwater.hearing.understand import HINTED, Understanding
from headwater.hearing.unitwords import units_named
from headwater.rules.status import Status
from headwater.session.openbook import family_of
from headwater.session.session import Session

CHECKS_AHEAD = 8
"""So many checks ahead are looked at: what comes after them may never be asked."""


def attributes_that_matter(session: Session) -> list[str]:
    """Return the attributes not known on which it hangs what is asked next, in the book's order."""
    book = session.book
    asked = {name for when in _conditions_of_use(session) for name in _telling(book, when)}
    known = session.case.family.keys() | _implied(session)
    return [
        name
        for name, attribute in book.attributes.items()
        if name in asked and name not in known and not attribute.assume
    ]


def _implied(session: Session) -> set[str]:
    """Return the attributes that what was found settles: it is on a part that only some have."""
    book = session.book
    checks = (book.checks[check] for check, judged in session.answers.items() if judged.shares)
    found = [c for c, status in session.verdict.statuses.items() if status is Status.CONFIRMED]
    whens = (*(check.when for check in checks), *(book.conditions[c].when for c in found))
    return {str(name) for when in whens for name, values in when.items() if len(values) == 1}


def _telling(book: Book, when: When) -> Iterator[str]:
    for name, values in when.items():
        attribute = book.attributes.get(name)
        if attribute and not set(attribute.values) <= set(map(str, values)):
            yield str(name)


def _conditions_of_use(session: Session) -> Iterator[When]:
    """Yield when each record applies that what is asked next has to do with."""
    book = session.book
    heads = {str(pack.pack): pack.when for pack in book.packs}
    live: dict[str, None] = {}
    for chains in session.verdict.live_chains.values():
        for chain in chains.values():
            live |= dict.fromkeys(chain.path)
    for item in session.next()[:CHECKS_AHEAD]:
        check = book.checks[item.check]
        yield check.when
        yield heads[book.owner["checks", item.check]]
        live |= dict.fromkeys(check.speaks_of())
        if check.reading:
            yield from (special.when for special in book.limits[check.reading.limit].families)
    yield from (book.conditions[cid].when for cid in live if cid in book.conditions)


def construction_told(session: Session, words: Iterable[str]) -> dict[str, str]:
    """Return the attributes that words name outright, and that are not known: 'the range knob'.

    The words for a value are those of the concept `ATTRIBUTE-is-VALUE`; which unit it is, where
    that is assumed, is for `unit_told` to say.
    """
    book, known = session.open_book.book, session.case.family
    heard = [Ear(listen(said)) for said in words]
    found: dict[str, str] = {}
    for name, attribute in book.attributes.items():
        if attribute.assume:
            continue
        values = [
            str(value)
            for value in attribute.values
            if (meant := book.concepts.get(f"{name}-is-{value}"))
            and any(ear.places(concept(meant.said)) for ear in heard)
        ]
        if len(values) == 1 and name not in known:
            found[str(name)] = values[0]
    return found


def unit_told(session: Session, words: str) -> dict[str, str]:
    """Return the unit that words name, where it is only assumed: 'the back axle howls'.

    Nothing where they name several, or one that an answer given cannot be of.
    """
    index = session.open_book.index
    named = units_named(index.units, index.read(words))
    family = dict(named[0].family) if len(named) == 1 else {}
    known = family.keys() & session.case.family.keys()
    return family if family and not known and can_be(session, family) else {}


def widest_told(session: Session, words: str) -> dict[str, str]:
    """Return the same for a caller, who may be wrong about it: all units, where one is named."""
    whole = session.open_book.book
    return {
        name: max(
            map(str, whole.attributes[name].values),
            key=lambda value: len(has_checks(whole, whole.checks, {name: value})),
        )
        for name, value in unit_told(session, words).items()
        if value != whole.assumed[name]
    }


def unit_title(session: Session) -> str:
    """Return which unit it is taken to be, where words settled it; nothing where it is assumed."""
    book, told = session.open_book.book, session.case.family
    return "; ".join(str(book.attributes[n].values[told[n]]) for n in book.assumed if n in told)


def other_units(session: Session) -> list[str]:
    """Return what else it could be told to be with the answers given, as a person writes it."""
    book, told = session.open_book.book, session.case.family
    others = ((n, str(v)) for n in book.assumed if n in told for v in book.attributes[n].values)
    return [v for n, v in others if v != told[n] and can_be(session, {n: v})]


def family_told(session: Session, found: Understanding) -> dict[str, str]:
    """Return the attributes that words settle: which unit it is, where that is only assumed.

    The value is taken under which most of what was said can be; the assumed one if it does as well.
    """
    open_ones = [name for name in session.open_book.book.assumed if name not in session.case.family]
    checks = dict.fromkeys([*session.answers, *(o.check for o in found.ticked if o.check)])
    return _family_of(session, open_ones, list(checks)) if found.ticked else {}


def family_of_all(session: Session, checks: Iterable[str]) -> dict[str, str]:
    """Return the same for checks answered or to be answered, also where it was told before."""
    every = dict.fromkeys([*session.answers, *checks])
    return _family_of(session, session.open_book.book.assumed, list(every))


def _family_of(session: Session, names: Iterable[str], checks: list[str]) -> dict[str, str]:
    whole = session.open_book.book
    told: dict[str, str] = {}
    for name in names:
        every = dict.fromkeys((whole.assumed[name], *whole.attributes[name].values))
        values = [v for v in every if can_be(session, {**told, name: v})]
        if not values:
            continue
        known = session.case.family.get(name, whole.assumed[name])
        # As much with another as with the one that is known is no reason to leave that.
        best = max(values, key=lambda v: (_apply(whole, {name: v}, checks), v == known))
        if best != known and checks:
            told[name] = str(best)
    return told


def can_be(session: Session, family: Mapping[str, str], checks: Iterable[str] = ()) -> bool:
    """Say whether each answer given, and some checks, apply to a unit told on to be such a one."""
    entry = LogEntry(family=dict(family))
    case = replace(session.case, findings=(*session.case.findings, entry))
    whole, every = session.open_book.book, {*checks, *session.answers}
    return len(has_checks(whole, every, family_of(whole, case))) == len(every)


def _apply(whole: Book, family: dict[str, str], checks: Iterable[str]) -> int:
    return len(has_checks(whole, checks, family))


def of_any_unit(found: Understanding, wider: Understanding) -> Understanding:
    """Return what was understood of the unit that is assumed, with what any other can have.

    What is as well said of another unit is sure of none; what only another can have is offered.
    """
    sure = {one.id: one.sure for one in wider.understood}
    here = (replace(one, sure=min(one.sure, sure.get(one.id, HINTED))) for one in found.understood)
    known = {one.id for one in found.understood}
    beside = (
        replace(one, sure=min(one.sure, HINTED)) for one in wider.understood if one.id not in known
    )
    return replace(found, understood=(*here, *beside))


def of_this_unit(session: Session, wider: Understanding) -> Understanding:
    """Return of what any unit can have what the one that was told can have, too.

    What is only assumed of it may be otherwise; what was told of the unit before one stands. Words
    of what it cannot have are not placed.
    """
    open_ones = [name for name in session.open_book.book.assumed if name not in session.case.family]

    def can_have(check: str) -> bool:
        family = _family_of(session, open_ones, [*session.answers, check])
        return can_be(session, family, [check])

    here, words = [], []
    for one in wider.understood:
        if not one.check or can_have(one.check):
            here.append(one)
        else:
            words.append(one.words)
    return replace(wider, understood=tuple(here), unplaced=(*wider.unplaced, *words))
