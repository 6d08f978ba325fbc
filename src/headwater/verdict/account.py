"""What is known of why something is there: the records of naming."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Naming(StrEnum):
    """How surely a chain names its origin."""

    PROVEN = "proven"
    PROBABLE = "probable"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class NamedChain:
    """A path from an origin to something found, and how surely it is named."""

    path: tuple[str, ...]
    naming: Naming

    @property
    def origin(self) -> str:
        """The condition that started it."""
        return self.path[0]

    @property
    def found(self) -> str:
        """What was found at its end."""
        return self.path[-1]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A live origin of something found, with its share in explaining it; None is 'not listed'."""

    origin: str | None
    share: float


@dataclass(frozen=True, slots=True)
class Road:
    """A candidate that can still be proven: what is left to see, itself or on its way."""

    candidate: Candidate
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Account:
    """What is known of why one confirmed condition is there.

    `chains` name its origins if they are proven or probable; `candidates` are still live, `roads`
    those that can still be proven; `at_hand` are the checks that may still tell, here or later.
    `hangs_on` is the act without which origins that are otherwise proven would not lead.
    `acceptable` would name its origins as probable, with looks left, if a person takes them so:
    nothing costly or final hangs on it.
    """

    condition: str
    chains: tuple[NamedChain, ...]
    candidates: tuple[Candidate, ...]
    roads: tuple[Road, ...] = ()
    at_hand: tuple[str, ...] = ()
    hangs_on: tuple[str, ...] = ()
    acceptable: tuple[NamedChain, ...] = ()

    @property
    def named(self) -> bool:
        """True when an origin is named."""
        return any(chain.naming is not Naming.OPEN for chain in self.chains)

    @property
    def in_book(self) -> bool:
        """True when the book still has a chain to it."""
        return bool(self.chains) or any(c.origin for c in self.candidates)


def named_origins(accounts: Mapping[str, Account]) -> dict[str, Naming]:
    """Return the named origins; proven wins over probable."""
    named: dict[str, Naming] = {}
    for account in accounts.values():
        for chain in account.chains:
            if chain.naming is Naming.PROVEN or chain.origin not in named:
                named[chain.origin] = chain.naming
    return named
