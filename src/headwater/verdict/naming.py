"""Naming: which origin is behind a finding, and how surely.

*Proven*: the origin is confirmed, and so is every condition on the way that can be seen (or its
check was answered 'cannot be seen any more'). An origin that the book also knows as an effect of
other origins is proven only when none of those is left. *Probable*: the checks at hand are used up,
its probability is at least 0.90, no rival keeps 0.10, and the sums behind the figure left nothing
out.

A check is at hand as long as it can be made, here or at a later seat, and its answer would tell
something: which source is behind the finding, or a step of a proof that is still open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from headwater.belief.figures import Figures
from headwater.belief.gain import Teller
from headwater.belief.worlds import Root
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.graph.causal import Graph, between, causes_of, likeliest_chains, narrowed
from headwater.rules.status import Status
from headwater.verdict.reach import Stand, cannot_be_seen, reachable_later

PROBABLE_FROM = 0.90
RIVAL_FROM = 0.10
LIVE_FROM = 0.01
TELLS_FROM = 0.01
"""Bits that a check on the way to a finding must be expected to tell about what is behind it."""
TELLS_ASIDE_FROM = 0.1
"""The same for a check of something aside: what else a candidate would have brought about."""


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

    `chains` names its origin if any is proven or probable; `candidates` are still live, `roads`
    those that can still be proven; `at_hand` are the checks that may still tell, here or later.
    """

    condition: str
    chains: tuple[NamedChain, ...]
    candidates: tuple[Candidate, ...]
    roads: tuple[Road, ...] = ()
    at_hand: tuple[str, ...] = ()

    @property
    def named(self) -> bool:
        """True when an origin is named."""
        return any(chain.naming is not Naming.OPEN for chain in self.chains)

    @property
    def in_book(self) -> bool:
        """True when the book still has a chain to it."""
        return bool(self.chains) or any(c.origin for c in self.candidates)


@dataclass(frozen=True)
class Known:
    """What an origin is named from.

    `live` is the causal graph of what leads to something found or expected, without what is ruled
    out; `solid` the part of it that a proven chain may pass; `provable` the part that one might
    still pass; `starters` the origins that are confirmed to have started by themselves.
    """

    book: Book
    graph: Graph
    statuses: Mapping[str, Status]
    figures: Figures
    teller: Teller
    stand: Stand
    deciders: Mapping[str, tuple[Check, ...]]
    touching: Mapping[str, tuple[str, ...]]
    live: Graph
    solid: Graph
    starters: frozenset[str]

    def status(self, condition: str) -> Status:
        """Return the status of a condition."""
        return self.statuses.get(condition, Status.UNKNOWN)

    @cached_property
    def provable(self) -> Graph:
        """Return the part of the graph that a proven chain might still pass."""
        return narrowed(self.live, self._may_be_passed)

    def can_be_made(self, check: Check) -> bool:
        """Say whether a check is not answered and can be made, here or at a later seat."""
        return check.id not in self.stand.answered and reachable_later(check, self.stand)

    def _may_be_passed(self, condition: str) -> bool:
        deciders = self.deciders.get(condition, ())
        if passable(self.status(condition), deciders, self.stand):
            return True
        return self.status(condition) is not Status.DISPUTED and any(
            self.can_be_made(check) for check in deciders
        )


def know(
    book: Book,
    graph: Graph,
    statuses: Mapping[str, Status],
    figures: Figures,
    teller: Teller,
    stand: Stand,
    deciders: Mapping[str, tuple[Check, ...]],
    touching: Mapping[str, tuple[str, ...]],
) -> Known:
    """Return what origins are named from, worked out once for all findings."""
    told = (Status.CONFIRMED, Status.DISPUTED, Status.EXPECTED)
    near = causes_of(graph, *(c for c, status in statuses.items() if status in told))
    live = narrowed(graph, lambda c: c in near and statuses[c] is not Status.RULED_OUT)
    solid = narrowed(live, lambda c: passable(statuses[c], deciders.get(c, ()), stand))
    confirmed = [c for c in book.origins if statuses[c] is Status.CONFIRMED]
    starters = frozenset(
        c for c in confirmed if not any(up in book.origins for up in causes_of(live, c) - {c})
    )
    return Known(
        book,
        graph,
        statuses,
        figures,
        teller,
        stand,
        deciders,
        touching,
        live,
        solid,
        starters,
    )


def passable(status: Status, checks: Iterable[Check], stand: Stand) -> bool:
    """Say whether a proven chain may pass a condition: it is confirmed, or cannot be seen."""
    if status is Status.CONFIRMED:
        return True
    if status in (Status.RULED_OUT, Status.DISPUTED):
        return False
    return all(cannot_be_seen(check, stand) for check in checks)


