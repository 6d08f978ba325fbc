"""The book: everything the loaded packs say, and as it applies to one unit family."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from headwater.book.chances import Chance
from headwater.book.files import Attribute, Pack, Sample
from headwater.book.model import (
    Chain,
    Check,
    Condition,
    Conflict,
    LaidFigures,
    Mode,
    Reason,
    Remedies,
)
from headwater.book.seal import unseal
from headwater.book.spoken import Elsewhere, Emergency, Hint, PartWanted, Term
from headwater.book.things import Caution, Gauge, Limit, Part, Removal, Source, When
from headwater.errors import Place

COMMON_PRACTICE = "common-practice"
Family = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Cause -> effect, as all chains together tell it."""

    cause: str
    effect: str
    how: str
    often: Chance
    when: When
    place: Place


@dataclass(frozen=True, slots=True)
class Override:
    """A record that a later pack put in place of an earlier one's."""

    kind: str
    id: str
    pack: str
    place: Place
    instead_of: Place


@dataclass(slots=True)
class Book:
    """Everything the loaded packs say, by kind and id, in the order written.

    Built once by `load_book` and not changed afterwards; `for_family` returns a narrowed copy.
    """

    packs: tuple[Pack, ...] = ()
    digest: str = ""
    sources: dict[str, Source] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    removals: dict[str, Removal] = field(default_factory=dict)
    gauges: dict[str, Gauge] = field(default_factory=dict)
    limits: dict[str, Limit] = field(default_factory=dict)
    conditions: dict[str, Condition] = field(default_factory=dict)
    reasons: dict[str, Reason] = field(default_factory=dict)
    modes: dict[str, Mode] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    conflicts: dict[str, Conflict] = field(default_factory=dict)
    emergencies: dict[str, Emergency] = field(default_factory=dict)
    elsewhere: dict[str, Elsewhere] = field(default_factory=dict)
    wanted: dict[str, PartWanted] = field(default_factory=dict)
    terms: dict[str, Term] = field(default_factory=dict)
    concepts: dict[str, Term] = field(default_factory=dict)
    hints: dict[str, Hint] = field(default_factory=dict)
    talk: dict[str, Term] = field(default_factory=dict)
    figures: dict[str, LaidFigures] = field(default_factory=dict)
    chains: dict[str, Chain] = field(default_factory=dict)
    links: dict[tuple[str, str], Link] = field(default_factory=dict)
    attributes: dict[str, Attribute] = field(default_factory=dict)
    samples: dict[str, tuple[Sample, ...]] = field(default_factory=dict)
    overrides: list[Override] = field(default_factory=list)
    retired: dict[str, str] = field(default_factory=dict)
    aliases: dict[str, str] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)
    owner: dict[tuple[str, str], str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Return the names of the packs, the shipped ones first."""
        return " + ".join(pack.pack for pack in self.packs)

    @property
    def version(self) -> str:
        """Return the versions of the packs in the order of `name`."""
        return " + ".join(pack.version for pack in self.packs)

    @property
    def family(self) -> dict[str, str]:
        """Return the unit family that the examples assume."""
        merged: dict[str, str] = {}
        for pack in self.packs:
            merged |= pack.family
        return merged

    @property
    def assumed(self) -> dict[str, str]:
        """Return the attributes that are taken as given where a case does not say."""
        return {name: item.assume for name, item in self.attributes.items() if item.assume}

    @property
    def origins(self) -> dict[str, Condition]:
        """Return the conditions that can start a chain."""
        return {cid: c for cid, c in self.conditions.items() if c.origin}

    def table(self, kind: str) -> dict[str, Any]:
        """Return the records of one kind (`conditions`, `checks` ...)."""
        found: dict[str, Any] = getattr(self, kind)
        return found


def applies(when: When, family: Family) -> bool:
    """Say whether a record applies to a unit family; an attribute not known does not exclude it.

    >>> applies({"drive": ("chain",)}, {"drive": "gear"})
    False
    """
    return all(name not in family or family[name] in values for name, values in when.items())


def has_checks(book: Book, checks: Iterable[str], family: Family) -> list[str]:
    """Return those of some checks that `for_family` keeps, without making a book."""
    away = _away(book, family)
    return [
        check
        for check in checks
        if check in book.checks
        and book.owner.get(("checks", check)) not in away
        and applies(book.checks[check].when, family)
    ]


def _away(book: Book, family: Family) -> set[str]:
    """Return the packs that are about other units."""
    return {str(pack.pack) for pack in book.packs if not applies(pack.when, family)}


def for_family(book: Book, family: Family) -> Book:
    """Return the book as it applies to one unit family, limits resolved for it.

    A pack that is about other units drops out whole, with every record that it owns.
    """
    packs = tuple(pack for pack in book.packs if applies(pack.when, family))
    away = _away(book, family)

    def keep(kind: str) -> dict[str, Any]:
        return {
            key: item
            for key, item in book.table(kind).items()
            if book.owner.get((kind, key)) not in away and applies(item.when, family)
        }

    conditions = {cid: _mended_in(c, family) for cid, c in keep("conditions").items()}
    links = {
        ends: link
        for ends, link in book.links.items()
        if book.owner.get(("links", " -> ".join(ends))) not in away
        and applies(link.when, family)
        and ends[0] in conditions
        and ends[1] in conditions
    }
    chains = {
        cid: chain
        for cid, chain in keep("chains").items()
        if all(pair in links for pair in pairs(chain)) and chain.found in conditions
    }
    asked = {name for pack in packs for name in pack.attributes}
    attributes = {name: item for name, item in book.attributes.items() if name in asked}
    checks = keep("checks")
    conflicts = {
        key: item
        for key, item in book.conflicts.items()
        if book.owner.get(("conflicts", key)) not in away and checks.keys() >= item.answers.keys()
    }
    return replace(
        book,
        packs=packs,
        attributes=attributes,
        parts=keep("parts"),
        cautions={key: c for key, c in book.cautions.items() if applies(c.when, family)},
        removals=keep("removals"),
        conditions=conditions,
        checks=checks,
        conflicts=conflicts,
        links=links,
        chains=chains,
        limits={key: _limit_for(limit, family) for key, limit in book.limits.items()},
    )


def _mended_in(condition: Condition, family: Family) -> Condition:
    """Leave out the actions that the family does not allow."""

    def allowed(actions: Remedies) -> Remedies:
        return Remedies(tuple(a for a in unseal(actions) if applies(a.when, family)))

    origin = condition.origin
    if origin:
        origin = replace(origin, corrections=allowed(origin.corrections))
    return replace(condition, origin=origin, dispositions=allowed(condition.dispositions))


def _limit_for(limit: Limit, family: Family) -> Limit:
    for special in limit.families:
        named = all(name in family for name in special.when)
        if named and applies(special.when, family):
            return replace(limit, bands=special.bands, source=special.source, families=())
    return limit


def pairs(chain: Chain) -> list[tuple[str, str]]:
    """Return the (cause, effect) pairs of a chain, from what is found back to the origin."""
    ends = [str(chain.found), *(str(step.cause) for step in chain.because)]
    return [(cause, effect) for effect, cause in pairwise(ends)]


def spread(start: Iterable[str], on: Callable[[str], Iterable[str]]) -> set[str]:
    """Return everything that is reached from `start`, itself included; `on` leads one step on.

    >>> sorted(spread(["a"], {"a": "bc", "b": "c", "c": "a", "d": "a"}.__getitem__))
    ['a', 'b', 'c']
    """
    found = set(start)
    frontier = list(found)
    while frontier:
        for node in on(frontier.pop()):
            if node not in found:
                found.add(node)
                frontier.append(node)
    return found


def effects_by_cause(links: Iterable[tuple[str, str]]) -> Callable[[str], Iterable[str]]:
    """Return a way to ask (cause, effect) pairs for the effects of a cause, for `spread`."""
    effects: dict[str, list[str]] = {}
    for cause, effect in links:
        effects.setdefault(cause, []).append(effect)
    return lambda cause: effects.get(cause, ())


def removals_before(book: Book, wanted: Iterable[str]) -> set[str]:
    """Return the removals wanted and all that must be done before them."""

    def before(rid: str) -> list[str]:
        return [str(one) for one in book.removals[rid].after if one in book.removals]

    return spread((str(rid) for rid in wanted if rid in book.removals), before)
