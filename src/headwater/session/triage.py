"""What to ask a caller, what to tell them meanwhile, and when to stop asking.

A call has few questions. They go where they change something: first towards the few hidden
dangers that the drive advice hangs on now (a danger that a caller notices is told without asking),
then towards the causes of what the caller complains of. Worth is expected information, in bits for
each minute on the phone, about each of these by itself, added up; and a link of a live chain that
the caller alone can confirm counts as it does on the bench. Where a sign of danger stands nobody is
sent to look at anything.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import fsum

from headwater.book.model import Check
from headwater.book.tables import (
    AS_FOUND_FROM,
    DANGER_FROM,
    Drive,
    Nature,
    Seat,
    Verb,
)
from headwater.case.model import Case
from headwater.graph.causal import chance_of, likeliest_chains
from headwater.hearing.reading import telling
from headwater.rules.status import Status
from headwater.session.ask import (
    PROOF_WEIGHT,
    NextCheck,
    Purpose,
    makes_sense,
    next_checks,
    proof_targets,
)
from headwater.session.parts import EXACT, parts_fitting, parts_named
from headwater.verdict.account import Account
from headwater.verdict.assess import Assessment
from headwater.verdict.live import LiveChain
from headwater.verdict.plan import Step
from headwater.verdict.reach import minutes_to_open, still_to_open

MOST_QUESTIONS = 8
MOST_UNPROMPTED = 3
"""The same while nothing amiss was told or found: no answer could make the advice milder then."""
MOST_MINUTES = 4.0
WORTH_FROM = 0.05
"""Bits below which a question is not worth a caller's patience."""
SETTLES_FROM = 0.10
"""Bits about the dangers that the advice hangs on, from which a question comes before the rest."""
PRESSING_FROM = 0.10
CAUSE_FROM = 0.02
LEADS_FROM = 0.90
PIVOT_WEIGHT = 2.0
DANGER_WEIGHT = {Drive.STOP: 1.0, Drive.PARKED: 1.0, Drive.LIMP: 0.4}
DANGERS_AT_ONCE = 3
LIVE_CHAINS = 3
LIVE_AT_MOST = 40
"""Chains in which it is looked for what a check tells of: of what leaks there are many alike."""
MOST_BEHIND = 12
"""Origins that questions should tell apart behind what was spoken of and nobody saw."""


def call_questions(assessment: Assessment) -> list[NextCheck]:
    """Return the questions worth asking a caller now, best first.

    What every caller is asked, since when and after what work, comes before them.
    """
    open_ones = [c for c in _open_checks(assessment) if _askable(c)]
    if in_danger(assessment):
        open_ones = [c for c in open_ones if not c.parked]
    first = [
        NextCheck(c.id, Seat.CALL, c.minutes, (), 0.0, Purpose.SEPARATE)
        for c in open_ones
        if c.first and (assessment.accounts or assessment.stand.to_see)
    ]
    aims, others = _aims(assessment), [c for c in open_ones if not c.first]
    pressing = {c: w for c, w in aims.dangers.items() if _is_pressing(assessment, c)}
    settling = _ranked(assessment, Aims((), pressing), others) if pressing else []
    settling = [item for item in settling if item.gain >= SETTLES_FROM]
    told = {item.check for item in settling}
    rest = [item for item in _ranked(assessment, aims, others) if item.check not in told]
    return first + settling + rest


def _is_pressing(assessment: Assessment, danger: str) -> bool:
    """Say whether a danger makes the vehicle stand, or may yet: that is settled before causes."""
    record = assessment.book.conditions[danger].danger
    stands = record is not None and record.advice is not Drive.LIMP
    return stands and assessment.present[danger] >= PRESSING_FROM


def in_danger(assessment: Assessment) -> bool:
    """Say whether a sign of danger was told: nobody goes near the vehicle to look."""
    return any(one in assessment.book.emergencies for one in assessment.stand.outside)


def looks_without_tools(assessment: Assessment, most: int = 3) -> list[Check]:
    """Return what the caller can go and look at beside the parked vehicle, best first.

    What they could not say from memory comes back here.
    """
    if in_danger(assessment):
        return []
    answered = assessment.stand.answered
    open_looks = [
        check
        for check in assessment.book.checks.values()
        if check.parked and (check.id not in answered or answered[check.id].special)
    ]
    ranked = _ranked(assessment, _aims(assessment), open_looks)
    ranked.sort(key=lambda item: item.check not in answered)
    return [assessment.book.checks[item.check] for item in ranked[:most]]


def first_in_shop(assessment: Assessment, most: int = 3) -> list[NextCheck]:
    """Return what the shop checks first: what the hoist will ask, in its order."""
    there = replace(assessment.stand, seat=Seat.HOIST)
    return next_checks(assessment.reasoner.assess(assessment.findings, there))[:most]


