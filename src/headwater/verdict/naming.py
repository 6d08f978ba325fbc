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

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from headwater.book.tables import Nature
from headwater.graph.causal import (
    between,
    likeliest_chains,
)
from headwater.rules.status import Status
from headwater.verdict.account import Account, Candidate, NamedChain, Naming, Road, named_origins
from headwater.verdict.acts import act_of
from headwater.verdict.known import NAMED_FROM, Known
from headwater.verdict.reach import LookState

RIVAL_FROM = 0.10
LIVE_FROM = 0.01
LOOKED_AT_FROM = 0.05
"""Share from which what else is outside the unit is looked at before a usage is proven."""
TELLS_FROM = 0.01
"""Bits that a check on the way to a finding must be expected to tell about what is behind it."""
TELLS_ASIDE_FROM = 0.1
"""The same for a check of something aside: what else a candidate would have brought about."""
TELLS_NAMED_FROM = 0.05
"""The same for any check once looks confirm the origins that are named: it must be able to undo it.
"""


def account_for(known: Known, condition: str) -> Account:
    """Return the account of one confirmed condition."""
    shares = _shares(known, condition)
    candidates = tuple(c for c in shares if c.share >= LIVE_FROM)
    named = _named(known, condition, shares)
    paths = likeliest_chains(known.solid, condition)
    hangs_on: tuple[str, ...] = ()
    unseen = _not_looked_at(known, candidates, named)
    if named and not unseen and all(known.is_seen(o, condition) and o in paths for o in named):
        hangs_on = _hangs_on(known, named, condition)
        if not hangs_on or _taken_alone(known, named, condition):
            chains = [NamedChain(paths[origin], Naming.PROVEN) for origin in named]
            ordered = tuple(sorted(chains, key=lambda chain: (len(chain.path), chain.path)))
            return Account(condition, ordered, candidates, hangs_on=hangs_on)
    roads = _roads(known, condition, candidates)
    more = second_looks(known, named) if hangs_on else unseen
    at_hand = _at_hand(known, condition, candidates, roads, named, more)
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
    """Return the accounts, with what origins named for other findings explain as well.

    A complaint or a state holds no part: it is explained once it is reached with 0.90 from all that
    is named, however the rest is shared out among rivals. A usage that is proven elsewhere is what
    led to its own trace, too, if nothing else may have.
    """
    named = named_origins(accounts)
    return {cid: _explained(known, account, named) for cid, account in accounts.items()}


def _explained(known: Known, account: Account, named: Mapping[str, Naming]) -> Account:
    cid = account.condition
    if account.named:
        return _mended_first(known, account, named)
    behind = [str(c.origin) for c in account.candidates if c.origin in named]
    behind = [o for o in behind if not known.is_usage(o) or named[o] is Naming.PROVEN]
    rivals: list[str] = []
    if known.book.conditions[cid].kind is Nature.DAMAGE:
        behind = [o for o in behind if known.is_usage(o)]
        rivals = [c.origin for c in account.candidates if c.origin and c.origin not in behind]
    together = known.attribution.together
    if not behind or together(behind, cid, NAMED_FROM).low < NAMED_FROM:
        return account
    if any(together([rival], cid, RIVAL_FROM).high >= RIVAL_FROM for rival in rivals):
        return account
    paths = likeliest_chains(known.live, cid)
    chains = (NamedChain(paths[o], Naming.PROBABLE) for o in behind if o in paths)
    return replace(account, chains=tuple(chains), roads=(), at_hand=(), acceptable=())


def _mended_first(known: Known, account: Account, named: Mapping[str, Naming]) -> Account:
    """Return the account of a complaint with proven faults in place of how the unit is by design.

    Nobody is told that a noise is usual while a fault that may make it is there: it is put right,
    and the noise heard once more.
    """
    complaint = known.book.conditions[account.condition].kind is Nature.COMPLAINT
    kept = tuple(chain for chain in account.chains if chain.origin not in known.by_design)
    if not complaint or len(kept) == len(account.chains):
        return account
    paths = likeliest_chains(known.live, account.condition)
    proven = (c.origin for c in account.candidates if named.get(c.origin or "") is Naming.PROVEN)
    faults = [o for o in proven if o in paths and o not in known.by_design]
    kept = kept or tuple(
        NamedChain(paths[o], Naming.PROBABLE) for o in faults if not known.is_usage(o)
    )
    return replace(account, chains=kept) if kept else account


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
    rivals = [str(c.origin) for c in listed if c.origin not in named]
    named = _began_there(known, named)
    if together(named, condition, NAMED_FROM).low < NAMED_FROM:
        return ()
    if any(together([rival], condition, RIVAL_FROM).high >= RIVAL_FROM for rival in rivals):
        return ()
    return tuple(named)


def _began_there(known: Known, named: Sequence[str]) -> list[str]:
    """Return origins without those that the others led to: what has a cause did not begin there.

    A worn joint is an origin where nothing is known of why, and none beside its dry needles.
    """
    kept = list(named)
    for origin in named:
        others = [one for one in kept if one != origin]
        if others and known.attribution.together(others, origin, NAMED_FROM).low >= NAMED_FROM:
            kept = others
    return kept


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
    """Return the chains of origins that are probable: the looks are used up, no rival is left.

    A usage never is: it is proven by what it left behind, or it is told and no more.
    """
    if not named:
        return ()
    if any(known.is_usage(o) for o in named):
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
    more: Collection[str],
) -> tuple[str, ...]:
    """Return the looks left that would tell of the cause, or help to prove it; `more` in any case.

    These are what else speaks of the origins named where their proof hangs on a single act, or the
    looks at what may have done the same to the vehicle.
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
    wanted |= set(more)
    return tuple(c for c in sorted(wanted) if known.can_be_made(known.book.checks[c]))


def _not_looked_at(
    known: Known, candidates: Iterable[Candidate], named: Collection[str]
) -> tuple[str, ...]:
    """Return looks at what else, outside the unit, may have done what a usage is named for.

    A usage leaves marks that something else about the vehicle may leave as well: nothing is proven
    before one look at that told something: nobody's not knowing is such a look.
    """
    if not any(known.is_usage(origin) for origin in named):
        return ()
    return tuple(
        check.id
        for rival in (c.origin for c in candidates if c.share >= LOOKED_AT_FROM)
        if rival
        and rival not in named
        and known.is_outside(rival)
        and not any(_is_told(known, c) for c in known.touching.get(rival, ()))
        for check in known.deciders.get(rival, ())
        if known.can_be_made(check)
    )


def _is_told(known: Known, check_id: str) -> bool:
    return known.stand.state(check_id) is LookState.TOLD


def second_looks(known: Known, origins: Iterable[str]) -> set[str]:
    """Return the checks that speak of some origins in acts of their own, not told yet."""
    made = {act for act, checks in known.acts.items() if known.weighs(checks)}
    return {
        check_id
        for origin in origins
        for check_id in known.touching.get(origin, ())
        if not _is_told(known, check_id) and act_of(known.book.checks[check_id]) not in made
    }
