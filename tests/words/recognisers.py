"""Two recognisers of phrases: Headwater's own, and a plain one that knows words by their rarity."""

from __future__ import annotations

import re

from sklearn.feature_extraction.text import TfidfVectorizer

from headwater.book.records import Book
from headwater.hearing.index import build_index
from headwater.hearing.targets import Topic, targets_of
from headwater.hearing.understand import Understood, understand
from words.phrases import Guess

TICK_FROM, OFFER_FROM, ALARM_FROM = 0.5, 0.25, 0.4
"""Likeness from which the plain recogniser takes a thing, offers it, or raises an alarm."""
OFFERED = 3


class Ours:
    """What Headwater understands."""

    def __init__(self, book: Book) -> None:
        """Make a book ready for listening."""
        self.index = build_index(book)

    def guess(self, said: str) -> Guess:
        """Return what is understood of a sentence."""
        found = understand(self.index, said)
        return Guess(
            tuple(_names(one) for one in found.understood if one.ticked),
            tuple(_names(one) for one in found.understood if not one.ticked),
            frozenset(found.denied),
            found.emergency,
            frozenset(found.not_driveline),
        )


def _names(one: Understood) -> frozenset[str]:
    answers = {f"{one.check}{mark}{one.answer}" for mark in (":", ": ", "=")}
    return frozenset({one.id, one.check, *answers, *one.shows})


class Plain:
    """Each clause is compared with all that is said of each thing; the likest ones are taken."""

    def __init__(self, book: Book) -> None:
        """Learn a book's words."""
        self.targets = list(targets_of(book))
        texts = [" . ".join((*t.phrases, t.about)) for t in self.targets]
        self.vectoriser = TfidfVectorizer(ngram_range=(1, 2), sublinear_tf=True)
        self.matrix = self.vectoriser.fit_transform(texts)

    def guess(self, said: str) -> Guess:
        """Return what is likest to each clause of a sentence."""
        ticked: list[frozenset[str]] = []
        offered: list[frozenset[str]] = []
        danger, elsewhere = None, set()
        for clause in re.split(r"[,.;]|\band\b|\bbut\b|\bsince\b", said.lower()):
            if not clause.strip():
                continue
            likeness = (self.matrix @ self.vectoriser.transform([clause]).T).toarray().ravel()
            best = likeness.argsort()[::-1][:OFFERED]
            for rank, number in enumerate(best):
                target, like = self.targets[number], likeness[number]
                if target.kind is Topic.EMERGENCY:
                    danger = danger or (target.id if like >= ALARM_FROM else None)
                elif target.kind is Topic.ELSEWHERE:
                    elsewhere |= {target.id} if like >= ALARM_FROM else set()
                elif like >= TICK_FROM and rank == 0:
                    ticked.append(frozenset({target.id, target.check, *target.shows}))
                elif like >= OFFER_FROM:
                    offered.append(frozenset({target.id, target.check, *target.shows}))
        return Guess(tuple(ticked), tuple(offered), frozenset(), danger, frozenset(elsewhere))
