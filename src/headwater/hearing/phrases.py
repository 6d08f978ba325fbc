"""A phrase of the book, ready to be found in what is said."""

from __future__ import annotations

import re
from dataclasses import dataclass

from headwater.hearing.reading import Same, Token, read_text

_LIST = re.compile(r",\s*(?:or\s+)?|\s+or\s+|;\s*")
_OR = re.compile(r"\s+or\s+|;")

MOST_GROUPS = 40
"""Groups of one phrase: nobody says more of one thing, whatever a pack has for its title."""


@dataclass(frozen=True, slots=True)
class Group:
    """Words of a phrase of which one is enough: 'hops, binds or skips'."""

    stems: frozenset[str]
    denied: bool = False
    small: bool = False

    @property
    def tells(self) -> bool:
        """False where it is a word of direction only."""
        return not self.small


def groups_of(text: str, same: Same, *, lists: bool = False) -> tuple[Group, ...]:
    """Return what a phrase says, as groups; each stem once.

    With `lists`, words parted by commas alone are a choice too, as in an answer to a check.
    """
    choice = lists or " or " in f" {text} "
    found: list[list[Token]] = []
    for token in read_text(text, same):
        telling = [tokens for tokens in found if not tokens[0].small]
        if choice and token.joined and telling and not token.small:
            telling[-1].append(token)
        else:
            found.append([token])
    groups: dict[frozenset[str], Group] = {}
    for tokens in found:
        stems = frozenset(token.stem for token in tokens)
        if stems not in groups or tokens[0].denied:  # 'light says 4wd, but no 4wd' is about that
            groups[stems] = Group(stems, tokens[0].denied, tokens[0].small)
    return tuple(groups.values())[:MOST_GROUPS]


def sides_of(text: str) -> list[str]:
    """Return each side of a phrase's 'or', for where both say something by themselves.

    >>> sides_of("speedometer jumps or the cruise control drops out")
    ['speedometer jumps', 'the cruise control drops out']
    """
    sides = _OR.split(text)
    return sides if len(sides) > 1 else []


def looks_of(text: str) -> list[str]:
    """Return each of the looks that an answer lists: one of them is enough.

    >>> looks_of("dark, melted, or gone with a charred rest")
    ['dark', 'melted', 'gone with a charred rest']
    """
    looks = [look.removeprefix("or ") for look in _LIST.split(text)]
    return looks if len(looks) > 1 else []
