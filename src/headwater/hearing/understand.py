"""What a sentence says: every complaint, finding and piece of history in it.

Each phrase of the book is laid over the words of the sentence (`cover`). What covers most of them
best is taken first, then what covers best the words that are left. How surely it was meant hangs on
how much of the phrase was said, on how well the next best would do, and on what else was said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from headwater.book.records import Book
from headwater.errors import short
from headwater.hearing import english
from headwater.hearing.cover import Covering, Fit, Known, cover, lay
from headwater.hearing.danger import dangers_in, is_calmed
from headwater.hearing.denials import RIVAL_FROM, SAME_WORDS, Denied, denied_fits
from headwater.hearing.hinted import Hinted, hinted, hinted_words, is_explained
from headwater.hearing.index import Index
from headwater.hearing.places import is_of_another_unit, is_of_the_other_end, without_calm
from headwater.hearing.reading import MOST_HEARD, Token, words_at
from headwater.hearing.targets import Record, Target, Topic
from headwater.hearing.together import ears
from headwater.hearing.unplaced import is_common, unplaced_in

SURE_FROM = 0.8
"""Sureness from which on something is taken as said; less is offered."""
OFFER_FROM = 0.28
"""Sureness below which a thing is not worth offering."""
AS_GOOD = 0.97
"""Of two readings of the same words that are as good, neither is sure."""
CLOSE_FROM = 0.85
"""The same where the first one is sure."""
NO_OTHER = 0.7
"""How much of a phrase makes it sure, where every word was used and nothing else fits them."""
RIVALS_AT_MOST = 2
ONE_WORD = 0.55
"""One word among others makes nothing surer than this: it may belong to anything."""
RARE = 0.75
"""A word so rare, beside the rarest, says enough by itself: the number of a code."""
ABOUT_WORDS = 2
"""So many words must say what an answer is about before it is sure."""
CLOSE_WORDS, APART_WORDS = 0.4, 0.7
"""Words that stand wide apart, with more between them than under them, make nothing sure."""
ENOUGH = 0.72
"""What the words must weigh under something that is taken as said, beside the rarest word."""
ANSWER_FROM = 0.7
"""An answer that is said this far is the one meant, among those that show what was understood."""
ELSEWHERE_FROM, PARTLY_FROM = 0.75, 0.55
"""How much of a trouble elsewhere must be said; less will do where little else is said."""
DISTINCT = 0.6
"""What words must weigh to be trouble elsewhere by themselves, beside the rarest word."""
HINTED = 0.55
"""How sure that is at least which is hinted at."""
AGREED_FROM, UNSURE = 0.75, 0.5
"""From which sureness on a hint makes it sure; the most that is made of a phrase without one."""
HALF = 0.5
"""One word makes no trouble elsewhere where it is less than this share of its clause."""


@dataclass(frozen=True, slots=True)
class Understood:
    """One thing that was said: what it is, the answer that takes it down, and how surely."""

    kind: Topic
    id: str
    check: str
    answer: str
    words: str
    sure: float
    shows: tuple[str, ...] = ()

    @property
    def ticked(self) -> bool:
        """True where it is taken as said unless somebody objects."""
        return self.sure >= SURE_FROM


@dataclass(frozen=True, slots=True)
class Understanding:
    """What a sentence says, in its order, and the words that could not be placed.

    `signs` are the signs of danger in it, by id, the surest first.
    """

    understood: tuple[Understood, ...] = ()
    denials: tuple[Denied, ...] = ()
    signs: tuple[str, ...] = ()
    not_driveline: tuple[str, ...] = ()
    unplaced: tuple[str, ...] = ()

    @property
    def denied(self) -> tuple[str, ...]:
        """What is said not to be so, by id."""
        return tuple(one.id for one in self.denials)

    @property
    def emergency(self) -> str | None:
        """The first sign of danger, if there is any."""
        return next(iter(self.signs), None)

    @property
    def ticked(self) -> tuple[Understood, ...]:
        """What is taken as said."""
        return tuple(one for one in self.understood if one.ticked)


def understand(index: Index, text: str, book: Book | None = None) -> Understanding:
    """Return what a text says; with `book`, only what that unit can have.

    What stands behind the first `MOST_HEARD` signs of it is not placed.
    """
    found = _understand(index, text[:MOST_HEARD], book)
    rest = " ".join(text[MOST_HEARD:][:MOST_HEARD].split())
    return replace(found, unplaced=(*found.unplaced, short(rest))) if rest else found


def _understand(index: Index, text: str, book: Book | None) -> Understanding:
    tokens, heard_as = index.read(text), ears(text, index.mended_word)
    fits = without_calm(tokens, lay(index, tokens, _known(book)))
    covering = cover(fits)
    # 'Fires at once' takes nothing back of 'will not start': it only has its words.
    nots = {
        fit.target.id
        for fit in covering.denied
        if fit.target.kind is not Topic.ELSEWHERE or any(tokens[p].denied for p in fit.laid)
    }
    hints = [one for one in hinted(index, heard_as, _known(book)) if one.target.id not in nots]
    heard = _Heard(index, text, tokens, fits, covering, book, hints)
    shown = list(heard.everything())
    denied = list(denied_fits(index, text, tokens, fits, covering))
    pressing = english.pressing(text)
    near = heard_as if pressing == text else ears(pressing, index.mended_word)
    dangers = [
        fit
        for fit in fits
        if fit.target.kind is Topic.EMERGENCY and _is_danger(fit) and pressing == text
        if not is_calmed(index.dangers, fit.target.id, near)
    ]
    elsewhere = [
        f
        for f in covering.taken
        if f.target.kind is Topic.ELSEWHERE and heard.is_elsewhere(f)
        if not is_explained(index, f.target, [tokens[place].word for place in f.laid], text)
    ]
    outside = {h.target.id for h in hints if h.target.kind is Topic.ELSEWHERE}
    ours = len(outside) < len(hints)
    if ours:  # something of the driveline is hinted at
        elsewhere = [f for f in elsewhere if f.target.id in outside or f.target.wish]
    under = (*(fit for fit, _ in shown), *denied, *dangers, *elsewhere)
    placed = {place for fit in under for place in fit.laid}
    ticked = any(one.ticked for _, one in shown)
    verbatim = index.verbatim(text)
    signs = [
        *_of_kind(verbatim, Topic.EMERGENCY),
        *dangers_in(index.dangers, near),
        *(fit.target.id for fit in dangers),
    ]
    # What is wished beside a trouble is no trouble: 'speedo dead, just send me a sensor'.
    apart = [t for t in (*verbatim, *(f.target for f in elsewhere)) if not (t.wish and ticked)]
    troubles = _of_kind(apart, Topic.ELSEWHERE)
    if signs:  # what is dangerous comes first, and has its own advice
        troubles = []
    else:
        # Trouble that stops the vehicle is told beside whatever else is.
        alone = not (troubles or (ticked and ours))
        beside = [h.target for h in hints if h.target.grave or alone]
        troubles += _of_kind(beside, Topic.ELSEWHERE)
    return Understanding(
        understood=tuple(_best_first([*(one for _, one in shown), *heard.only_hinted(shown)])),
        denials=tuple(Denied(fit.target.id, words_at(tokens, fit.laid)) for fit in denied),
        signs=tuple(dict.fromkeys(signs)),
        not_driveline=tuple(dict.fromkeys(troubles)),
        unplaced=tuple(unplaced_in(index, tokens, placed, verbatim)),
    )


def _best_first(understood: Iterable[Understood]) -> list[Understood]:
    """Return what is ticked in its order, then what is offered, the surest first."""
    return sorted(understood, key=lambda one: 0.0 if one.ticked else -one.sure + 1.0)


def _of_kind(targets: Iterable[Target], kind: Topic) -> list[str]:
    return [target.id for target in targets if target.kind is kind]


def _known(book: Book | None) -> Known:
    def known(target: Target) -> bool:
        if book is None or target.kind in (Topic.EMERGENCY, Topic.ELSEWHERE):
            return True
        return target.check in book.checks if target.check else target.id in book.conditions

    return known


def _is_danger(fit: Fit) -> bool:
    """Say whether a sign of danger is said in just one of the ways that the book has for it."""
    return not fit.denied and fit.exact and fit.whole


@dataclass(frozen=True, slots=True)
class _Heard:
    """A sentence with what covers it, on its way to what was understood."""

    index: Index
    text: str
    tokens: Sequence[Token]
    fits: Sequence[Fit]
    covering: Covering
    book: Book | None
    hints: Sequence[Hinted]

    def everything(self) -> Iterator[tuple[Fit, Understood]]:
        """Yield what was said in the order of its words, second readings after the first.

        What may be trouble elsewhere may be the driveline's, too: that is offered.
        """
        seen = {fit.target.id for fit in (*self.covering.taken, *self.covering.denied)}
        for fit in sorted(self.covering.taken, key=lambda f: min(f.laid)):
            rivals = self._rivals(fit)
            sure = self._agreed(fit, self._sure(fit, rivals))
            doubted = self._is_of_another(fit) or self._is_guessed(fit)
            sure = min(sure, UNSURE) if doubted else sure
            if sure >= OFFER_FROM and fit.target.kind is not Topic.ELSEWHERE:
                yield fit, self._understood(fit, sure)
            limit = CLOSE_FROM if sure >= SURE_FROM else RIVAL_FROM
            near = [r for r in rivals if r.value >= limit * fit.value or r.whole]
            for rival in near[:RIVALS_AT_MOST]:
                doubtful = min(0.5, self._sure(rival, [fit]))
                if rival.target.id not in seen and doubtful >= OFFER_FROM:
                    seen.add(rival.target.id)
                    yield rival, self._understood(rival, doubtful)

    def _is_of_another(self, fit: Fit) -> bool:
        """Say whether another end, or another unit, is named beside it."""
        other_end = is_of_the_other_end(self.tokens, fit)
        return other_end or is_of_another_unit(self.index.units, self.tokens, fit)

    def _is_guessed(self, fit: Fit) -> bool:
        """Say whether a cause or damage was only supposed: a complaint is told all the same."""
        if fit.target.kind is Topic.COMPLAINT:
            return False
        return all(self.tokens[place].guess for place, weight in fit.laid.items() if weight > 0)

    def _rivals(self, fit: Fit) -> list[Fit]:
        """Return other readings of the words that tell it, best first."""
        told = {place for place, weight in fit.laid.items() if weight > 0}
        shown = frozenset(fit.target.shows)
        return [
            other
            for other in self.fits
            if other.target.id != fit.target.id
            and not other.denied
            and other.target.kind not in (Topic.EMERGENCY, Topic.ELSEWHERE)
            and shown.isdisjoint(other.target.shows)
            and other.shared(told) > SAME_WORDS
        ]

    def _sure(self, fit: Fit, rivals: Sequence[Fit]) -> float:
        rest = self._explained(fit)
        rare = fit.mass >= RARE * self.index.rarest
        one = sum(weight > 0 for weight in fit.laid.values()) == 1
        alone = one and not rare and not (fit.exact and rest > 0.95)
        unsaid = bool(fit.target.check) and fit.about < ABOUT_WORDS
        most = ONE_WORD if alone or (unsaid and not fit.whole) else 1.0
        most *= 1.0 if fit.density >= CLOSE_WORDS else APART_WORDS
        enough = min(1.0, fit.mass / (ENOUGH * self.index.rarest))
        near = max((self._left_of(rival, fit) for rival in rivals), default=0.0) / fit.value
        if fit.exact and fit.score > 0.9 and rest > 0.95 and near < AS_GOOD:
            return round(min(most, 0.9 + 0.1 * enough), 2)
        clear = 1.0 - max(0.0, min(1.0, near) - 0.6)
        sure = min(1.0, fit.score * 1.1) * enough * clear * (0.5 + 0.5 * rest)
        if not rivals and rest > 0.95 and fit.score >= NO_OTHER:
            sure = max(sure, SURE_FROM)
        return round(min(most, sure), 2)

    def _left_of(self, rival: Fit, fit: Fit) -> float:
        """Return what another reading is worth without the words that something else has taken."""
        taken = {p for one in self.covering.taken if one is not fit for p in one.laid}
        return rival.value * (1.0 - rival.shared(taken - fit.laid.keys()))

    def _explained(self, fit: Fit) -> float:
        """Return which share of the words of its clause it explains, with what else was taken."""
        all_laid = self.covering.places | fit.laid.keys()
        here = [
            (place, self.index.weight(token))
            for place, token in enumerate(self.tokens)
            if token.clause == fit.home and not token.small and not is_common(token)
        ]
        total = sum(weight for _, weight in here)
        told = sum(weight for place, weight in here if place in all_laid)
        return told / total if total else 1.0

    def is_elsewhere(self, fit: Fit) -> bool:
        """Say whether trouble outside the driveline is meant: said well, and not in passing."""
        if not (fit.whole or self._has_thing_and_state(fit)):
            return False
        alone = self.alone_share(fit) > HALF
        if fit.score >= ELSEWHERE_FROM:
            return alone or fit.mass >= DISTINCT * self.index.rarest
        return alone and fit.score >= PARTLY_FROM and len(fit.laid) > 1 and fit.has_heaviest

    def _has_thing_and_state(self, fit: Fit) -> bool:
        """Say whether two words are said, or one that is asked for, and not only common ones."""
        told = [self.tokens[place] for place, weight in fit.laid.items() if weight > 0]
        told = [token for token in told if not token.small]
        asked_for = fit.target.wish and not english.ASKS.isdisjoint(self.text.lower().split())
        return len(told) > (not asked_for) and not all(map(is_common, told))

    def alone_share(self, fit: Fit, *, plain: bool = False) -> float:
        """Return which share of the words of its clause lies under a fit itself.

        With `plain`, common words of English do not count.
        """
        here = [
            (place, self.index.weight(token))
            for place, token in enumerate(self.tokens)
            if token.clause == fit.home and not token.small
            if not (plain and is_common(token))
        ]
        total = sum(weight for _, weight in here)
        return sum(weight for place, weight in here if place in fit.laid) / total if total else 1.0

    def only_hinted(self, shown: Iterable[tuple[Fit, Understood]]) -> Iterator[Understood]:
        """Yield what is hinted at and fits no phrase: it is offered."""
        likely = [one for _, one in shown if one.sure >= UNSURE]
        named = {name for one in likely for name in (one.id, *one.shows)}
        for hint in self.hints:
            target = hint.target
            if target.kind is Topic.ELSEWHERE or target.id in named:
                continue
            to = self._record(target)
            yield Understood(
                target.kind, target.id, to.check, to.answer, hint.words, HINTED, target.shows
            )

    def _agreed(self, fit: Fit, sure: float) -> float:
        """Return how sure a fit is, with what the things that are named together hint at.

        One is taken as said where both agree, or where nothing else than its phrase was said.
        """
        meant = {fit.target.id, *fit.target.shows}
        if any(hint.target.id in meant for hint in self.hints):
            return max(sure, SURE_FROM if sure >= AGREED_FROM else HINTED)
        alone = fit.exact and not fit.target.check and self.alone_share(fit, plain=True) > 0.95
        if not self.index.hints or fit.whole or (alone and fit.mass > ENOUGH * self.index.rarest):
            return sure
        return min(sure, UNSURE)

    def _understood(self, fit: Fit, sure: float) -> Understood:
        record = self._record(fit.target)
        target, places = fit.target, set(fit.laid)
        # What hints at the same is said of it, too: 'on dry tarmac' of the road.
        told = hinted_words(self.hints, {target.id, *target.shows})
        places |= {place for place, token in enumerate(self.tokens) if token.word in told}
        words = words_at(self.tokens, places)
        return Understood(
            target.kind, target.id, record.check, record.answer, words, sure, target.shows
        )

    def _record(self, target: Target) -> Record:
        """Return the answer that takes it down; one without a word where it must be asked for.

        The answer that the words hint at is meant, else that which they fit by themselves, unless
        hints tell of it; or the only one there is.
        """
        if target.check:
            return target.records[0]
        ways = [
            record
            for record in target.records
            if self.book is None or record.check in self.book.checks
        ]
        if not ways:
            return Record("", "")
        own = ways[0].check
        hinted_at = [h.target for h in self.hints if h.target.check == own]
        if hinted_at:
            return hinted_at[0].records[0]
        answers = (target for _, target in self.index.hints if target.check)
        unsaid = {record for target in answers for record in target.records[:1]}
        told = [
            other
            for other in self.fits
            if target.id in other.target.shows
            and other.target.check
            and not other.denied
            and other.score >= ANSWER_FROM
            and other.target.records[0] not in unsaid
            and (target.kind is not Topic.COMPLAINT or other.target.check == own)
        ]
        if told:
            return max(told, key=lambda other: other.value).target.records[0]
        here = [record.answer for record in ways if record.check == own]
        plain = target.kind is Topic.COMPLAINT and not target.open
        plain = plain and ("yes" in here or len(here) == 1)
        return Record(own, ("yes" if "yes" in here else here[0]) if plain else "")
