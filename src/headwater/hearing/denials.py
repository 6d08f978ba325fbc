"""What is said not to be so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from headwater.hearing import english
from headwater.hearing.cover import Covering, Fit
from headwater.hearing.index import Index
from headwater.hearing.reading import Token
from headwater.hearing.targets import Topic

RIVAL_FROM = 0.7
"""A second reading of the same words is offered from this share of the first one's worth."""
SAME_WORDS = 0.6
"""Two readings are of the same words when this share of one lies on those of the other."""
DENIED_SCORE, DENIED_MASS = 0.6, 0.36
"""How much of a thing must be said, and what that must weigh, for a 'no' to be about it."""


@dataclass(frozen=True, slots=True)
class Denied:
    """What was said not to be so, by id, and the words that say it."""

    id: str
    words: str


def denied_fits(
    index: Index, text: str, tokens: Sequence[Token], fits: Sequence[Fit], covering: Covering
) -> Iterator[Fit]:
    """Yield what is said not to be so: what fits the words of a denial best, or nearly."""
    if english.USED_TO.search(text.lower()) or english.WONDERS.search(text.lower()):
        return
    done_badly = english.done_badly(text.lower())
    taken = {fit.target.id for fit in covering.taken}
    nots = [
        fit
        for fit in covering.taken
        if fit.target.shows and any(group.denied for group in fit.phrase.groups)
    ]
    for fit in fits:
        if not fit.denied or fit.score < DENIED_SCORE or fit.mass < DENIED_MASS * index.rarest:
            continue
        if any(fit.shared(one.laid) > SAME_WORDS for one in nots):  # 'will not shift'
            continue
        refused = [tokens[place].stem for place in fit.laid if tokens[place].denied]
        if not refused:
            continue
        if fit.target.kind is Topic.EMERGENCY and index.things.issuperset(refused):
            continue  # a nut that is not there is the danger
        denied = {tokens[place].word for place in fit.laid if tokens[place].denied}
        if any(denied <= badly for badly in done_badly):
            continue
        if len({tokens[place].clause for place, weight in fit.laid.items() if weight > 0}) > 1:
            continue  # 'high never jumps out, it is low that does'
        best = max(other.value for other in fits if other.shared(fit.laid) > SAME_WORDS)
        if fit.target.id not in taken and fit.value >= RIVAL_FROM * best:
            taken.add(fit.target.id)
            yield fit
