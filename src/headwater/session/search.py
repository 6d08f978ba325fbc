"""Finds checks and conditions by plain words: 'popping out of four low', 'oil spots'."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches

from headwater.belief.ranking import spoken_of
from headwater.book.load import Book

_WORD = re.compile(r"[a-z0-9]+")
_IDLE = frozenset(
    ["a", "an", "and", "are", "at", "be", "by", "do", "does", "for", "from", "has", "have", "i",
    "in", "is", "it", "its", "my", "of", "on", "or", "out", "so", "that", "the", "then", "there",
    "this", "to", "up", "was", "when", "with", "you", "your"]
)
_SAME = {
    "4wd": "four", "4x4": "four", "4": "four", "2wd": "two", "four-by-four": "four",
    "gearbox": "transmission", "tranny": "transmission", "propshaft": "propeller",
    "driveshaft": "propeller", "leak": "leaks", "noise": "noise", "speedo": "speed",
    "speedometer": "speed", "tire": "tyre", "tires": "tyre", "fluid": "oil", "popping": "jumps",
    "pops": "jumps", "pop": "jumps", "clunk": "knock", "bang": "bang", "bits": "crumbs",
}  # fmt: skip


def words_of(text: str) -> list[str]:
    """Return the telling words of a text, in plain stems.

    >>> words_of("It pops out of 4 low")
    ['jump', 'four', 'low']
    """
    found = []
    for word in _WORD.findall(text.lower()):
        word = _SAME.get(word, word)
        if word not in _IDLE:
            found.append(_stem(word))
    return found


def _stem(word: str) -> str:
    for end in ("ing", "es", "ed", "s"):
        if word.endswith(end) and len(word) - len(end) >= 3:
            return word[: -len(end)]
    return word


def search_conditions(book: Book, text: str) -> list[str]:
    """Return the conditions that fit the words best, best first; complaints before the rest."""
    scored = []
    for index, (cid, record) in enumerate(book.conditions.items()):
        own = (record.title, record.plain, cid.replace("-", " "), *record.synonyms)
        score = max(_score(text, words) for words in own)
        if score > 0:
            scored.append((-score - 0.05 * (record.kind == "complaint"), index, cid))
    best = sorted(scored)[:12]
    return [cid for score, _, cid in best if -score >= 0.5 * -best[0][0]]


def search_checks(book: Book, text: str, usable: Iterable[str]) -> list[str]:
    """Return the checks whose question or conditions fit the words best, best first."""
    wanted = set(usable)
    near = {cid: rank for rank, cid in enumerate(search_conditions(book, text))}
    scored = []
    for index, check in enumerate(book.checks.values()):
        if check.id not in wanted:
            continue
        own = _score(text, f"{check.ask} {check.say} {check.id.replace('-', ' ')}")
        about = [near[c] for c in spoken_of(check) if c in near]
        score = own + (0.6 - 0.04 * min(about) if about else 0.0)
        if score > 0.15:
            scored.append((-score, index, check.id))
    return [cid for _, _, cid in sorted(scored)[:9]]


def _score(query: str, text: str) -> float:
    """Return how much of the query the text answers, 0 to about 1."""
    asked, known = words_of(query), set(words_of(text))
    if not asked or not known:
        return 0.0
    hits = 0.0
    for word in asked:
        if word in known:
            hits += 1.0
        elif len(word) > 3 and get_close_matches(word, known, n=1, cutoff=0.84):
            hits += 0.7
    return hits / len(asked) * (0.8 + 0.2 * min(1.0, hits / len(known)))
