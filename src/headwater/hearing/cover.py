"""Phrases of the book laid over a sentence: how well each lies, and which of them cover it best."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

from headwater.hearing import english
from headwater.hearing.index import Index, Phrase
from headwater.hearing.reading import Token
from headwater.hearing.stems import stem
from headwater.hearing.targets import Target, Topic

NEXT_PART, NEXT_CLAUSE, FAR_CLAUSE = 0.9, 0.8, 0.5
"""How far a word counts that stands in another clause: a subject carries over."""
TODAY = (Topic.COMPLAINT, Topic.EMERGENCY, Topic.ELSEWHERE)
OTHER_TIME = 0.5
"""How far a word of the past counts for what is so today."""
COVER_FROM = 0.38
"""How much of a phrase must be said before it is looked at."""
NEED_ABOUT = 1.15
"""What words must weigh together before they tell which check an answer belongs to.

As all such weights, beside the rarest word of the book.
"""
BARE_ANSWER = 0.3
"""What an answer is worth when nothing says what it is about."""
BARE_HISTORY = 0.65
"""The same of an answer about what was, where a time is said beside it."""
ABOUT_SHARE = 0.5
"""What the words weigh that an answer is about, beside its own."""
PLACE_WORDS = 2
"""How many words must say what is the matter where an answer only names a place."""
NEW_FROM = 0.4
"""How much of a phrase must lie on words that nothing else has taken."""
DENIED_FROM = 0.3
"""From this share of its words on that stand the other way round, a phrase is denied."""

LIKELY = {Topic.COMPLAINT: 1.15, Topic.FINDING: 1.0, Topic.HISTORY: 0.9}
"""What people tell of most, all else being equal."""
LIKELY |= {Topic.EMERGENCY: 1.0, Topic.ELSEWHERE: 1.0}

APART = 0.8
"""How likely a unit other than the usual one is meant where nothing else is said."""
SOUND = 0.85
"""How likely it is told that something is in order."""
WHOLE, DENIED = 1.5, 0.8
"""What is all that was said is meant; what is said the other way round is meant less likely."""

Home = tuple[int, int]
"""A clause and its part, where a phrase is at home."""

Known = Callable[[Target], bool]


@dataclass(frozen=True, slots=True)
class Fit:
    """A phrase laid over a sentence.

    `score` is how much of the phrase is said, 0 to 1; `laid` what each word of the sentence under
    it weighs, by place; `own` the places in the clause where it is at home; `exact` that all of
    the phrase is said, and `whole` that nothing else is; `about` counts the words of what an answer
    is about; `against` is the share of it that is said the other way round.
    """

    target: Target
    phrase: Phrase
    score: float
    laid: Mapping[int, float]
    own: frozenset[int]
    home: int
    against: float = 0.0
    exact: bool = False
    whole: bool = False
    likely: float = 1.0
    about: int = 0
    mass: float = field(init=False)
    value: float = field(init=False)

    def __post_init__(self) -> None:
        """Work out what its words weigh together, and what it covers, well or badly."""
        mass = sum(self.laid.values())
        worth = mass * self.score**1.5 * LIKELY[self.target.kind] * self.likely
        worth *= WHOLE if self.whole else DENIED if self.denied else 1.0
        object.__setattr__(self, "mass", mass)
        object.__setattr__(self, "value", worth)

    @property
    def denied(self) -> bool:
        """True where the sentence says that it is not so."""
        return self.against >= DENIED_FROM

    @property
    def density(self) -> float:
        """How close together its words stand: 1 where no other word is between them."""
        places = [place for place, weight in self.laid.items() if weight > 0]
        return len(places) / (max(places) - min(places) + 1) if places else 0.0

    @property
    def has_heaviest(self) -> bool:
        """True where the word is said that tells most of the phrase."""
        return max(self.phrase.weights) <= max(self.laid.values(), default=0.0) + 1e-9

    def shared(self, places: Mapping[int, float] | set[int]) -> float:
        """Return which share of it lies on given places."""
        mass = self.mass
        return sum(w for place, w in self.laid.items() if place in places) / mass if mass else 0.0


MOST_TIMES = 12
"""How often a word of a phrase is looked at in one text: who repeats it more says nothing new."""


def lay(index: Index, tokens: Sequence[Token], known: Known, *, asked: bool = False) -> list[Fit]:
    """Return how each phrase lies that is said in good part: the best one of each target.

    Where a question was `asked` nobody needs to say what the answer is about.
    """
    touched = _touched(index, tokens)
    stems = {token.stem: place for place, token in reversed(list(enumerate(tokens)))}
    telling = frozenset(place for place, token in enumerate(tokens) if not token.small)
    alike = any(token.word in english.ALIKE and not token.denied for token in tokens)
    best: dict[int, Fit] = {}
    for number, groups in touched.items():
        phrase = index.phrases[number]
        if sum(phrase.weights[g] for g in groups) < COVER_FROM * phrase.total:
            continue
        if alike and _is_unlike(phrase, groups):
            continue
        if not asked and phrase.state and not phrase.state & groups.keys():
            continue
        target = index.targets[phrase.target]
        if not known(target):
            continue
        fit = _best_home(index, tokens, phrase, groups, {} if asked else stems, telling)
        if fit and (phrase.target not in best or fit.value > best[phrase.target].value):
            best[phrase.target] = fit
    return sorted(best.values(), key=lambda fit: (-fit.value, fit.target.check, fit.target.id))


def _touched(index: Index, tokens: Sequence[Token]) -> dict[int, dict[int, list[int]]]:
    """Return the phrases whose words may make up enough of them, with where each group is said."""
    most: dict[int, float] = {}
    for word in dict.fromkeys(token.stem for token in tokens):
        for number, _, share in index.where.get(word, ()):
            most[number] = most.get(number, 0.0) + share
    enough = {number for number, share in most.items() if share > COVER_FROM - 1e-9}
    touched: dict[int, dict[int, list[int]]] = {}
    for place, token in enumerate(tokens):
        for number, group, _ in index.where.get(token.stem, ()):
            if number not in enough:
                continue
            places = touched.setdefault(number, {}).setdefault(group, [])
            if len(places) < MOST_TIMES:
                places.append(place)
    return touched


_ALIKE = frozenset(stem(word) for word in english.ALIKE)
_UNLIKE = frozenset(stem(word) for word in english.UNLIKE)


def _is_unlike(phrase: Phrase, said: Collection[int]) -> bool:
    """Say whether a phrase tells of things that are not alike, in words that were not said."""
    return any(
        (group.denied and group.stems & _ALIKE) or (group.stems & _UNLIKE and number not in said)
        for number, group in enumerate(phrase.groups)
    )


def _best_home(
    index: Index,
    tokens: Sequence[Token],
    phrase: Phrase,
    groups: Mapping[int, Sequence[int]],
    stems: Mapping[str, int],
    telling: frozenset[int],
) -> Fit | None:
    homes = {
        (tokens[place].clause, tokens[place].part) for places in groups.values() for place in places
    }
    whole = telling <= {place for places in groups.values() for place in places}
    fits = [_lay_at(index, tokens, phrase, groups, stems, home, whole) for home in sorted(homes)]
    return max((fit for fit in fits if fit), key=lambda fit: fit.value, default=None)


def _lay_at(
    index: Index,
    tokens: Sequence[Token],
    phrase: Phrase,
    groups: Mapping[int, Sequence[int]],
    stems: Mapping[str, int],
    home: Home,
    whole: bool,
) -> Fit | None:
    target = index.targets[phrase.target]
    laid: dict[int, float] = {}
    against = said = 0.0
    nones: list[int] = []
    for group, places in groups.items():
        worth = {p: 1.0 if whole else _worth(tokens[p], home, target) for p in places}
        denied = phrase.groups[group].denied
        if denied and group in phrase.denied_things:
            worth = {p: one for p, one in worth.items() if tokens[p].denied}
            if not worth:
                continue
        place = max(worth, key=lambda p: (tokens[p].denied is denied, worth[p]))
        weight = phrase.weights[group] * worth[place]
        laid |= {p: laid.get(p, 0.0) for p in places}  # of a choice, every word said is used up
        laid[place] = max(laid[place], weight)
        said += weight
        if tokens[place].denied is not denied:
            against += weight
            nones += [place] if tokens[place].none else []
    gone = _is_none(tokens, nones, laid)
    opposed = 1.0 if gone else against / said if said else 0.0
    said += _small_words(tokens, phrase, None if whole else home[0]) - (
        against if opposed < DENIED_FROM else 0.0
    )
    score = min(1.0, said / phrase.total)
    if score < COVER_FROM:
        return None
    exact = score > 0.97 and not against
    about = index.about[phrase.target]
    said_words = len(laid)
    if about and stems:
        score *= _about(index, about, tokens, stems, home, target, laid)
    if not (about or phrase.state) and not (exact and (whole or len(laid) > 1)):
        return None
    if (
        stems
        and not phrase.state
        and not _is_told(index, tokens, laid, whole=exact, bare=not about)
    ):
        return None
    own = frozenset(place for place in laid if tokens[place].clause == home[0])
    likely = (APART if phrase.target in index.apart else 1.0) * (SOUND if target.sound else 1.0)
    return Fit(
        target,
        phrase,
        score,
        laid,
        own,
        home[0],
        opposed,
        exact=exact,
        whole=exact and whole,
        likely=likely,
        about=len(laid) - said_words,
    )


def _is_none(tokens: Sequence[Token], nones: Sequence[int], laid: Mapping[int, float]) -> bool:
    """Say whether a 'no' stands before all of it: 'no oil on the garage floor'."""
    first = min(laid, default=0)
    return first in nones and all(
        (tokens[place].clause, tokens[place].part) == (tokens[first].clause, tokens[first].part)
        for place, weight in laid.items()
        if weight > 0
    )


def _is_told(
    index: Index, tokens: Sequence[Token], laid: Mapping[int, float], *, whole: bool, bare: bool
) -> bool:
    """Say whether words that only name a thing are meant: said whole, with what it is about."""
    telling = sum(tokens[place].stem not in index.things for place in laid)
    return whole and (bare or telling >= PLACE_WORDS)


def _worth(token: Token, home: Home, target: Target) -> float:
    apart = abs(token.clause - home[0])
    near = 1.0 if apart == 0 else NEXT_CLAUSE if apart == 1 else FAR_CLAUSE
    near *= NEXT_PART if apart == 0 and token.part != home[1] else 1.0
    other = token.past or (token.dated and target.kind is Topic.ELSEWHERE)
    past = OTHER_TIME if other and target.kind in TODAY else 1.0
    return near * past * token.likeness


def _small_words(tokens: Sequence[Token], phrase: Phrase, home: int | None) -> float:
    if not phrase.small:
        return 0.0
    here = {token.stem for token in tokens if token.small and home in (None, token.clause)}
    return sum(phrase.weights[g] for g in phrase.small if phrase.groups[g].stems & here)


def _about(
    index: Index,
    about: Mapping[str, float],
    tokens: Sequence[Token],
    stems: Mapping[str, int],
    home: Home,
    target: Target,
    laid: dict[int, float],
) -> float:
    """Return how well it is said what an answer is about; its words are laid, too."""
    own = {tokens[place].stem for place in laid}
    weight = 0.0
    for word in about.keys() & stems.keys() - own:
        place = stems[word]
        worth = about[word] * _worth(tokens[place], home, target)
        weight += worth
        laid.setdefault(place, ABOUT_SHARE * worth)
    need = min(NEED_ABOUT * index.rarest, sum(about.values()))
    past = target.kind is Topic.HISTORY and any(
        tokens[place].past or tokens[place].dated for place in laid
    )
    bare = BARE_HISTORY if past else BARE_ANSWER
    return bare + (1.0 - bare) * min(1.0, weight / need if need else 1.0)


@dataclass(slots=True)
class Covering:
    """What covers a sentence best: the fits taken, those denied, and the words under them."""

    taken: list[Fit] = field(default_factory=list)
    denied: list[Fit] = field(default_factory=list)
    places: set[int] = field(default_factory=set)


def cover(fits: Sequence[Fit]) -> Covering:
    """Take the fit that covers most, then what covers most of the words left, and so on."""
    found = Covering()
    left = [fit for fit in fits if fit.target.kind is not Topic.EMERGENCY]
    while left:
        free = {id(fit): 1.0 - fit.shared(found.places) for fit in left}
        left = [fit for fit in left if free[id(fit)] >= NEW_FROM]
        if not left:
            break
        best = max(left, key=lambda fit: fit.value * free[id(fit)])
        (found.denied if best.denied else found.taken).append(best)
        found.places |= best.own
        left = [fit for fit in left if not _same(fit, best)]
    return found


def _same(one: Fit, other: Fit) -> bool:
    """Say whether two fits are of one thing: the same id, or answers to one check."""
    if one.target.id == other.target.id:
        return True
    return bool(one.target.check) and one.target.check == other.target.check