def account_for(known: Known, condition: str) -> Account:
    """Return the account of one confirmed condition."""
    shares = _shares(known, condition)
    proven = [
        NamedChain(path, Naming.PROVEN)
        for origin, path in likeliest_chains(known.solid, condition).items()
        if origin in known.starters
    ]
    candidates = tuple(c for c in shares if c.share >= LIVE_FROM)
    if proven:
        ordered = sorted(proven, key=lambda chain: (len(chain.path), chain.path))
        return Account(condition, tuple(ordered), candidates)
    roads = _roads(known, condition, candidates)
    at_hand = _at_hand(known, condition, candidates, roads)
    named = _probable(known, condition, shares, at_hand)
    return Account(condition, named, candidates, roads, at_hand)


def _shares(known: Known, condition: str) -> list[Candidate]:
    """Return the live origins of a condition by share; the rest is 'not listed'."""
    shares: list[Candidate] = []
    unlisted = 1.0 - known.figures.posterior.reached(condition, listed_only=True)
    for source, share in known.figures.posterior.explains(condition).items():
        if not source.unlisted and known.status(source.condition) is not Status.RULED_OUT:
            shares.append(Candidate(source.condition, share))
    shares.append(Candidate(None, max(0.0, unlisted)))
    return sorted(shares, key=lambda c: (-c.share, c.origin or "~"))


def _probable(
    known: Known, condition: str, shares: list[Candidate], at_hand: tuple[str, ...]
) -> tuple[NamedChain, ...]:
    best, *rivals = shares
    if at_hand or best.origin is None or not known.figures.posterior.exact:
        return ()
    path = likeliest_chains(known.live, condition).get(best.origin)
    if not path or any(known.status(cid) is Status.DISPUTED for cid in path):
        return ()
    if not _outweighs(known, condition, best.origin, rivals):
        return ()
    return (NamedChain(path, Naming.PROBABLE),)


def _outweighs(known: Known, condition: str, best: str, rivals: Iterable[Candidate]) -> bool:
    """Say whether an origin has 0.90 for certain, and each rival less than 0.10 for certain."""
    share = known.figures.share
    if share([Root(best)], condition, PROBABLE_FROM).low < PROBABLE_FROM:
        return False
    listed = [Root(origin) for origin in known.figures.posterior.worlds.network.priors]
    for rival in rivals:
        if rival.origin:
            most = share([Root(rival.origin)], condition, RIVAL_FROM).high
        else:
            most = 1.0 - share(listed, condition, 1.0 - RIVAL_FROM).low
        if most >= RIVAL_FROM:
            return False
    return True


def _roads(known: Known, condition: str, candidates: Iterable[Candidate]) -> tuple[Road, ...]:
    """Return the candidates that can still be proven, with what is left to see of each."""
    paths = likeliest_chains(known.provable, condition)
    return tuple(
        Road(candidate, left)
        for candidate in candidates
        if (path := paths.get(candidate.origin or ""))
        and (left := tuple(c for c in path if known.status(c) is not Status.CONFIRMED))
    )


def _at_hand(
    known: Known, condition: str, candidates: Iterable[Candidate], roads: Iterable[Road]
) -> tuple[str, ...]:
    """Return the unanswered checks that would tell of the cause, or help to prove it."""
    origins = [c.origin for c in candidates if c.origin]
    if not origins:
        return ()
    decided = (Status.CONFIRMED, Status.RULED_OUT)
    on_way = {
        check_id
        for cid in between(known.live, origins, condition)
        if known.status(cid) not in decided
        for check_id in known.touching.get(cid, ())
    }
    told = known.teller.about((condition,))
    wanted = {
        check_id
        for check_id, bits in told.items()
        if bits >= (TELLS_FROM if check_id in on_way else TELLS_ASIDE_FROM)
    }
    wanted |= {
        check.id
        for road in roads
        if road.candidate.share >= RIVAL_FROM
        for cid in road.left
        for check in known.deciders.get(cid, ())
    }
    return tuple(c for c in sorted(wanted) if known.can_be_made(known.book.checks[c]))


def named_origins(accounts: Mapping[str, Account]) -> dict[str, Naming]:
    """Return the named origins; proven wins over probable."""
    named: dict[str, Naming] = {}
    for account in accounts.values():
        for chain in account.chains:
            if chain.naming is Naming.PROVEN or chain.origin not in named:
                named[chain.origin] = chain.naming
    return named
