"""What to ask next: most information about the verdict for each minute.

The worth of a check is what its answer tells about the set of origins (bits, `belief.ranking`),
plus what it adds to the proof of the live chains: a chain is only proven when each link that can
be seen has been seen. Disassembly is paid once: checks behind the same cover are weighed as a
cluster, by the best ratio of worth to minutes that opening it buys (ordering single checks by
their own ratio is not optimal when they share a cost: Ottosen and Jensen 2010). A check that
cannot change the verdict is not asked. When everything found is explained, cheap checks for likely
fellow origins come before close-up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from headwater.belief.ranking import gain_of, split_by_cause
from headwater.book.check import decided_by
from headwater.book.model import Check
from headwater.book.tables import Nature, Seat
from headwater.graph.causal import likeliest_chains, narrowed
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment, Outcome
from headwater.verdict.gate import Naming
from headwater.verdict.reach import (
    minutes_to_open,
    reachable_later,
    still_to_open,
    within_reach,
)

WORTH_FROM = 0.01
"""Bits (or proof) below which a check cannot change the verdict."""
PROOF_WEIGHT = 0.5
OWNER_MINUTES = 5.0
"""What it takes to reach the owner with a question when the unit is no longer at the telephone."""
SWEEP_FROM = 0.015
SWEEP_MINUTES = 12.0
SWEEP_AT_MOST = 6


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
    return _ranked(assessment, here)


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
    proofs = proof_targets(assessment)
    # What an answer tells of origins that explain nothing found would not change the verdict.
    about = assessment.unexplained
    particles = split_by_cause(assessment.particles, about) if about else assessment.particles
    found, left = [], []
    waited_for = {cid for c in about for cid in assessment.accounts[c].at_hand}
    for check in checks:
        told = gain_of(particles, check)
        proof = min(1.0, sum(proofs.get(cid, 0.0) for cid in decided_by(check)))
        worth = told + PROOF_WEIGHT * proof
        if told < WORTH_FROM and proof < WORTH_FROM:
            if check.id in waited_for:
                left.append(_costed(assessment, check, worth, Purpose.PROVE))
            continue
        purpose = Purpose.SEPARATE if told >= PROOF_WEIGHT * proof else Purpose.PROVE
        found.append(_costed(assessment, check, worth, purpose))
    # What the gate still waits for comes last, cheapest first: it uses up what could be checked.
    return _by_cluster(assessment, found) or sorted(left, key=lambda i: (i.minutes, i.check))


def _costed(assessment: Assessment, check: Check, worth: float, purpose: Purpose) -> NextCheck:
    opens = still_to_open(assessment.book, check, assessment.stand.removed)
    minutes = check.minutes + minutes_to_open(assessment.book, opens)
    if assessment.stand.seat not in check.seats:
        minutes += OWNER_MINUTES
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


def proof_targets(assessment: Assessment) -> dict[str, float]:
    """Return undecided conditions on the live chains, with the share that each would prove."""
    weights: dict[str, float] = {}
    statuses = assessment.statuses
    live = narrowed(assessment.reasoner.graph, lambda c: statuses[c] is not Status.RULED_OUT)
    for account in assessment.accounts.values():
        if any(chain.naming is Naming.PROVEN for chain in account.chains):
            continue
        paths = likeliest_chains(live, account.condition)
        for candidate in account.candidates:
            for cid in paths.get(candidate.origin or "", ()):
                undecided = statuses[cid] not in (Status.CONFIRMED, Status.RULED_OUT)
                if undecided and assessment.reasoner.deciders[cid]:
                    weights[cid] = max(weights.get(cid, 0.0), candidate.share)
    return weights


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
        if worth >= SWEEP_FROM and item.minutes <= SWEEP_MINUTES:
            found.append(item)
    found.sort(key=lambda i: (-i.gain / i.minutes, i.check))
    return found[:SWEEP_AT_MOST]
