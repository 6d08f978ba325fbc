"""What to ask next: most information about the verdict for each minute.

The worth of a check is what its answer tells about the origins of what is not yet explained (bits,
`belief.ranking`), plus what it adds to the proof of the live chains: a chain is only proven when
each link that can be seen has been seen. Where an origin is confirmed and only its way is left to
see, its rivals tell no more. Disassembly is paid once: checks behind the same cover are weighed as
a cluster, by the best ratio of worth to minutes that opening it buys (ordering single checks by
their own ratio is not optimal when they share a cost: Ottosen and Jensen 2010). A check that
cannot change the verdict is not asked; what the gate still waits for comes last. When everything
found is explained, cheap checks for likely fellow origins come before close-up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from headwater.belief.ranking import gain_of, split_by_cause, spoken_of
from headwater.book.check import decided_by
from headwater.book.model import Check
from headwater.book.tables import Nature, Seat
from headwater.graph.causal import likeliest_chains, narrowed
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment, Outcome
from headwater.verdict.gate import Account, Candidate, passable
from headwater.verdict.reach import (
    minutes_to_open,
    reachable_later,
    still_to_open,
    within_reach,
)

WORTH_FROM = 0.01
"""Bits (or proof) below which a check cannot change the verdict."""
PROOF_WEIGHT = 1.0
USE_UP_WEIGHT = 0.5
ORIGIN_KNOWN_FROM = 0.5
"""Share from which a confirmed origin is taken as the answer: what is left is to see its way."""
PROOF_IN_SIGHT = 0.2
"""Share of a provable candidate from which its proof is tried before the rest is used up."""
OWNER_MINUTES = 5.0
"""What it takes to reach the owner with a question when the unit is no longer at the telephone."""
SWEEP_FROM = 0.015
SWEEP_MINUTES = 12.0
SWEEP_RATE = 0.01
"""Chance of finding something, for each minute, below which a sweep is not worth its time."""
SWEEP_AT_MOST = 6


_CLOSED = (Status.RULED_OUT, Status.DISPUTED)


class Purpose(StrEnum):
    """Why a check is asked."""

    SEPARATE = "separate"
    PROVE = "prove"
    SETTLE = "settle"
    SWEEP = "sweep"


@dataclass(frozen=True, slots=True)
class NextCheck:
    """A check worth making: minutes with what must be opened first, gain in bits, its purpose."""

    check: str
    seat: Seat
    minutes: float
    opens: tuple[str, ...]
    gain: float
    purpose: Purpose


def next_checks(assessment: Assessment) -> list[NextCheck]:
    """Return the checks worth making at this seat, best first; empty when the verdict stands."""
    disputed = _look_again(assessment)
    if disputed:
        return disputed
    if assessment.outcome is Outcome.SETTLED:
        return _sweep(assessment)
    if assessment.outcome is Outcome.UNDETERMINED:
        return []
    here = [c for c in _unanswered(assessment) if within_reach(c, assessment.stand)]
    return _ranked(assessment, here) or _still_waited_for(assessment, here)


def _still_waited_for(assessment: Assessment, checks: Iterable[Check]) -> list[NextCheck]:
    """Return what the gate waits for where nothing tells much any more, quickest first."""
    waits = {
        cid
        for account in assessment.accounts.values()
        if not account.named
        for cid in account.at_hand
    }
    left = [_costed(assessment, c, 0.0, Purpose.SEPARATE) for c in checks if c.id in waits]
    return sorted(left, key=lambda i: (i.minutes, i.check))


def later_checks(assessment: Assessment) -> list[NextCheck]:
    """Return what a later seat would settle, best first."""
    stand = assessment.stand
    there = [
        check
        for check in _unanswered(assessment)
        if reachable_later(check, stand) and not within_reach(check, stand)
    ]
    return _ranked(assessment, there)


def _unanswered(assessment: Assessment) -> list[Check]:
    return [c for c in assessment.book.checks.values() if c.id not in assessment.stand.answered]


def _ranked(assessment: Assessment, checks: Iterable[Check]) -> list[NextCheck]:
    """Rank checks by what they tell of the findings that still want an origin, and prove of it."""
    roads = _roads(assessment)
    open_questions = [
        account.condition
        for account in assessment.accounts.values()
        if not account.named and not _origin_known(assessment, account, roads)
    ]
    particles = assessment.particles
    if roads:
        particles = split_by_cause(particles, open_questions)
    proofs = _proofs(roads)
    uses = _using_up(assessment, roads)
    found = []
    for check in checks:
        told = gain_of(particles, check)
        proof = min(1.0, sum(proofs.get(cid, 0.0) for cid in decided_by(check)))
        use = uses.get(check.id, 0.0)
        if max(told, proof, use) < WORTH_FROM:
            continue
        worth = told + PROOF_WEIGHT * proof + USE_UP_WEIGHT * use
        purpose = Purpose.PROVE if PROOF_WEIGHT * proof > told else Purpose.SEPARATE
        found.append(_costed(assessment, check, worth, purpose))
    return _by_cluster(assessment, found)


def cost_of(assessment: Assessment, check: Check) -> tuple[float, list[str]]:
    """Return the minutes of a check with what must be opened first, and what that is."""
    opens = still_to_open(assessment.book, check, assessment.stand.removed)
    minutes = check.minutes + minutes_to_open(assessment.book, opens)
    if assessment.stand.seat not in check.seats:
        minutes += OWNER_MINUTES
    return minutes, opens


def _costed(assessment: Assessment, check: Check, worth: float, purpose: Purpose) -> NextCheck:
    minutes, opens = cost_of(assessment, check)
    return NextCheck(check.id, check.seats[0], minutes, tuple(opens), worth, purpose)


def _by_cluster(assessment: Assessment, found: list[NextCheck]) -> list[NextCheck]:
    """Order by the best worth for each minute that opening the same covers buys.

    The first check of a cluster counts whole; later ones overlap with it and count half.
    """
    clusters: dict[tuple[str, ...], list[NextCheck]] = {}
    for item in found:
        clusters.setdefault(item.opens, []).append(item)
    scores: dict[str, float] = {}
    for opens, items in clusters.items():
        opening = minutes_to_open(assessment.book, opens)
        own = {i.check: i.gain / (i.minutes - opening) for i in items}
        ordered = sorted(items, key=lambda i: (-own[i.check], i.check))
        best, worth, minutes = 0.0, 0.0, opening
        for item in ordered:
            worth += item.gain / 2.0 if worth else item.gain
            minutes += item.minutes - opening
            best = max(best, worth / minutes)
        for item in ordered:
            scores[item.check] = best * own[item.check] / own[ordered[0].check]
    return sorted(found, key=lambda i: (-scores[i.check], i.check))


Roads = dict[str, list[tuple[Candidate, tuple[str, ...]]]]
"""For each finding without an origin: its candidates that can still be proven, and what is left to
see on the way of each. A way that can no longer be seen whole is no road to a proof."""


def _roads(assessment: Assessment) -> Roads:
    statuses, stand = assessment.statuses, assessment.stand
    deciders = assessment.reasoner.deciders

    def provable(cid: str) -> bool:
        if passable(statuses[cid], deciders[cid], stand):
            return True
        asked_for = [c for c in deciders[cid] if c.id not in stand.answered]
        return statuses[cid] not in _CLOSED and any(reachable_later(c, stand) for c in asked_for)

    unnamed = [account for account in assessment.accounts.values() if not account.named]
    graph = narrowed(assessment.reasoner.graph, provable) if unnamed else None
    roads: Roads = {}
    for account in unnamed:
        paths = likeliest_chains(graph, account.condition)
        roads[account.condition] = [
            (candidate, tuple(c for c in path if statuses[c] is not Status.CONFIRMED))
            for candidate in account.candidates
            if (path := paths.get(candidate.origin or ""))
        ]
    return roads


def _proofs(roads: Roads) -> dict[str, float]:
    """Return undecided conditions with what each adds to a proof.

    A candidate's share is spread over what is left to see: the last look of a chain is worth most.
    """
    weights: dict[str, float] = {}
    for ways in roads.values():
        for candidate, left in ways:
            for cid in left:
                weights[cid] = max(weights.get(cid, 0.0), candidate.share / len(left))
    return weights


def proof_targets(assessment: Assessment) -> dict[str, float]:
    """Return undecided conditions on the live chains, with what each would add to a proof."""
    return _proofs(_roads(assessment))


def _origin_known(assessment: Assessment, account: Account, roads: Roads) -> bool:
    """Say whether only the way from a confirmed origin is left to see: rivals tell no more."""
    return any(
        candidate.origin is not None
        and candidate.share >= ORIGIN_KNOWN_FROM
        and assessment.statuses[candidate.origin] is Status.CONFIRMED
        for candidate, _ in roads[account.condition]
    )


def _using_up(assessment: Assessment, roads: Roads) -> dict[str, float]:
    """Return what each check adds to using up the checks at hand, where no proof is in sight.

    The gate names an origin as probable only when nothing that bears on it is left to check. A look
    that decides a condition may spare the other checks that bear on it.
    """
    checks, statuses = assessment.book.checks, assessment.statuses
    uses: dict[str, float] = {}
    for condition, ways in roads.items():
        if any(candidate.share >= PROOF_IN_SIGHT and left for candidate, left in ways):
            continue
        at_hand = assessment.accounts[condition].at_hand
        bears: dict[str, list[str]] = {}
        for check_id in at_hand:
            for cid in spoken_of(checks[check_id]):
                if statuses.get(cid) not in (Status.CONFIRMED, Status.RULED_OUT):
                    bears.setdefault(cid, []).append(check_id)
        for check_id in at_hand:
            decided = decided_by(checks[check_id])
            spared = {check_id}.union(*(bears.get(cid, ()) for cid in decided))
            share = (1.0 + (len(spared) - 1.0) / 2.0) / len(at_hand)
            uses[check_id] = max(uses.get(check_id, 0.0), share)
    return uses


def _look_again(assessment: Assessment) -> list[NextCheck]:
    """Return the checks that disagree on a condition, to be made again."""
    found: dict[str, NextCheck] = {}
    for cid in assessment.disputed:
        for fact, checks in assessment.evidence.basis.items():
            for check_id in checks if fact.condition == cid else ():
                check = assessment.book.checks[check_id]
                if within_reach(check, assessment.stand):
                    found[check_id] = _costed(assessment, check, 1.0, Purpose.SETTLE)
    return sorted(found.values(), key=lambda i: (i.minutes, i.check))


def _sweep(assessment: Assessment) -> list[NextCheck]:
    """Return cheap checks for likely fellow origins and expected damage, before close-up."""
    chances = assessment.present()
    wanted: dict[str, float] = {}
    for cid, record in assessment.book.conditions.items():
        if assessment.statuses[cid] in (Status.CONFIRMED, Status.RULED_OUT):
            continue
        chance = assessment.posterior.probability(cid) if record.origin else 0.0
        if record.kind is Nature.DAMAGE and assessment.statuses[cid] is Status.EXPECTED:
            chance = max(chance, chances[cid])
        if chance >= SWEEP_FROM:
            wanted[cid] = chance
    found = []
    for check in _unanswered(assessment):
        if not within_reach(check, assessment.stand):
            continue
        worth = sum(wanted.get(cid, 0.0) for cid in decided_by(check))
        item = _costed(assessment, check, worth, Purpose.SWEEP)
        worth_it = worth >= SWEEP_FROM and worth >= SWEEP_RATE * item.minutes
        if worth_it and item.minutes <= SWEEP_MINUTES:
            found.append(item)
    found.sort(key=lambda i: (-i.gain / i.minutes, i.check))
    return found[:SWEEP_AT_MOST]
