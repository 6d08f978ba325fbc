"""Small talk: words that were not understood, and that tell no trouble all the same."""

from __future__ import annotations

import re
from collections.abc import Iterable

from headwater.hearing import english
from headwater.hearing.reading import MOST_HEARD

TROUBLING = english.words(
    """
    noise noises sound sounds wrong worse stop stops stopped stopping loud louder quiet hard soft
    weird strange funny odd move moves moved moving run runs running ran pipe slow slowly turn
    turned full empty too enough much together away easy thing unit worry fast quick quickly
    bad badly nasty awful horrible terrible problem problems issue issues trouble fault
    worried suddenly
    """
)
"""Common words that may be part of what is the matter."""

USUAL = english.words("normal usual ordinary regular typical natural harmless unchanged")
"""Words that call something usual, unless they are denied: 'that is not normal'."""

_NUMBER = re.compile(r"(?![0-9]*0[0-9]{3}$)[0-9][0-9.,]*(?:k|km|kms|mi|miles|am|pm|th|st|nd|rd)?")
"""An amount or a date; four digits with a nought before them are a code."""
_NAMES = (
    re.compile(
        r"\b(?:[Mm]r|[Mm]rs|[Mm]s|[Mm]iss|[Dd]r|[Uu]ncle|[Aa]unt|name is|name's|called|this is"
        r"|by|for|from|with|near|in|at|sister|brother|husband|wife|son|daughter|friend|colleague)"
        r" (?:the )?([A-Z][a-z]+)(?: ([A-Z][a-z]+))?\b"
    ),
    re.compile(r"\b([A-Z][a-z]+) (One|Two|Three|Four|Five|Six|Seven|Eight|Nine|Ten)\b"),
    re.compile(r"\b([A-Z][a-z]+)(?: [A-Z][a-z]+)?(?: here\b| speaking\b| drives it| owns it)"),
)
"""A name as it is written: with a capital, and with what comes before a name, or after it."""


def harmless(said: Iterable[str], talk: frozenset[str]) -> frozenset[str]:
    """Return the words that tell no trouble, with `talk` and by the sentences that were said.

    What stands behind the first `MOST_HEARD` signs of a sentence tells nothing of its words.
    """
    sentences = tuple(sentence[:MOST_HEARD] for sentence in said)
    names = {name.lower() for sentence in sentences for name in _names(sentence)}
    plain = english.GENERAL | english.IDLE | english.NAMES_NO_STATE | talk
    return (plain - TROUBLING) | names | _reassuring(sentences)


def may_tell(words: str, quiet: frozenset[str]) -> bool:
    """Say whether words not placed may tell of trouble: any but numbers and some `quiet` words.

    >>> quiet = harmless((), frozenset({"appointment"}))
    >>> may_tell("tuesday appointment", quiet), may_tell("yowlps tuesday", quiet)
    (False, True)
    """
    told = [word for word in english.pieces(words) if word[0].isalnum()]
    if english.DENY.issuperset(told):
        return False  # a bare 'no'; beside any other word it denies that
    return not all(word in quiet or _NUMBER.fullmatch(word) for word in told)


def _reassuring(said: Iterable[str]) -> frozenset[str]:
    """Return the words that call something usual; none where one is denied or compared."""
    turned = (frozenset(english.pieces(one)) for one in said)
    told = [one for one in turned if one & USUAL]
    return frozenset() if any(one & (english.DENY | {"than"}) for one in told) else USUAL


def _names(sentence: str) -> Iterable[str]:
    found = (match.groups() for one in _NAMES for match in one.finditer(sentence))
    return (name for names in found for name in names if name)
