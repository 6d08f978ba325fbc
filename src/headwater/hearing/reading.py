"""A text as tokens: stems with their clause, and whether they are denied or tell of the past."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from headwater.hearing import english
from headwater.hearing.stems import stem

MOST_HEARD = 4_000
"""Signs of a text that are listened to: a long letter. Beyond, it is told and not placed."""
MENDED = 0.85
"""What a word is worth whose spelling was mended."""


@dataclass(frozen=True, slots=True)
class Same:
    """Words that mean the same: stems of a phrase -> stems of the trade's word.

    `sizes` says how many words the phrases have that begin with a stem, most first.
    """

    words: Mapping[tuple[str, ...], tuple[str, ...]]
    sizes: Mapping[str, tuple[int, ...]]

    def longest(self, stems: Sequence[str], at: int) -> int:
        """Return how many words from a place on stand for another; 0 if none do."""
        for size in self.sizes.get(stems[at], ()):
            if tuple(stems[at : at + size]) in self.words:
                return size
        return 0


class Token(NamedTuple):
    """One telling word: its stem, the word as written, its clause, and how it stands there.

    A clause has parts: 'it rattles | when I lift off'. What is `past` comes after a 'since'; what
    is `dated` has a time beside it, as in 'last week'.
    `likeness` is below 1 where the spelling was mended. `joined` is true where only a comma or an
    'or' parts it from the token before. `none` is true where a 'no' stands right before it.
    `calm` is true where its piece of the sentence says that nothing is the matter there, `guess`
    where its clause, or the one before an 'or', says that it is supposed.
    """

    stem: str
    word: str
    clause: int = 0
    part: int = 0
    denied: bool = False
    past: bool = False
    dated: bool = False
    small: bool = False
    joined: bool = False
    likeness: float = 1.0
    none: bool = False
    calm: bool = False
    guess: bool = False


def same_words(terms: Iterable[tuple[str, Iterable[str]]]) -> Same:
    """Return the table of words that mean the same, from the trade's words with what is said."""
    found: dict[tuple[str, ...], tuple[str, ...]] = {}
    sizes: dict[str, set[int]] = {}
    for term, said in terms:
        words = [w for w in english.pieces(term.replace("-", " ")) if w[0].isalnum()]
        own = tuple(stem(word) for word in words if word not in _NO_SUBJECT)
        for phrase in (term.replace("-", " "), *said):
            stems = _stems(phrase)
            found[stems] = own
            sizes.setdefault(stems[0], set()).add(len(stems))
    return Same(found, {first: tuple(sorted(n, reverse=True)) for first, n in sizes.items()})


def _stems(text: str) -> tuple[str, ...]:
    return tuple(stem(word) for word in english.pieces(text) if word[0].isalnum())


def read_text(
    text: str, same: Same, mend: Callable[[str], str | None] | None = None
) -> tuple[Token, ...]:
    """Return the telling words of a text.

    `mend` gives the known word that an unknown one is a slip of, or None where it is none.
    """
    calm: set[tuple[int, int]] = set()
    tokens = tuple(_tokens(_alike(english.pieces(text), same, mend), calm))
    guessed = english.supposed(text.lower())
    if guessed:
        tokens = tuple(t._replace(guess=any(t.word in piece for piece in guessed)) for t in tokens)
    if calm:
        tokens = tuple(t._replace(calm=(t.clause, t.part) in calm) for t in tokens)
    dated = {token.clause for token in tokens if token.word in english.DATES}
    if not dated:
        return tokens
    return tuple(token._replace(dated=token.clause in dated) for token in tokens)


def stems_of(text: str, same: Same) -> frozenset[str]:
    """Return the stems of the telling words of a text, without those of direction."""
    return frozenset(
        plain
        for word, plain, _ in _alike(english.pieces(text), same, None)
        if plain != word or word not in _NO_SUBJECT
        if word[0].isalnum()
    )


def telling(text: str) -> tuple[str, ...]:
    """Return the stems of the telling words of a text in their order, each once.

    >>> telling("The pads of the range fork are worn")
    ('pad', 'rang', 'fork', 'worn')
    """
    nothing = Same({}, {})
    words = (t.stem for t in read_text(text.replace("-", " "), nothing) if not t.small)
    return tuple(dict.fromkeys(words))


_NO_SUBJECT = english.IDLE | english.SMALL | english.DENY | english.PARTS | english.TURNS


def _alike(
    pieces: list[str], same: Same, mend: Callable[[str], str | None] | None
) -> Iterator[tuple[str, str, float]]:
    """Yield each word or mark with what it stands for, and its likeness to that.

    Phrases are turned into the trade's words; a word that stands for no other is its own stem.
    """
    plain = [stem(piece) for piece in pieces]
    likeness = [1.0] * len(pieces)
    if mend:
        for at, word in enumerate(plain):
            if word[0].isalnum() and (known := mend(word)):
                plain[at], likeness[at] = known, MENDED
    at = 0
    while at < len(pieces):
        size = same.longest(plain, at)
        if size:
            word = " ".join(pieces[at : at + size])
            for one in same.words[tuple(plain[at : at + size])]:
                yield word, one, min(likeness[at : at + size])
            at += size
        else:
            yield pieces[at], plain[at], likeness[at]
            at += 1


def _tokens(
    pieces: Iterator[tuple[str, str, float]], calm: set[tuple[int, int]]
) -> Iterator[Token]:
    """Yield the tokens; put into `calm` the pieces that say that nothing is the matter there."""
    clause = part = 0
    told_here = denied = met = past = joined = none = False
    for word, plain, likeness in pieces:
        if word == "or":  # 'no shudder or groan' denies both
            joined = True
            continue
        if word in _LEADS:
            if word not in english.TURNS:
                clause += told_here and word not in english.DENY
                told_here = told_here and word in english.DENY
            part = part + 1 if word in english.TURNS else part
            past = word in english.SINCE or (past and word in _KEEPS_PAST)
            denied, met, none = word in english.DENY, False, word in english.NONE
            joined = word == ","
            continue
        if denied and met and english.ends_denial(word):
            denied = False
        if word in english.NOTHING_HERE and not denied:
            calm.add((clause, part))
        if word in english.IDLE or (len(word) == 1 and word.isalpha()):
            continue
        small = word in english.SMALL
        yield Token(plain, word, clause, part, denied, past, False, small, joined, likeness, none)
        told_here = True
        none = none and word in english.GENERAL
        if not small:
            met, joined = True, False


_MARKS = frozenset(",.;:!?()–—\n")
_KEEPS_PAST = english.DENY | english.TURNS
_LEADS = _MARKS | english.DENY | english.TURNS | english.PARTS | english.SINCE | {" - "}


def words_at(tokens: Sequence[Token], places: Iterable[int]) -> str:
    """Return the words at some places of a text, each once, in their order."""
    return " ".join(dict.fromkeys(tokens[place].word for place in sorted(places)))
