"""What to ask next: most information about the verdict for each minute.

The worth of a check is what its answer tells about the origins of what is not yet explained (bits,
`belief.gain`), plus what it adds to the proof of the live chains: a chain is only proven when
each link that can be seen has been seen. Where an origin is confirmed and only its way is left to
see, its rivals tell no more. Disassembly is paid once: checks behind the same cover are weighed as
a cluster, by the best ratio of worth to minutes that opening it buys (ordering single checks by
their own ratio is not optimal when they share a cost: Ottosen and Jensen 2010). A check that
cannot change the verdict is not asked; what the gate still waits for comes last. When everything
found is explained, cheap checks for likely fellow origins come before close-up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import fsum

from headwater.book.model import Check
from headwater.book.tables import Drive, Nature, Seat, Sense
from headwater.rules.status import Status
from headwater.session.tosee import looks_at
from headwater.verdict.account import Account, Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import to_open
from headwater.verdict.naming import TELLS_NAMED_FROM
from headwater.verdict.reach import (
    is_fresh,
    is_left,
    is_offered,
    minutes_to_open,
    reachable_later,
    still_to_open,
    within_reach,
)
from headwater.verdict.search import most_saved

WORTH_FROM = 0.01
"""Bits (or proof) below which a check cannot change the verdict."""
PROOF_WEIGHT = 1.0
ORIGIN_KNOWN_FROM = 0.5
"""Share from which a confirmed origin is taken as the answer: what is left is to see its way."""
OWNER_MINUTES = 5.0
"""What it takes to reach the owner with a question when the unit is no longer at the telephone."""
SWEEP_FROM = 0.015
SWEEP_MINUTES = 10.0
"""Minutes of all looks of a sweep together."""
SWEEP_RATE = 0.01
"""Chance of finding something, for each minute, below which a look is not worth its time."""
SWEEP_AT_MOST = 5
PLAIN_FROM = 0.1
"""Worth from which a look is asked without searching first whether it pays."""
ENOUGH_LOOKS = 12
"""Looks that found nothing amiss, after which nothing more is asked."""
PRESUMED_FROM = 0.5
"""Probability from which what a check presumes is taken to be there."""


UNSEEN = (Status.EXPECTED, Status.SUSPECTED)
"""What is upstream or downstream of something found, and was not looked at."""


class Purpose(StrEnum):
    """Why a check is asked."""

    SEPARATE = "separate"
    PROVE = "prove"
    SETTLE = "settle"
    AGAIN = "again"
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
    again = _look_again(assessment)
    if again:
        return again
    if told := _spoken_of(assessment):
        return told
    if assessment.settled:
        return _sweep(assessment)
    if assessment.waits_for_words or _is_cleared(assessment):
        return []
    ranked = _ranked(assessment, lambda check: within_reach(check, assessment.stand))
    if is_for_the_bench(assessment):
        ranked = _worth_on_the_hoist(assessment, ranked)
        return ranked if ranked and may_be_worth(assessment, ranked[0].minutes) else []
    if ranked and (ranked[0].gain >= PLAIN_FROM or may_be_worth(assessment, ranked[0].minutes)):
        return ranked
    if assessment.ending is Ending.UNDETERMINED:
        return _sweep(assessment)
    return [] if assessment.ending in (Ending.SOUND, Ending.NOT_WORTH_MORE) else ranked


def _spoken_of(assessment: Assessment) -> list[NextCheck]:
    """Return the looks at what somebody spoke of where nobody could look, cheapest first."""
    spoken_of = assessment.stand.to_see
    looks = {c.id: c for cid in spoken_of for c in looks_at(assessment.book, cid)}
    found = [
        _costed(assessment, check, 1.0, Purpose.SEPARATE)
        for check in looks.values()
        if check.id not in assessment.stand.answered
        and within_reach(check, assessment.stand)
        and makes_sense(assessment, check)
    ]
    return sorted(found, key=lambda item: (item.minutes, item.check))


def _is_cleared(assessment: Assessment) -> bool:
    """Say whether nothing is amiss, after so many looks that nobody need go on."""
    told = sum(bool(look.told) for look in assessment.evidence.weighed.looks.values())
    enough = not assessment.accounts and told >= ENOUGH_LOOKS
    return enough and assessment.ending is Ending.SOUND


def _worth_on_the_hoist(assessment: Assessment, ranked: Iterable[NextCheck]) -> list[NextCheck]:
    """Return what is still asked there: more of the hoist's own looks, which nobody makes later."""
    own, also_later = WORTH_FROM, TELLS_NAMED_FROM
    if not _complains(assessment):
        own, also_later = TELLS_NAMED_FROM, PLAIN_FROM
    checks = assessment.book.checks
    return [
        i for i in ranked if i.gain > (also_later if Seat.BENCH in checks[i.check].seats else own)
    ]


