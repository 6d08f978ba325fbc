"""Things that are named together: a wheel and that it is off, an oil and that it drips.

People tell of trouble in words that no list foresees, but in few of them: a thing, what it does,
when and where. The book names such words (`concepts`) and says which of them tell of something when
they stand near each other (`told`), and what beside them means something else (`calm`). A word is
said unless it is denied.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

from headwater.hearing import english

NEAR, MORE = 7, 6
"""So many words apart, at most, are two things that are said together; so many more a third."""
BESIDE = 3
"""So near to them a calm word makes them mean something else."""
REACH = 4
"""So many words before a word may a 'no' stand that denies it."""
MOST = 6
"""So many places of one word are looked at; who says it more often has said it."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """What is said, in one line: the number of the word that starts at a place, who is denied."""

    text: str
    starts: Mapping[int, int]
    denied: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Concept:
    """The ways to say one thing: those said as they are, and those whose words are denied.

    `heads` are the words that they begin with: without one of them nobody need look.
    """

    plain: tuple[str, ...]
    denied: tuple[str, ...]
    heads: frozenset[str]

    def places(self, line: Utterance) -> list[int]:
        """Return where it is said, as numbers of words."""
        found = [
            line.starts[match.start()]
            for ways, denied in ((self.plain, False), (self.denied, True))
            for match in _pattern(ways).finditer(line.text)
            if line.denied[line.starts[match.start()]] is denied
            or match[0].partition(" ")[0] in english.DENY
        ]
        return sorted(found)[:MOST]


@dataclass(frozen=True, slots=True)
class Pointer:
    """What is told by concepts that are named together, unless something calm is beside them."""

    id: str
    told: tuple[tuple[Concept, ...], ...]
    calm: Concept


def concept(ways: Iterable[str]) -> Concept:
    """Return a concept of the ways to say it; `*` is any ending, 'not x' is x denied."""
    said = [" ".join(way.split()) for way in ways]
    denied = tuple(way.removeprefix("not ") for way in said if way.startswith("not "))
    plain = tuple(way for way in said if not way.startswith("not "))
    return Concept(plain, denied, frozenset(way.split()[0] for way in (*plain, *denied)))


@cache
def _pattern(ways: tuple[str, ...]) -> re.Pattern[str]:
    """Return a pattern of words as they stand in a line, longer ones first; made when needed."""
    longest = sorted(ways, key=len, reverse=True)
    said = "|".join(re.escape(way).replace(r"\*", r"\w*").replace(r"\ ", " ") for way in longest)
    return re.compile(rf"(?<!\S)(?:{said})(?!\S)" if ways else r"(?!)")


def sign(
    name: str, told: Iterable[str], calm: Sequence[str], concepts: Mapping[str, Concept]
) -> Pointer:
    """Return a sign: `told` names concepts, or has words that are their own."""
    own = {one for together in told for one in together.split()}
    known = {one: concepts.get(one) or concept((one,)) for one in own}
    return Pointer(
        name,
        tuple(tuple(known[one] for one in together.split()) for together in told),
        concept([*calm, *(f"not {way}" for way in calm)]),  # denied or not, that is spoken of
    )


def listen(said: str, mend: Callable[[str], str | None] = lambda _: None) -> Utterance:
    """Return what is said as a line of words in full; `mend` gives the word behind a slip."""
    words: list[str] = []
    starts: dict[int, int] = {}
    denied: list[bool] = []
    at, no, met = 0, -REACH - 1, False
    for piece in english.pieces(said):
        word = piece
        if not piece[0].isalnum():
            no = -REACH - 1
            word = "|"
        else:
            anew = piece in english.PARTS or (met and piece in english.SUBJECTS)
            no = -REACH - 1 if anew else no
            starts[at] = len(denied)
            denied.append(len(denied) - no <= REACH)
            if piece in english.DENY:
                no, met = len(denied) - 1, False
            else:
                met = met or english.carries(piece)
            word = mend(piece) or piece
        words.append(word)
        at += len(word) + 1
    return Utterance(" ".join(words), starts, tuple(denied))


class Ear:
    """One hearing of a text: where each concept is said is looked for once."""

    def __init__(self, line: Utterance) -> None:
        """Listen to a text."""
        self.line = line
        self._places: dict[int, tuple[Concept, list[int]]] = {}
        words = set(line.text.split())
        starts = {f"{word[:size]}*" for word in words for size in range(1, len(word) + 1)}
        self._heads = words | starts

    def places(self, one: Concept) -> list[int]:
        """Return where a concept is said."""
        if id(one) not in self._places:
            here = not one.heads.isdisjoint(self._heads)
            # Kept with the concept: once that is gone, its id may be another's.
            self._places[id(one)] = one, one.places(self.line) if here else []
        return self._places[id(one)][1]

    def told(self, one: Pointer) -> tuple[int, ...]:
        """Return the places of what is named together for a sign; empty where it is not told."""
        for together in one.told:
            if all(map(self.places, together)) and (found := self._near(one, together)):
                return found
        return ()

    def words(self, places: Iterable[int]) -> str:
        """Return the words at some places, in their order."""
        words = [word for word in self.line.text.split() if word != "|"]
        return " ".join(words[place] for place in sorted(places))

    def is_calmed(self, one: Pointer) -> bool:
        """Say whether words are said, wherever, that make a sign mean something else."""
        return bool(self.places(one.calm))

    def _near(self, one: Pointer, together: Sequence[Concept]) -> tuple[int, ...]:
        near = NEAR + MORE * (len(together) - 2)
        for chosen in product(*map(self.places, together)):
            first, last = min(chosen), max(chosen)
            if last - first > near or len(set(chosen)) < len(chosen):
                continue
            if not any(first - BESIDE <= place <= last + BESIDE for place in self.places(one.calm)):
                return chosen
        return ()


def ears(said: str, mend: Callable[[str], str | None]) -> tuple[Ear, ...]:
    """Return a text as it was said and, where that differs, with its slips mended."""
    plain, mended = listen(said), listen(said, mend)
    return (Ear(plain),) if mended.text == plain.text else (Ear(plain), Ear(mended))
