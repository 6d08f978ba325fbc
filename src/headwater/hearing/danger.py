"""Signs of danger by the things that are named together: a wheel and that it is off.

People tell of danger in words that no list foresees, but in few of them: a thing, what it does, and
where. An emergency of the book names such words (`words`), which of them tell of it when they stand
near each other (`told`), and what beside them is harmless (`calm`). What is denied or over is none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from headwater.book.spoken import Emergency
from headwater.hearing import english
from headwater.hearing.stems import stem

NEAR, MORE = 7, 5
"""So many words apart, at most, are two things that are said together; so many more a third."""
BESIDE = 3
"""So near to them a calm word makes them harmless."""
REACH = 4
"""So many words before a word may a 'no' stand that denies it."""
MOST = 6
"""So many places of one word are looked at; who says it more often has said it."""


@dataclass(frozen=True, slots=True)
class Name:
    """The ways to say one thing: those said as they are, and those whose words are denied."""

    plain: re.Pattern[str] | None
    denied: re.Pattern[str] | None

    def places(self, text: Text) -> list[int]:
        """Return where in a text it is said, as numbers of words."""
        found = [
            text.starts[match.start()]
            for pattern, denied in ((self.plain, False), (self.denied, True))
            if pattern
            for match in pattern.finditer(text.line)
            if text.denied[text.starts[match.start()]] is denied or match[0] in _ITSELF
        ]
        return sorted(found)[:MOST]


@dataclass(frozen=True, slots=True)
class Text:
    """What is said, in one line: the number of the word that starts at a place, who is denied."""

    line: str
    starts: Mapping[int, int]
    denied: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of danger: names that tell of it together, and what makes them harmless."""

    id: str
    told: tuple[tuple[Name, ...], ...]
    calm: Name


_ITSELF = english.DENY
"""Denials are said as they are, also beside another one."""


def signs_of(emergencies: Iterable[Emergency]) -> tuple[Sign, ...]:
    """Return the signs of danger of a book, the worst first, made ready for listening."""
    found: list[Sign] = []
    for record in emergencies:
        used = {name for one in record.told for name in one.split()}
        names = {name: _name(record.words.get(name, (name,))) for name in used}
        told = tuple(tuple(names[name] for name in one.split()) for one in record.told)
        found.append(Sign(str(record.id), told, _name(record.calm)))
    return tuple(found)


def _name(ways: Iterable[str]) -> Name:
    denied = [way.removeprefix("not ") for way in ways if way.startswith("not ")]
    return Name(_pattern([way for way in ways if not way.startswith("not ")]), _pattern(denied))


def _pattern(ways: Sequence[str]) -> re.Pattern[str] | None:
    """Return a pattern of words as they stand in a line; longer ones are tried first."""
    if not ways:
        return None
    longest = sorted((" ".join(way.split()) for way in ways), key=len, reverse=True)
    said = "|".join(re.escape(way).replace(r"\*", r"\w*").replace(r"\ ", " ") for way in longest)
    return re.compile(rf"(?<!\S)(?:{said})(?!\S)")


def dangers_in(
    signs: Iterable[Sign], said: str, mend: Callable[[str], str | None]
) -> Iterator[str]:
    """Yield the signs of danger that are told in some words, the worst first."""
    told = list(_told(signs, _text(said, lambda _: None)))
    yield from told or _told(signs, _text(said, mend))


def is_calmed(signs: Iterable[Sign], sign: str, said: str) -> bool:
    """Say whether words are among some that make a sign of danger harmless."""
    text = _text(said, lambda _: None)
    if any(over in f" {text.line} " for over in english.OVER):
        return True
    return any(one.calm.places(text) for one in signs if one.id == sign)


def _told(signs: Iterable[Sign], text: Text) -> Iterator[str]:
    if any(over in f" {text.line} " for over in english.OVER):
        return
    for sign in signs:
        heard: dict[int, list[int]] = {}
        for names in sign.told:
            for name in names:
                if id(name) not in heard:
                    heard[id(name)] = name.places(text)
            if _is_told(text, sign, [heard[id(name)] for name in names]):
                yield sign.id
                break


def _text(said: str, mend: Callable[[str], str | None]) -> Text:
    line: list[str] = []
    starts: dict[int, int] = {}
    denied: list[bool] = []
    at, no = 0, -REACH - 1
    for piece in english.pieces(said):
        word = piece
        if not piece[0].isalnum():
            no = -REACH - 1
            word = "|"
        else:
            no = -REACH - 1 if piece in english.PARTS else no
            starts[at] = len(denied)
            denied.append(len(denied) - no <= REACH)
            if piece in english.DENY:
                no = len(denied) - 1
            word = mend(stem(piece)) or piece
        line.append(word)
        at += len(word) + 1
    return Text(" ".join(line), starts, tuple(denied))


def _is_told(text: Text, sign: Sign, places: Sequence[Sequence[int]]) -> bool:
    """Say whether places, one of each name, are near each other and nothing calm is beside."""
    calm = sign.calm.places(text) if all(places) else []
    near = NEAR + MORE * (len(places) - 2)
    for chosen in product(*places):
        first, last = min(chosen), max(chosen)
        if last - first > near or len(set(chosen)) < len(chosen):
            continue
        if not any(first - BESIDE <= place <= last + BESIDE for place in calm):
            return True
    return False