def decides(assessment: Assessment, check: Check, most: int = 2) -> list[str]:
    """Return the conditions on the live chains, or live dangers, that a check tells most of."""
    on_chains = {cid for chain in live_chains(assessment, LIVE_AT_MOST) for cid in chain.path}
    wanted = on_chains | _open_dangers(assessment).keys()
    present = assessment.present
    told = [cid for cid in check.speaks_of() if cid in wanted]
    return sorted(told, key=lambda c: (abs(present.get(c, 0.0) - 0.5), c))[:most]


def live_chains(assessment: Assessment, most: int = LIVE_CHAINS) -> list[LiveChain]:
    """Return the likeliest ways that what was found came about; named ones alone if named."""
    named = [account for account in assessment.accounts.values() if account.named]
    found = {chain.path: 1.0 for account in named for chain in account.chains}
    for chains in assessment.live_chains.values():
        for chain in chains.values():
            found[chain.path] = max(found.get(chain.path, 0.0), chain.share)
    best: dict[str, tuple[str, ...]] = {}
    # An origin that is itself found is shown with what it explains, where it explains anything.
    for path in sorted(found, key=lambda p: (len(p) == 1, -found[p], -len(p), p)):
        best.setdefault(path[0], path)
    likeliest = sorted(best.values(), key=lambda p: (-found[p], p))
    return [LiveChain(path, found[path]) for path in likeliest[:most]]


def not_to_buy(assessment: Assessment, most: int = 3) -> list[str]:
    """Return the parts that a caller may be tempted to buy: on the phone none is seen yet."""
    weights: dict[str, float] = {}
    for chain in live_chains(assessment, 12):
        for cid in chain.path:
            record = assessment.book.conditions[cid]
            if record.part and record.kind is Nature.DAMAGE:
                part = str(record.part)
                weights[part] = weights.get(part, 0.0) + chain.share
    held = [part for part in assessment.held if part not in weights]
    parts = [*held, *sorted(weights, key=lambda p: (-weights[p], p))]
    return parts[:most]


def phone_steps(assessment: Assessment) -> list[Step]:
    """Return the steps of a settled plan that need no part and no shop: advice and looks."""
    if not assessment.settled:
        return []
    return [step for step in assessment.plan if step.action in (Verb.ADVISE, Verb.INSPECT)]


def part_wanted(assessment: Assessment, words: str) -> str | None:
    """Return the part that a caller's words mean: 'just the pads', 'a sensor'; the likelier one.

    Every word of a piece of them must be of it: nobody is told of another part than the one said.
    """
    likely = {part: -i for i, part in enumerate(not_to_buy(assessment, 99))}
    for piece in _PIECES.split(words.lower()):
        asked = [stem for stem in telling(piece) if stem not in _ANY_PART]
        exact = parts_fitting(assessment.book, piece)
        scores = exact if EXACT in exact.values() else parts_named(assessment.book, asked)
        best = [part for part, score in scores.items() if score == max(scores.values())]
        if len(best) > 1:  # which of several is not guessed: one that is spoken of, or none
            best = sorted(likely.keys() & best, key=lambda part: -likely[part])
        if best:
            return best[0]
    return None


@dataclass(frozen=True, slots=True)
class Want:
    """What a caller wants: a part, the whole unit, or something that the book does not know.

    `tell` is what the book says to somebody who wants just that.
    """

    words: str
    part: str | None = None
    whole: bool = False
    tell: str = ""


def want_of(assessment: Assessment, words: str) -> Want:
    """Return what a caller's words ask for."""
    book = assessment.book
    told = {str(one.of): one.tell for one in book.wanted.values() if one.of}
    asked = [stem for stem in telling(words) if stem not in _ANY_PART]
    for one in book.wanted.values():
        own = {stem for said in one.said for stem in telling(said)}
        if not asked or not own.issuperset(asked) or (one.of and one.of not in book.parts):
            continue
        return Want(words, one.of and str(one.of), one.of is None, one.tell)
    part = part_wanted(assessment, words)
    return Want(words, part, tell=told.get(part, "") if part else "")


_ANY_PART = frozenset(
    telling(
        "a new one, just the old one, a used second-hand second hand set, kit or piece, complete,"
        " whole, spare, replacement, price for, by courier, cheap, other, two litres of"
    )
)
"""Stems that say nothing of which part is meant."""
_PIECES = re.compile(r"\band\b|\bor\b|\bwith\b|\bplus\b|,")


WANTS = "wants "
"""How it stands in a case that somebody asked for a part."""


def wants_told(case: Case) -> list[str]:
    """Return what the caller asked for in a case, in their words, each once."""
    return [words.removeprefix(WANTS) for words in case.told if words.startswith(WANTS)]


