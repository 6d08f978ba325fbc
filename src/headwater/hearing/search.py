"""Conditions and checks by plain words, best first: for whoever looks for something in the book.

What is understood of the words comes first; then whatever shares words with them, by how much they
tell. Here nothing is taken as said: somebody chooses.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from headwater.book.model import Condition
from headwater.book.records import Book
from headwater.hearing import english
from headwater.hearing.index import Index
from headwater.hearing.reading import Token
from headwater.hearing.understand import understand

FOUND_FROM = 0.5
"""How well something must fit beside the best to be listed."""
SHARED_FROM = 0.3
"""How much of the words it must share to be listed at all."""
NAMED_FROM = 0.45
"""Sureness from which what is understood goes before what only shares words."""
MOST = 12


def search_conditions(index: Index, text: str, among: Mapping[str, Condition]) -> list[str]:
    """Return the conditions that fit some words, best first; what is called so comes before all."""
    wanted = set(among)
    plain = text.strip().lower()
    named = [cid for cid, record in among.items() if record.title.lower() == plain]
    named += [
        condition
        for one in understand(index, text).understood
        for condition in (one.id, *one.shows)
        if condition in wanted
    ]
    shared = {c: s for c, s in _shared(index, index.read(text)).items() if c in wanted}
    return list(dict.fromkeys([*named, *_best(shared)]))[:MOST]


def search_checks(index: Index, book: Book, text: str, usable: Iterable[str]) -> list[str]:
    """Return the usable checks that fit some words, best first: by what they ask and find."""
    wanted = set(usable)
    said = understand(index, text, book).understood
    named = [one.check for one in said if one.check in wanted and one.sure >= NAMED_FROM]
    tokens = index.read(text)
    scores = {check: s for check, s in _asking(index, tokens).items() if check in wanted}
    return list(dict.fromkeys([*named, *_best(scores)]))[:MOST]


def _best(scores: Mapping[str, float]) -> list[str]:
    best = max(scores.values(), default=0.0)
    found = [name for name, s in scores.items() if s >= max(SHARED_FROM, FOUND_FROM * best)]
    return sorted(found, key=lambda name: (-scores[name], name))


def _weights(index: Index, tokens: Sequence[Token]) -> dict[str, float]:
    """Return what each word weighs, as a share of them all; small ones left out."""
    told = {token.stem: index.weight(token) for token in tokens if not token.small}
    total = sum(told.values())
    return {stem: weight / total for stem, weight in told.items()}


def _shared(index: Index, tokens: Sequence[Token]) -> dict[str, float]:
    """Return how much of some words each condition has in a phrase, and of that phrase said."""
    weights = _weights(index, tokens)
    under: dict[int, dict[int, float]] = {}
    for stem, weight in weights.items():
        for number, group, _ in index.where.get(stem, ()):
            under.setdefault(number, {})[group] = weight
    found: dict[str, float] = {}
    for number, groups in under.items():
        phrase = index.phrases[number]
        target = index.targets[phrase.target]
        if target.check:
            continue
        said = sum(phrase.weights[group] for group in groups) / phrase.total
        score = sum(groups.values()) * (0.7 + 0.3 * said)
        found[target.id] = max(found.get(target.id, 0.0), score)
    return found


def _asking(index: Index, tokens: Sequence[Token]) -> dict[str, float]:
    """Return how much of some words each check has in its question and its answers."""
    weights = _weights(index, tokens)
    words: dict[str, set[str]] = {}
    for target, about in zip(index.targets, index.about, strict=True):
        if target.check:
            words.setdefault(target.check, set()).update(about)
    for stem in weights:
        for number, _, _ in index.where.get(stem, ()):
            target = index.targets[index.phrases[number].target]
            if target.check:
                words[target.check].add(stem)
    return {
        check: sum(weights[stem] for stem in own & weights.keys())
        * (0.8 + 0.2 * len(own & weights.keys()) / len(own))
        for check, own in words.items()
        if own & weights.keys()
    }


def tells_nothing(text: str) -> bool:
    """Say whether a complaint says no more than that there is one.

    >>> tells_nothing("it makes a funny noise"), tells_nothing("it makes a grinding noise")
    (True, False)
    """
    words = [word for word in english.pieces(text) if word[0].isalnum()]
    told = [word for word in words if word not in english.IDLE | english.SMALL]
    return bool(words) and all(word in english.GENERAL | english.VAGUE for word in told)