def is_for_the_bench(assessment: Assessment) -> bool:
    """Say whether an origin is proven on the hoist: what is left is for the bench.

    Only what can change what is named is then still asked; once every complaint is explained, only
    what plainly tells of the rest.
    """
    proven = Naming.PROVEN in assessment.origins.values()
    return proven and assessment.stand.seat is Seat.HOIST


def _complains(assessment: Assessment) -> bool:
    """Say whether a complaint has no named origin yet."""
    conditions = assessment.book.conditions
    return any(conditions[c].kind is Nature.COMPLAINT for c in assessment.unexplained)


def may_be_worth(assessment: Assessment, minutes: float) -> bool:
    """Say whether knowing an origin may save so many minutes: no search is needed while it may."""
    unnamed = [account for account in assessment.accounts.values() if not account.named]
    saved = max((most_saved(assessment.known, account) for account in unnamed), default=0.0)
    return not unnamed or minutes <= saved


def not_worth_asking(assessment: Assessment) -> list[NextCheck]:
    """Return the looks left that would cost more than they are expected to save, best first."""
    return _ranked(assessment, lambda check: within_reach(check, assessment.stand))


def later_checks(assessment: Assessment) -> list[NextCheck]:
    """Return what a later seat would settle, best first."""
    stand = assessment.stand
    return _ranked(
        assessment,
        lambda check: reachable_later(check, stand) and not within_reach(check, stand),
    )


def _open_looks(assessment: Assessment, wanted: Callable[[Check], bool]) -> list[Check]:
    """Return the wanted looks left that may be put to somebody, and make sense as things stand.

    Whether one makes sense may hang on the advice, which is dear: it is asked of the wanted alone.
    """
    stand, checks = assessment.stand, assessment.book.checks.values()
    asked = (c for c in checks if is_left(c, stand) and is_offered(c, stand) and wanted(c))
    return [check for check in asked if makes_sense(assessment, check)]


def makes_sense(assessment: Assessment, check: Check) -> bool:
    """Say whether what a check presumes is there, it is new, and nobody drives what is to stand."""
    if check.driving and assessment.drive.advice in (Drive.STOP, Drive.PARKED):
        return False
    if check.act and _is_told(assessment, check):
        return False
    known = [str(c) for c in check.presumes if c in assessment.book.conditions]
    return not known or any(_is_there(assessment, c) for c in known)


def _is_there(assessment: Assessment, cid: str) -> bool:
    """Say whether a condition was found, or is likely; whoever has a complaint tells it."""
    if assessment.statuses[cid] is Status.CONFIRMED:
        return True
    likely = assessment.book.conditions[cid].kind is not Nature.COMPLAINT
    return likely and assessment.figures.glance(cid, [PRESUMED_FROM]).low >= PRESUMED_FROM