def may_begin_at(assessment: Assessment, part: str, most: int = 3) -> list[str]:
    """Return the likeliest origins of any damage on a part, ruled-out ones left out."""
    damaged = (
        cid
        for cid, record in assessment.book.conditions.items()
        if record.part == part and record.kind is Nature.DAMAGE
        if assessment.statuses[cid] is not Status.RULED_OUT
    )
    return _likeliest_origins(assessment, damaged, most)


def _likeliest_origins(assessment: Assessment, found: Iterable[str], most: int) -> list[str]:
    """Return the likeliest origins of any of some conditions, ruled-out ones left out."""
    live, scores = assessment.live, dict[str, float]()
    for cid in found:
        for origin, path in likeliest_chains(live, cid).items():
            if origin in assessment.book.origins:
                chance = assessment.posterior.probability(origin) * chance_of(live, path)
                scores[origin] = max(scores.get(origin, 0.0), chance)
    return sorted(scores, key=lambda c: (-scores[c], c))[:most]


def _askable(check: Check) -> bool:
    return Seat.CALL in check.seats and not check.tool and not check.after


def _open_checks(assessment: Assessment) -> list[Check]:
    answered = assessment.stand.answered
    return [
        check
        for check in assessment.book.checks.values()
        if check.id not in answered and makes_sense(assessment, check)
    ]


def _open_dangers(assessment: Assessment) -> dict[str, Drive]:
    """Return the dangers in question that no answer has acquitted, worst and likeliest first."""
    return {cid: danger.advice for cid, danger in assessment.dangers.open_ones()}


@dataclass(frozen=True, slots=True)
class Aims:
    """What questions should tell of: the live causes, and dangers with the weight of each.

    `anything` is true while nothing abnormal is known: then whatever may be wrong is asked for.
    """

    causes: tuple[str, ...]
    dangers: Mapping[str, float]
    anything: bool = False


def _aims(assessment: Assessment) -> Aims:
    causes = dict.fromkeys(_behind_what_is_to_see(assessment))
    if not assessment.settled:
        for account in assessment.accounts.values():
            if account.named or _leads(account):
                continue
            for candidate in account.candidates:
                if candidate.origin and candidate.share >= CAUSE_FROM:
                    causes[candidate.origin] = None
    return Aims(tuple(causes), _hidden(assessment), anything=not (assessment.accounts or causes))


def _behind_what_is_to_see(assessment: Assessment) -> Iterator[str]:
    """Yield what was spoken of and nobody has looked at, and what would be likeliest behind it."""
    for cid in assessment.stand.to_see:
        yield cid
        yield from _likeliest_origins(assessment, [cid], MOST_BEHIND)


def _leads(account: Account) -> bool:
    """Say whether one cause stands so far ahead that a caller can tell no more of it."""
    return any(one.origin and one.share >= LEADS_FROM for one in account.candidates)


def _hidden(assessment: Assessment) -> dict[str, float]:
    """Return the few dangers that the advice hangs on, with the weight of each.

    Once the vehicle stands for good reason further dangers do not change the advice; once it limps
    for a good reason, only those do that might make it stand.
    """
    advice = assessment.drive
    behind = advice.condition
    known = behind and (advice.sure or assessment.present[behind] >= AS_FOUND_FROM)
    if known and advice.advice is not Drive.LIMP:
        return {}
    open_ones = _open_dangers(assessment)
    if known:
        open_ones = {
            cid: worst
            for cid, worst in open_ones.items()
            if worst is not Drive.LIMP and assessment.present[cid] >= DANGER_FROM
        }
    weights = {cid: DANGER_WEIGHT[w] for cid, w in list(open_ones.items())[:DANGERS_AT_ONCE]}
    if behind and not known:
        # What the advice hangs on comes before all else.
        weights[behind] = PIVOT_WEIGHT
    return weights


def _ranked(assessment: Assessment, aims: Aims, checks: Iterable[Check]) -> list[NextCheck]:
    if aims.anything:
        told = assessment.teller.of_anything()
    else:
        told = assessment.teller.of_conditions({**dict.fromkeys(aims.causes, 1.0), **aims.dangers})
    proofs = proof_targets(assessment)
    found = []
    for check in checks:
        worth = told.get(check.id, 0.0)
        worth += PROOF_WEIGHT * min(1.0, fsum(proofs.get(c, 0.0) for c in check.decides()))
        if worth < WORTH_FROM:
            continue
        opens = tuple(still_to_open(assessment.book, check, assessment.stand.removed))
        minutes = check.minutes + minutes_to_open(assessment.book, opens)
        seat = Seat.CALL if Seat.CALL in check.seats else check.seats[0]
        found.append(NextCheck(check.id, seat, minutes, opens, worth, Purpose.SEPARATE))
    return sorted(found, key=lambda i: (-i.gain / i.minutes, i.check))
