"""Naming: which origins are behind a finding, and how surely.

The origins that looks confirm, and that have a share of 0.10 or more in the finding, are named
together, if it is reached from them with 0.90 and no live origin beside them keeps 0.10. *Proven*
adds that every condition on the way that can be seen is confirmed, and that this hangs on no single
act: with any one taken away, but those that show the finding itself, they still lead with 0.50.
*Probable* needs no proof of the way, but the looks that could tell used up, and counts a cause that
the book does not list as a rival. A usage is confirmed by a trace of it, never by a word.

A check is at hand as long as it can be made, here or at a later seat, and its answer would tell
something: which origin is behind the finding, or a step of a proof that is still open.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property

from headwater.belief.attribution import Attribution
from headwater.belief.figures import Figures
from headwater.belief.gain import Teller
from headwater.belief.posterior import posterior_without
from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.graph.causal import (
    Graph,
    between,
    causes_of,
    effects_of,
    likeliest_chains,
    narrowed,
)
from headwater.rules.evidence import Weighed
from headwater.rules.status import Status
from headwater.verdict.acts import act_of, acts, at_most_changed, speaks_for
from headwater.verdict.reach import LookState, Stand, is_left

NAMED_FROM = 0.90
RIVAL_FROM = 0.10
LEADS_FROM = 0.50
LIVE_FROM = 0.01
TELLS_FROM = 0.01
"""Bits that a check on the way to a finding must be expected to tell about what is behind it."""
TELLS_ASIDE_FROM = 0.1
"""The same for a check of something aside: what else a candidate would have brought about."""
TELLS_NAMED_FROM = 0.05
"""The same for any check once looks confirm the origins that are named: it must be able to undo it.
"""


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


@dataclass(frozen=True)
class Known:
    """What an origin is named from.

    `live` is the causal graph of what leads to something found or expected, without what is ruled
    out; `solid` the part of it that a proven chain may pass; `provable` the part that one might
    still pass. `cheap` are the conditions that nothing costly or final mends. With `supposed` the
    case is reckoned with, not found: nobody's act is behind it. `without` keeps whose doing each
    finding would be without some checks.
    """

    book: Book
    graph: Graph
    statuses: Mapping[str, Status]
    weighed: Weighed
    figures: Figures
    teller: Teller
    stand: Stand
    deciders: Mapping[str, tuple[Check, ...]]
    touching: Mapping[str, tuple[str, ...]]
    cheap: Collection[str]
    live: Graph
    solid: Graph
    supposed: bool = False
    without: dict[frozenset[str], Attribution] = field(default_factory=dict)

    def status(self, condition: str) -> Status:
        """Return the status of a condition."""
        return self.statuses.get(condition, Status.UNKNOWN)

    def is_usage(self, origin: str) -> bool:
        """Say whether an origin was done to the vehicle, or befell it."""
        record = self.book.conditions[origin].origin
        return record is not None and record.usage

    def is_seen(self, origin: str, condition: str) -> bool:
        """Say whether looks confirm an origin of a condition: a usage by a trace other than it."""
        record = self.book.conditions[origin].origin
        if record is None or self.status(origin) in (Status.RULED_OUT, Status.DISPUTED):
            return False
        if not record.usage:
            return self.status(origin) is Status.CONFIRMED
        traces = (str(trace) for trace in record.traces if trace != condition)
        return any(self.status(trace) is Status.CONFIRMED for trace in traces)

    @cached_property
    def attribution(self) -> Attribution:
        """Return whose doing each finding is."""
        return Attribution(self.figures)

    @cached_property
    def acts(self) -> Mapping[str, tuple[str, ...]]:
        """Return the checks of each act that weighs something."""
        return acts(self.book, self.weighed)

    @cached_property
    def provable(self) -> Graph:
        """Return the part of the graph that a proven chain might still pass."""
        return narrowed(self.live, self._may_be_passed)

    def can_be_made(self, check: Check) -> bool:
        """Say whether a look is left, here or at a later seat."""
        return is_left(check, self.stand)

    def _may_be_passed(self, condition: str) -> bool:
        deciders = self.deciders.get(condition, ())
        record = self.book.conditions[condition].origin
        usage = record is not None and record.usage
        if usage or passable(self.status(condition), deciders):
            return True
        return self.status(condition) is not Status.DISPUTED and any(
            self.can_be_made(check) for check in deciders
        )

    def leads_without(self, act: str, origins: Collection[str], condition: str) -> bool:
        """Say whether some origins still lead to a condition with 0.50, one act taken away.

        What the act says of the condition stays, unless the condition is the origin itself. Only
        what speaks of something that may lead to the condition, or of a trace of such a thing, is
        taken away.
        """
        weighed = self.weighed
        near = effects_of(self.graph, *causes_of(self.graph, condition))
        away = frozenset(
            check
            for check in self.acts[act]
            if not near.isdisjoint(weighed.pairs[check])
            and (condition in origins or not speaks_for(weighed, check, condition))
        )
        return not away or self._leads(away, origins, condition)

    def _leads(self, away: frozenset[str], origins: Collection[str], condition: str) -> bool:
        """Say the same of some checks: by a bound, by worlds weighed anew, else by belief anew."""
        pairs = [self.weighed.pairs[check] for check in sorted(away)]
        share = self.attribution.together(origins, condition, NAMED_FROM).low
        if _still(share, at_most_changed(pairs)):
            return True
        if self.attribution.leads_unweighed(origins, condition, pairs):
            return True
        if away not in self.without:
            left = posterior_without(self.figures.posterior, self.weighed.without(away))
            self.without[away] = Attribution(Figures(left))
        return self.without[away].together(origins, condition, LEADS_FROM).low >= LEADS_FROM


def _still(share: float, changed: float) -> bool:
    """Say whether odds that change by so much at most stay even or better."""
    return share >= LEADS_FROM and share >= changed * (1.0 - share)


def passable(status: Status, checks: Collection[Check]) -> bool:
    """Say whether a proven chain may pass a condition: it is confirmed, or nobody can see it."""
    if status in (Status.RULED_OUT, Status.DISPUTED):
        return False
    return status is Status.CONFIRMED or not checks


def account_for(known: Known, condition: str) -> Account:
    """Return the account of one confirmed condition."""
    shares = _shares(known, condition)
    candidates = tuple(c for c in shares if c.share >= LIVE_FROM)
    named = _named(known, condition, shares)
    paths = likeliest_chains(known.solid, condition)
    hangs_on: tuple[str, ...] = ()
    if named and all(known.is_seen(o, condition) and o in paths for o in named):
        hangs_on = _hangs_on(known, named, condition)
        if not hangs_on or _taken_alone(known, named, condition):
            chains = [NamedChain(paths[origin], Naming.PROVEN) for origin in named]
            ordered = tuple(sorted(chains, key=lambda chain: (len(chain.path), chain.path)))
            return Account(condition, ordered, candidates, hangs_on=hangs_on)
    roads = _roads(known, condition, candidates)
    at_hand = _at_hand(known, condition, candidates, roads, named, single=bool(hangs_on))
    cheap = bool(named) and all(cid in known.cheap for cid in (*named, condition))
    probable = () if at_hand and not cheap else _probable(known, condition, named)
    taken = not at_hand or condition in known.stand.accepted
    return Account(
        condition,
        probable if taken else (),
        candidates,
        roads,
        at_hand,
        hangs_on,
        acceptable=() if taken else probable,
    )


def explained_by_others(known: Known, accounts: Mapping[str, Account]) -> dict[str, Account]:
    """Return the accounts, with signs that origins named for the damage together explain.

    A complaint or a state holds no part: it is explained once it is reached with 0.90 from all that
    is named, however the rest is shared out among rivals.
    """
    named = named_origins(accounts)
    return {cid: _explained(known, account, named) for cid, account in accounts.items()}


def _explained(known: Known, account: Account, named: Collection[str]) -> Account:
    cid = account.condition
    if account.named or known.book.conditions[cid].kind is Nature.DAMAGE:
        return account
    behind = [str(c.origin) for c in account.candidates if c.origin in named]
    together = known.attribution.together
    if not behind or together(behind, cid, NAMED_FROM).low < NAMED_FROM:
        return account
    paths = likeliest_chains(known.live, cid)
    chains = (NamedChain(paths[o], Naming.PROBABLE) for o in behind if o in paths)
    return replace(account, chains=tuple(chains), roads=(), at_hand=(), acceptable=())


def _shares(known: Known, condition: str) -> list[Candidate]:
    """Return the live origins of a condition by share; the rest is 'not listed'."""
    behind = known.attribution.shares(condition)
    shares = [
        Candidate(origin, share)
        for origin, share in behind.items()
        if origin and known.status(origin) is not Status.RULED_OUT
    ]
    shares.append(Candidate(None, behind.get(None, 0.0)))
    return sorted(shares, key=lambda c: (-c.share, c.origin or "~"))


def _named(known: Known, condition: str, shares: Iterable[Candidate]) -> tuple[str, ...]:
    """Return the origins named for a condition, how surely is not yet said; none if not so.

    Where looks confirm none, it is the likeliest, if it is a fault.
    """
    listed = [c for c in shares if c.origin]
    seen = [str(c.origin) for c in listed if c.share >= RIVAL_FROM]
    named = [origin for origin in seen if known.is_seen(origin, condition)]
    if not named:
        named = [o for o in seen[:1] if not known.is_usage(o)]
    if not named or not known.figures.posterior.exact:
        return ()
    together = known.attribution.together
    if together(named, condition, NAMED_FROM).low < NAMED_FROM:
        return ()
    for rival in (str(c.origin) for c in listed if c.origin not in named):
        if together([rival], condition, RIVAL_FROM).high >= RIVAL_FROM:
            return ()
    return tuple(named)


def _hangs_on(known: Known, named: Collection[str], condition: str) -> tuple[str, ...]:
    """Return an act without which the named origins would not lead, if there is one."""
    if known.supposed:
        return ()
    for act in known.acts:
        if not known.leads_without(act, named, condition):
            return (act,)
    return ()


def _taken_alone(known: Known, named: Iterable[str], condition: str) -> bool:
    """Say whether one look is proof enough: the book says so, and nothing costly hangs on it."""
    origins = {cid: known.book.conditions[cid].origin for cid in named}
    said = all(origin is not None and origin.alone for origin in origins.values())
    return said and all(cid in known.cheap for cid in (*origins, condition))


def _probable(known: Known, condition: str, named: Collection[str]) -> tuple[NamedChain, ...]:
    """Return the chains of origins that are probable: the looks are used up, no rival is left."""
    if not named:
        return ()
    if any(known.is_usage(o) and not known.is_seen(o, condition) for o in named):
        return ()
    if known.attribution.together([None], condition, RIVAL_FROM).high >= RIVAL_FROM:
        return ()
    paths = likeliest_chains(known.live, condition)
    found = [paths[origin] for origin in named if origin in paths]
    if len(found) < len(named):
        return ()
    if any(known.status(cid) is Status.DISPUTED for path in found for cid in path):
        return ()
    return tuple(NamedChain(path, Naming.PROBABLE) for path in found)


def _roads(known: Known, condition: str, candidates: Iterable[Candidate]) -> tuple[Road, ...]:
    """Return the candidates that can still be proven, with what is left to see of each."""
    paths = likeliest_chains(known.provable, condition)
    roads = []
    for candidate in candidates:
        path = paths.get(candidate.origin or "")
        left = [c for c in path or () if known.status(c) is not Status.CONFIRMED]
        if path and known.is_usage(path[0]):
            left = [*_traces_left(known, path[0], condition), *(c for c in left if c != path[0])]
        if left:
            roads.append(Road(candidate, tuple(dict.fromkeys(left))))
    return tuple(roads)


def _traces_left(known: Known, usage: str, condition: str) -> list[str]:
    if known.is_seen(usage, condition):
        return []
    origin = known.book.conditions[usage].origin
    assert origin is not None
    decided = (Status.CONFIRMED, Status.RULED_OUT)
    return [str(t) for t in origin.traces if t != condition and known.status(str(t)) not in decided]


def _at_hand(
    known: Known,
    condition: str,
    candidates: Iterable[Candidate],
    roads: Iterable[Road],
    named: Collection[str],
    single: bool,
) -> tuple[str, ...]:
    """Return the looks left that would tell of the cause, or help to prove it.

    Where the proof of the origins named hangs on a `single` act, whatever else speaks of them is
    wanted, too.
    """
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
    seen = bool(named) and all(known.is_seen(origin, condition) for origin in named)
    near, aside = (TELLS_NAMED_FROM,) * 2 if seen else (TELLS_FROM, TELLS_ASIDE_FROM)
    wanted = {c for c, bits in told.items() if bits >= (near if c in on_way else aside)}
    wanted |= {
        check.id
        for road in roads
        if road.candidate.share >= RIVAL_FROM
        for cid in road.left
        for check in known.deciders.get(cid, ())
    }
    wanted |= second_looks(known, named) if single else set()
    return tuple(c for c in sorted(wanted) if known.can_be_made(known.book.checks[c]))


def second_looks(known: Known, origins: Iterable[str]) -> set[str]:
    """Return the checks that speak of some origins in acts of their own, not told yet."""
    made = set(known.acts)
    return {
        check_id
        for origin in origins
        for check_id in known.touching.get(origin, ())
        if known.stand.state(check_id) is not LookState.TOLD
        and act_of(known.book.checks[check_id]) not in made
    }


def named_origins(accounts: Mapping[str, Account]) -> dict[str, Naming]:
    """Return the named origins; proven wins over probable."""
    named: dict[str, Naming] = {}
    for account in accounts.values():
        for chain in account.chains:
            if chain.naming is Naming.PROVEN or chain.origin not in named:
                named[chain.origin] = chain.naming
    return named


def know(
    book: Book,
    graph: Graph,
    statuses: Mapping[str, Status],
    weighed: Weighed,
    teller: Teller,
    figures: Figures,
    stand: Stand,
    deciders: Mapping[str, tuple[Check, ...]],
    touching: Mapping[str, tuple[str, ...]],
    cheap: Collection[str],
    supposed: bool = False,
) -> Known:
    """Return what origins are named from, worked out once for all findings."""
    told = (Status.CONFIRMED, Status.DISPUTED, Status.EXPECTED)
    near = causes_of(graph, *(c for c, status in statuses.items() if status in told))
    live = narrowed(graph, lambda c: c in near and statuses[c] is not Status.RULED_OUT)
    usages = {c for c, record in book.origins.items() if record.origin and record.origin.usage}
    solid = narrowed(live, lambda c: c in usages or passable(statuses[c], deciders.get(c, ())))
    return Known(
        book=book,
        graph=graph,
        statuses=statuses,
        weighed=weighed,
        figures=figures,
        teller=teller,
        stand=stand,
        deciders=deciders,
        touching=touching,
        cheap=cheap,
        live=live,
        solid=solid,
        supposed=supposed,
    )
