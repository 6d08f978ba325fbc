"""Finds checks and conditions by plain words: 'popping out of four low', 'oil spots'."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.case.read import CaseError

_WORD = re.compile(r"[a-z0-9]+")
_IDLE = frozenset([
    "a", "all", "am", "an", "and", "are", "at", "back", "be", "been", "by", "can", "do", "does",
    "down", "for", "from", "get", "gets", "getting", "go", "goes", "going", "had", "has", "have",
    "hear", "heard", "her", "his", "i", "in", "is", "it", "its", "just", "keep", "keeps", "like",
    "little", "make", "makes", "making", "me", "much", "my", "now", "of", "off", "on", "or", "our",
    "out", "over", "really", "since", "so", "some", "sometimes", "that", "the", "them", "then",
    "there", "they", "this", "to", "truck", "under", "up", "vehicle", "very", "want", "wants",
    "was", "we", "were", "what", "when", "while", "with", "you", "your",
])  # fmt: skip
_SAME = {
    "4wd": "four", "4x4": "four", "4": "four", "4l": "low", "4h": "high", "2wd": "two",
    "gearbox": "transmission", "tranny": "transmission", "propshaft": "propeller",
    "driveshaft": "propeller", "leak": "leaks", "speedo": "speed",
    "speedometer": "speed", "tire": "tyre", "tires": "tyre", "fluid": "oil", "popping": "jumps",
    "pops": "jumps", "pop": "jumps", "clunk": "knock", "clunking": "knock", "clunks": "knock",
    "bits": "crumbs", "pieces": "crumbs", "chunks": "crumbs", "light": "lamp", "lights": "lamp",
    "blinks": "flashes", "blinking": "flashes", "wont": "not", "corners": "turns",
    "corner": "turns", "drips": "spots", "dripping": "spots", "shaking": "shakes",
    "vibrates": "vibration", "vibrating": "vibration", "smoking": "smoke", "kicks": "jumps",
}  # fmt: skip
VAGUE = frozenset([
    "broken", "code", "fault", "funny", "issue", "lamp", "noise", "noisy", "odd", "problem",
    "something", "sound", "strange", "thing", "trouble", "weird", "wrong",
])  # fmt: skip
"""Words that tell that there is a complaint, but not which."""
_NOISES = "bang clank clunk crunch drone grind growl howl hum knock rattle thump whine"


def words_of(text: str) -> list[str]:
    """Return the telling words of a text, in plain stems.

    >>> words_of("It pops out of 4 low")
    ['jump', 'four', 'low']
    """
    found = []
    for word in _WORD.findall(text.lower().replace("'", "")):
        word = _SAME.get(word, word)
        if word not in _IDLE:
            found.append(_stem(word))
    return found


def _stem(word: str) -> str:
    for end in ("ing", "es", "ed", "s"):
        if word.endswith(end) and len(word) - len(end) >= 3:
            stem = word[: -len(end)]
            doubled = end in ("ing", "ed") and stem[-1] == stem[-2] and stem[-1] not in "ls"
            return stem[:-1] if doubled else stem
    return word


def is_vague(text: str) -> bool:
    """Say whether a complaint tells no more than that there is one.

    >>> is_vague("it makes a noise"), is_vague("it makes a grinding noise")
    (True, False)
    """
    told = set(_WORD.findall(text.lower())) - _IDLE
    return bool(told) and told <= VAGUE


def search_conditions(book: Book, text: str) -> list[str]:
    """Return the conditions that fit the words best, best first; complaints before the rest."""
    return _search(book, text, list(book.conditions))


def find_condition(book: Book, words: str) -> str:
    """Return the condition that an id or words mean; raises CaseError with the nearest ones."""
    if words in book.conditions:
        return words
    if book.aliases.get(words) in book.conditions:
        return book.aliases[words]
    hits = search_conditions(book, words)
    if len(hits) == 1:
        return hits[0]
    if hits:
        raise CaseError(f"'{words}' may mean {', '.join(hits[:6])}; name one")
    mend = nearest(words, book.conditions) or "; try other words for it"
    raise CaseError(f"there is no condition '{words}'{mend}")


def search_complaints(book: Book, text: str) -> list[str]:
    """Return the complaints that fit the words best, best first; a spread of them if vague."""
    complaints = [cid for cid, record in book.conditions.items() if record.kind == "complaint"]
    if is_vague(text) and re.search(r"nois|sound", text.lower()):
        text = _NOISES
    return _search(book, text, complaints)


def _search(book: Book, text: str, among: list[str]) -> list[str]:
    known = {cid: _texts_of(book, cid) for cid in among}
    asked = words_of(text)
    telling = {
        word: 1.0 / (1.0 + sum(any(word in own for own in texts) for texts in known.values()))
        for word in asked
    }
    scored = []
    for index, (cid, texts) in enumerate(known.items()):
        score = max(_score(telling, own) for own in texts)
        if score > 0:
            complaint = book.conditions[cid].kind == "complaint"
            scored.append((-score - 0.05 * complaint, index, cid))
    best = sorted(scored)[:12]
    return [cid for score, _, cid in best if -score >= 0.5 * -best[0][0]]


def _texts_of(book: Book, condition: str) -> list[frozenset[str]]:
    record = book.conditions[condition]
    own = (record.title, record.plain, condition.replace("-", " "), *record.said)
    return [frozenset(words_of(text)) for text in own if text]


def search_checks(book: Book, text: str, usable: Iterable[str]) -> list[str]:
    """Return the checks whose question or conditions fit the words best, best first."""
    wanted = set(usable)
    near = {cid: rank for rank, cid in enumerate(search_conditions(book, text))}
    evenly = dict.fromkeys(words_of(text), 1.0)
    scored = []
    for index, check in enumerate(book.checks.values()):
        if check.id not in wanted:
            continue
        words = words_of(f"{check.ask} {check.say} {check.id.replace('-', ' ')}")
        own = _score(evenly, frozenset(words))
        about = [near[c] for c in check.speaks_of() if c in near]
        score = own + (0.6 - 0.04 * min(about) if about else 0.0)
        if score > 0.15:
            scored.append((-score, index, check.id))
    return [cid for _, _, cid in sorted(scored)[:9]]


def _score(telling: Mapping[str, float], known: frozenset[str]) -> float:
    """Return how much of the weighed words a text answers, 0 to about 1."""
    if not telling or not known:
        return 0.0
    hits, weight = 0.0, 0.0
    for word, worth in telling.items():
        if word in known:
            hits, weight = hits + 1.0, weight + worth
        elif len(word) > 3 and get_close_matches(word, known, n=1, cutoff=0.84):
            hits, weight = hits + 0.7, weight + 0.7 * worth
    return weight / sum(telling.values()) * (0.8 + 0.2 * min(1.0, hits / len(known)))