def _is_told(assessment: Assessment, check: Check) -> bool:
    """Say whether another question of the same look was answered in words that answer this one.

    That all is well is said of each by itself.
    """
    says = {answer.says for answer in check.answers.values() if answer.says}
    given = (
        assessment.book.checks[name].answer(judged.settled or "")
        for name, judged in assessment.stand.answered.items()
        if name != check.id and assessment.book.checks[name].act == check.act
    )
    return any(a is not None and a.sense is not Sense.SOUND and a.says in says for a in given)


def _ranked(assessment: Assessment, possible: Callable[[Check], bool]) -> list[NextCheck]:
    """Rank the checks at hand by what they tell of the findings without an origin, and prove.

    What a bad answer says is asked about though it is no fact yet.
    """
    unnamed = [account for account in assessment.accounts.values() if not account.named]
    if not unnamed and (assessment.accounts or assessment.loose):
        return _about_loose_ends(assessment, possible)
    at_hand = {check for account in unnamed for check in account.at_hand}
    checks = _open_looks(
        assessment, lambda check: possible(check) and (not unnamed or check.id in at_hand)
    )
    if not checks:
        return []
    unknown = tuple(a.condition for a in unnamed if not _origin_known(assessment, a))
    teller = assessment.teller
    gains = teller.about(unknown) if unknown else {} if unnamed else teller.of_anything()
    proofs = _proofs(unnamed)
    found = []
    for check in checks:
        told = gains.get(check.id, 0.0)
        proof = min(1.0, fsum(proofs.get(cid, 0.0) for cid in check.decides()))
        if not unnamed and told < WORTH_FROM:
            continue
        worth = max(told + PROOF_WEIGHT * proof, WORTH_FROM)
        purpose = Purpose.PROVE if PROOF_WEIGHT * proof > told else Purpose.SEPARATE
        found.append(_costed(assessment, check, worth, purpose))
    return _by_cluster(assessment, found)


