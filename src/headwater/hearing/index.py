"""The index of a book: every phrase by its words, and how much each word tells."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import log

from headwater.book.records import Book, for_family
from headwater.hearing import english
from headwater.hearing.danger import dangers_of
from headwater.hearing.phrases import Group, groups_of, looks_of, sides_of
from headwater.hearing.reading import (
    MOST_HEARD,
    Same,
    Token,
    read_text,
    same_words,
    stems_of,
    telling,
)
from headwater.hearing.stems import stem
from headwater.hearing.targets import Target, Topic, targets_of
from headwater.hearing.together import Pointer, concept, sign
from headwater.hearing.unitwords import UnitWords, unit_words

SMALL_WEIGHT = 0.3
"""What a word of direction tells, beside 1 to 7 for words of the trade."""
GENERAL_SHARE = 0.35
"""How much of its rarity a common word of English keeps."""
UNKNOWN_SHARE = 0.58
"""What a word weighs that the book does not know at all, beside the rarest that it knows."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way to say a target: its groups of words with what each tells, and their sum.

    `state` are the groups that say what is the matter, not with what: one of them must be said.
    `denied_things` are things that are not there ('no oil'): speaking of them does not deny that.
    `small` are the groups of small words.
    """

    target: int
    groups: tuple[Group, ...]
    weights: tuple[float, ...]
    total: float
    state: frozenset[int]
    denied_things: frozenset[int]
    small: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Index:
    """A book made ready for listening. It does not change; threads may share it.

    `where` says in which group of which phrase a stem stands and what share of the phrase that is,
    `weights` what it tells; `about` has for each target the words that it is about; `things` are
    words that only name something; `apart` are the targets of units other than the usual one.
    """

    targets: tuple[Target, ...]
    phrases: tuple[Phrase, ...]
    where: Mapping[str, tuple[tuple[int, int, float], ...]]
    weights: Mapping[str, float]
    about: tuple[Mapping[str, float], ...]
    same: Same
    known: frozenset[str]
    things: frozenset[str]
    apart: frozenset[int]
    outside: Mapping[str, Target]
    rarest: float
    dangers: tuple[Pointer, ...]
    hints: tuple[tuple[Pointer, Target], ...]
    spoken: Mapping[str, str]
    units: tuple[UnitWords, ...]
    _mended: dict[str, str | None] = field(default_factory=dict, repr=False)

    def read(self, text: str) -> tuple[Token, ...]:
        """Return the telling words of what is said, slips of the pen mended."""
        return read_text(text[:MOST_HEARD], self.same, self.mend)

    def mend(self, word: str) -> str | None:
        """Return the known stem that an unknown one is a slip of; None where it is known."""
        if word in self.known or word.isdecimal():
            return None
        if word not in self._mended:
            from headwater.hearing.spelling import nearest_word

            self._mended[word] = nearest_word(word, sorted(self.known))
        return self._mended[word]

    def mended_word(self, word: str) -> str | None:
        """Return the word, as people say it, that an unknown one is a slip of; None if known."""
        plain = stem(word)
        mended = None if plain in self.spoken else self.mend(plain)
        return self.spoken.get(mended, mended) if mended else None

    def verbatim(self, text: str) -> list[Target]:
        """Return what is outside the driveline and is said word for word, all of it or a clause."""
        clauses = [text, *_CLAUSE.split(text)]
        found = (self.outside.get(plain_words(clause)) for clause in clauses)
        return [target for target in found if target]

    def may_complain(self, text: str) -> bool:
        """Say whether a word of a text says what is the matter in some complaint of the book."""
        return any(
            not token.small and token.word not in english.GENERAL and self._complains(token.stem)
            for token in self.read(text)
        )

    def tells_a_state(self, text: str) -> bool:
        """Say whether a text may say how something is: more than names, places and measures.

        A word that no record knows may.
        """
        return any(
            not token.small
            and token.stem not in self.things
            and token.word not in english.NAMES_NO_STATE
            and not token.word[0].isdecimal()
            for token in self.read(text)
        )

    def _complains(self, word: str) -> bool:
        ways = ((self.phrases[number], place) for number, place, _ in self.where.get(word, ()))
        return any(
            place in phrase.state and self.targets[phrase.target].kind is Topic.COMPLAINT
            for phrase, place in ways
        )

    def weight(self, token: Token) -> float:
        """Return how much a word tells."""
        if token.small:
            return SMALL_WEIGHT
        return self.weights.get(token.stem, UNKNOWN_SHARE * self.rarest)


_COMMON = frozenset(
    stem(word)
    for word in english.IDLE | english.GENERAL | english.DENY | english.SMALL
    | english.PARTS | english.TURNS | english.SINCE
)  # fmt: skip


def build_index(book: Book) -> Index:
    """Return a book made ready for listening."""
    same = _same(book)
    targets = tuple(targets_of(book))
    said = [tuple(_said(target, same)) for target in targets]
    subjects: dict[str, frozenset[str]] = {"": frozenset()}
    for target in targets:
        if target.about not in subjects:
            subjects[target.about] = stems_of(target.about, same)
    about = [subjects[target.about] for target in targets]
    weights = _weights(targets, said, about)
    things = _things(book, same)
    phrases: list[Phrase] = []
    where: dict[str, list[tuple[int, int, float]]] = {}
    for number, ways in enumerate(said):
        for groups in ways:
            told = tuple(_group_weight(group, weights) for group in groups)
            total = sum(told)
            for place, group in enumerate(groups):
                for word in () if group.small else group.stems:
                    where.setdefault(word, []).append((len(phrases), place, told[place] / total))
            state, gone = _state(groups, things), _denied_things(groups, things)
            small = tuple(place for place, group in enumerate(groups) if group.small)
            phrases.append(Phrase(number, groups, told, total, state, gone, small))
    return Index(
        targets,
        tuple(phrases),
        {word: tuple(places) for word, places in where.items()},
        weights,
        tuple({word: weights[word] for word in stems} for stems in about),
        same,
        frozenset(weights) | _COMMON | {word for phrase in same.words for word in phrase},
        things,
        frozenset(_apart(book, targets)),
        {
            plain_words(phrase): target
            for target in reversed(targets)
            if target.kind in (Topic.EMERGENCY, Topic.ELSEWHERE)
            for phrase in target.phrases
        },
        max(weights.values(), default=1.0),
        dangers_of(book.emergencies.values()),
        tuple(_hints(book, targets)),
        {stem(word): word for word in _spoken(book) if word.isalpha()},
        tuple(unit_words(book, same)),
    )


def plain_words(text: str) -> str:
    """Return the words of a text and nothing else, in small letters."""
    return " ".join(word for word in english.pieces(text) if word[0].isalnum())


def _spoken(book: Book) -> Iterator[str]:
    """Yield every word of the ways to speak of things."""
    lists = [one.said for one in book.concepts.values()]
    lists += [ways for one in book.emergencies.values() for ways in one.words.values()]
    for ways in lists:
        for way in ways:
            yield from way.split()


def _hints(book: Book, targets: Iterable[Target]) -> Iterator[tuple[Pointer, Target]]:
    """Yield what is told by things named together, with what it is."""
    concepts = {str(one.id): concept(one.said) for one in book.concepts.values()}
    named: dict[str, Target] = {}
    for target in targets:
        for record in target.records if target.check else ():
            named.setdefault(f"{record.check}: {record.answer}", target)
        if not target.check:
            named[target.id] = target
    for hint in book.hints.values():
        if meant := named.get(hint.answer or str(hint.id)):
            yield sign(str(hint.id), hint.told, hint.calm, concepts), meant


_CLAUSE = re.compile(r"[.,;!?]+")


def _apart(book: Book, targets: Iterable[Target]) -> Iterator[int]:
    """Yield the targets of units that nobody speaks of where nothing is said of the unit."""
    usual = for_family(book, book.assumed)
    for number, target in enumerate(targets):
        if target.kind in (Topic.EMERGENCY, Topic.ELSEWHERE):
            continue
        known = target.check in usual.checks if target.check else target.id in usual.conditions
        if not known:
            yield number


def _things(book: Book, same: Same) -> frozenset[str]:
    """Return the words that name a part, not what is the matter with it."""
    names = " ; ".join(f"{p.title} ; {str(p.id).replace('-', ' ')}" for p in book.parts.values())
    units = (book.attributes[name].values.values() for name in book.assumed)
    names = " ; ".join((names, *(value for values in units for value in values)))
    named = stems_of(names, same)
    return (named | _GENERAL) - frozenset(stem(word) for word in english.AMOUNT)


def _state(groups: tuple[Group, ...], things: frozenset[str]) -> frozenset[int]:
    telling = [place for place, group in enumerate(groups) if group.tells]
    state = [place for place in telling if not groups[place].stems <= things]
    return frozenset(state or [place for place in telling if groups[place].denied])


def _same(book: Book) -> Same:
    """Return the trade words of the book with their other words, names of parts among them."""
    owners: dict[str, list[str]] = {}
    for part in book.parts.values():
        for said in part.said:
            owners.setdefault(said, []).append(part.title)
    named = [
        (titles[0], (said,))
        for said, titles in owners.items()
        if len(titles) == 1 and len(said.split()) > 1 and not _shares(said, titles[0])
    ]
    return same_words([*named, *((str(term.id), term.said) for term in book.terms.values())])


def _shares(said: str, title: str) -> bool:
    """Say whether a name of a part shares a word with its title: then it is found by that."""
    return bool(set(telling(said)) & set(telling(title)))


def _said(target: Target, same: Same) -> Iterator[tuple[Group, ...]]:
    """Yield the groups of each phrase of a target, none twice, none without a telling word."""
    seen: set[tuple[Group, ...]] = set()
    for phrase in target.phrases:
        if target.lists:
            apart = [groups_of(look, same, lists=True) for look in looks_of(phrase)]
        else:
            apart = [groups_of(side, same) for side in sides_of(phrase)]
            apart = [side for side in apart if sum(group.tells for group in side) > 1]
        for groups in (groups_of(phrase, same, lists=target.lists), *apart):
            if groups not in seen and any(group.tells for group in groups):
                seen.add(groups)
                yield groups


def _denied_things(groups: tuple[Group, ...], things: frozenset[str]) -> frozenset[int]:
    return frozenset(n for n, group in enumerate(groups) if group.denied and group.stems <= things)


def _weights(
    targets: Iterable[Target],
    said: Iterable[tuple[tuple[Group, ...], ...]],
    about: Iterable[frozenset[str]],
) -> dict[str, float]:
    """Return what each stem tells: the rarer among checks and conditions, the more."""
    owners: dict[str, set[str]] = {}
    every: set[str] = set()
    for target, ways, subject in zip(targets, said, about, strict=True):
        owner = target.check or target.id
        every.add(owner)
        own = {word for groups in ways for group in groups for word in group.stems}
        for word in own | subject:
            owners.setdefault(word, set()).add(owner)
    found = {word: log(1.0 + len(every) / len(own)) for word, own in owners.items()}
    for word in found.keys() & _GENERAL:
        found[word] *= GENERAL_SHARE
    return found


_GENERAL = frozenset(stem(word) for word in english.GENERAL)


def _group_weight(group: Group, weights: Mapping[str, float]) -> float:
    if group.small:
        return SMALL_WEIGHT
    return sum(weights[word] for word in group.stems) / len(group.stems)