def _about_loose_ends(assessment: Assessment, possible: Callable[[Check], bool]) -> list[NextCheck]:
    """Rank the looks that tell of bad answers which nothing named accounts for."""
    loose = (one for one in assessment.loose if not one.outweighed)
    shown = {cid: 1.0 for one in loose for cid in one.conditions}
    told = assessment.teller.of_conditions(shown)
    looks = _open_looks(
        assessment, lambda check: possible(check) and told.get(check.id, 0.0) >= PLAIN_FROM
    )
    found = [_costed(assessment, look, told[look.id], Purpose.SEPARATE) for look in looks]
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

    In a cluster a check counts half if it speaks of what a better one speaks of already.
    """
    checks = assessment.book.checks
    clusters: dict[tuple[str, ...], list[NextCheck]] = {}
    for item in found:
        clusters.setdefault(item.opens, []).append(item)
    scores: dict[str, float] = {}
    for opens, items in clusters.items():
        opening = minutes_to_open(assessment.book, opens)
        own = {i.check: i.gain / (i.minutes - opening) for i in items}
        ordered = sorted(items, key=lambda i: (-own[i.check], i.check))
        best, worth, minutes = 0.0, 0.0, opening
        told: set[str] = set()
        for item in ordered:
            speaks = set(checks[item.check].speaks_of())
            worth += item.gain / 2.0 if speaks & told else item.gain
            told |= speaks
            minutes += item.minutes - opening
            best = max(best, worth / minutes)
        for item in ordered:
            scores[item.check] = best * own[item.check] / own[ordered[0].check]
    stand = assessment.stand
    # What nobody could say is asked once more, when the rest is asked.
    return sorted(found, key=lambda i: (not is_fresh(i.check, stand), -scores[i.check], i.check))


def _proofs(unnamed: Iterable[Account]) -> dict[str, float]:
    """Return undecided conditions with what each adds to a proof.

    A candidate's share is spread over what is left to see: the last look of a chain is worth most.
    """
    weights: dict[str, float] = {}
    for road in (road for account in unnamed for road in account.roads):
        for cid in road.left:
            weights[cid] = max(weights.get(cid, 0.0), road.candidate.share / len(road.left))
    return weights


def proof_targets(assessment: Assessment) -> dict[str, float]:
    """Return undecided conditions on the live chains, with what each would add to a proof."""
    return _proofs(account for account in assessment.accounts.values() if not account.named)


def _origin_known(assessment: Assessment, account: Account) -> bool:
    """Say whether only the way from a confirmed origin is left to see: rivals tell no more."""
    return any(
        road.candidate.share >= ORIGIN_KNOWN_FROM
        and assessment.statuses[road.candidate.origin or ""] is Status.CONFIRMED
        for road in account.roads
    )


def _look_again(assessment: Assessment) -> list[NextCheck]:
    """Return the checks that disagree on a condition, to be made again."""
    evidence = assessment.evidence
    wanted = dict.fromkeys(evidence.disputed, Purpose.SETTLE)
    for cid in assessment.disputed:
        for fact, checks in evidence.basis.items():
            if fact.condition == cid:
                wanted |= dict.fromkeys(checks, Purpose.SETTLE)
    for checks in evidence.surprising.values():
        # What is only asked of a person is answered alike the second time.
        looks = (c for c in checks if assessment.book.checks[c].how)
        once = [c for c in looks if len(evidence.weighed.looks[c].told) == 1]
        wanted = dict.fromkeys(once, Purpose.AGAIN) | wanted
    found = [
        _costed(assessment, assessment.book.checks[check], 1.0, purpose)
        for check, purpose in wanted.items()
        if within_reach(assessment.book.checks[check], assessment.stand)
        and is_offered(assessment.book.checks[check], assessment.stand)
    ]
    return sorted(found, key=lambda i: (i.minutes, i.check))


def _sweep(assessment: Assessment) -> list[NextCheck]:
    """Return cheap looks for likely fellow origins and expected damage, before close-up.

    Five at most, ten minutes together, and only where the unit is open for the plan anyway: what
    belongs to another unit of the vehicle (a pack of its own) stays closed.
    """
    owner = assessment.book.owner
    named = (cid for a in assessment.accounts.values() for chain in a.chains for cid in chain.path)
    units = {owner.get(("conditions", cid)) for cid in named}
    off = assessment.stand.removed | set(to_open(assessment, assessment.plan))
    if not off:
        return []
    chances = assessment.present
    likely: dict[str, float] = {}
    for cid, record in assessment.book.conditions.items():
        if assessment.statuses[cid] in (Status.CONFIRMED, Status.RULED_OUT):
            continue
        chance = assessment.posterior.probability(cid) if record.origin else 0.0
        if record.kind is Nature.DAMAGE and assessment.statuses[cid] in UNSEEN:
            chance = max(chance, chances[cid])
        if chance >= SWEEP_FROM:
            likely[cid] = chance
    found = []
    stand = assessment.stand

    def at_hand(check: Check) -> bool:
        here = within_reach(check, stand) and owner.get(("checks", check.id)) in units
        opened = off.issuperset(still_to_open(assessment.book, check, stand.removed))
        return here and opened and is_fresh(check.id, stand)

    for check in _open_looks(assessment, at_hand):
        worth = fsum(likely.get(cid, 0.0) for cid in check.decides())
        item = NextCheck(check.id, check.seats[0], check.minutes, (), worth, Purpose.SWEEP)
        worth_it = worth >= SWEEP_FROM and worth >= SWEEP_RATE * item.minutes
        if worth_it and item.minutes <= SWEEP_MINUTES:
            found.append(item)
    found.sort(key=lambda i: (-i.gain / i.minutes, i.check))
    chosen: list[NextCheck] = []
    for item in found:
        minutes = fsum(one.minutes for one in (*chosen, item))
        if minutes <= SWEEP_MINUTES and len(chosen) < SWEEP_AT_MOST:
            chosen.append(item)
    return chosen
