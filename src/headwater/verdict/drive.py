"""May the vehicle be driven? Always answered, never held back; errs on the safe side.

One of four: stop now, leave it parked until more is known, only so far and within limits, or OK to
drive in. Nothing known is *parked*. OK has to be earned: something was placed, nothing told is left
over, and every danger that the words make likelier is ruled out or unlikely because of an answer on
it, not for want of one. A danger that is found or likely sets the advice by itself; one that is
only likely, not found, stops the vehicle from two in five on and lets it limp below, for a stop on
every possible danger would soon be a stop that nobody heeds.

The advice gets milder only by an answer that acquits, or when proven origins explain all that was
found. So a danger is as likely as any of these makes it: all answers; each complaint by itself, and
all of them, with every answer that acquits. One trouble does not talk another away.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from headwater.belief.figures import Figure, Figures
from headwater.belief.posterior import posterior
from headwater.book.model import Danger
from headwater.book.records import Book
from headwater.book.tables import (
    ACQUITTED_BELOW,
    DANGER_FROM,
    DRIVE_RANK,
    IN_QUESTION_FROM,
    LIMP_LIMITS,
    RISE_FROM,
    STOP_FROM,
    Drive,
    Nature,
)
from headwater.graph.causal import effects_of
from headwater.rules.evidence import Pair
from headwater.rules.status import Status
from headwater.verdict.account import Account, Naming
from headwater.verdict.known import Known

LINES = (DANGER_FROM, STOP_FROM)
QUESTION = (IN_QUESTION_FROM,)
FOUND = (Status.CONFIRMED, Status.DISPUTED)
NOTHING_TOLD = "nothing is known yet"
NOT_PLACED = "part of what was told is not understood yet"
ASKED_AWAY = "each danger that may be behind it was asked about, and is ruled out or unlikely"
EXPLAINED = "where it began is proven, and nothing dangerous comes of it"


@dataclass(frozen=True, slots=True)
class DriveAdvice:
    """The advice, the danger behind it, and the condition that it comes from, if any.

    `now` is what to do at once. `outside` is the sign of danger, the trouble outside the driveline
    or the wish that it comes from, by id.
    """

    advice: Drive
    because: str
    limits: str = ""
    condition: str | None = None
    sure: bool = True
    now: tuple[str, ...] = ()
    outside: str | None = None


@dataclass(frozen=True, slots=True)
class Chances:
    """The most that dangers may be, and the least that each was before anything was found."""

    most: Mapping[str, float]
    before: Mapping[str, float]


def drive_of(known: Known, accounts: Mapping[str, Account]) -> DriveAdvice:
    """Return whether the vehicle may be driven, from all that was told and found."""
    told = [outside_advice(known.book, oid) for oid in known.stand.outside]
    found = [*told, *_of_findings(known, accounts)]
    worst = max(found, key=lambda advice: DRIVE_RANK[advice.advice], default=None)
    return worst or DriveAdvice(Drive.PARKED, NOTHING_TOLD)


def outside_advice(book: Book, oid: str) -> DriveAdvice:
    """Return what a sign of danger, a trouble outside the driveline or a wish calls for."""
    if sign := book.emergencies.get(oid):
        return DriveAdvice(Drive.STOP, sign.title, now=sign.now, outside=oid)
    trouble = book.elsewhere[oid]
    now = (trouble.caution,) if trouble.caution else ()
    return DriveAdvice(trouble.advice, trouble.tell, now=now, outside=oid)


def _of_findings(known: Known, accounts: Mapping[str, Account]) -> Iterator[DriveAdvice]:
    """Yield what the findings call for; nothing where there are none and no words are left over."""
    if known.stand.unplaced:
        yield DriveAdvice(Drive.PARKED, NOT_PLACED)
    if is_explained(accounts) and not known.stand.unplaced:
        comes = effects_of(known.graph, *_proven_origins(accounts))
        chances = chances_of_dangers(known.book, known.statuses, known.figures)
        danger = worst_danger(known.book, known.statuses, chances, only=comes)
        yield danger or DriveAdvice(Drive.OK, EXPLAINED)
        return
    dangers = Dangers(known)
    if danger := worst_danger(known.book, known.statuses, dangers.chances):
        yield danger
    elif accounts:
        yield dangers.in_question() or DriveAdvice(Drive.OK, ASKED_AWAY)


def is_explained(accounts: Mapping[str, Account]) -> bool:
    """Say whether proven origins explain everything that was found."""
    return bool(accounts) and all(
        account.named and all(chain.naming is Naming.PROVEN for chain in account.chains)
        for account in accounts.values()
    )


def _proven_origins(accounts: Mapping[str, Account]) -> set[str]:
    return {chain.origin for account in accounts.values() for chain in account.chains}


def worst_danger(
    book: Book,
    statuses: Mapping[str, Status],
    chances: Chances,
    only: Iterable[str] | None = None,
) -> DriveAdvice | None:
    """Return the worst advice of all dangers found or likely; None where there is none.

    What is not surely below a line counts as above it. With `only`, everything is explained: a
    danger counts while it is found, or if it comes of what explains it, and a complaint that is
    only a sign of danger is none any more.
    """
    worst: tuple[tuple[int, bool, float], DriveAdvice] | None = None
    comes = None if only is None else set(only)
    for cid, danger in _dangers(book):
        status = statuses.get(cid, Status.UNKNOWN)
        sure = status in FOUND
        if comes is not None and (danger.until_explained or not (sure or cid in comes)):
            continue
        chance = 1.0 if sure else chances.most.get(cid, 0.0)
        risen = sure or chance >= RISE_FROM * chances.before.get(cid, 0.0)
        if status is Status.RULED_OUT or chance < DANGER_FROM or not risen:
            continue
        advice = DriveAdvice(danger.advice, danger.because, danger.limits, cid, sure)
        if danger.advice is Drive.STOP and chance < STOP_FROM:
            advice = replace(advice, advice=Drive.LIMP, limits=LIMP_LIMITS)
        rank = (DRIVE_RANK[advice.advice], sure, chance)
        if worst is None or rank > worst[0]:
            worst = rank, advice
    return worst[1] if worst else None


def _dangers(book: Book) -> Iterator[tuple[str, Danger]]:
    for cid, record in book.conditions.items():
        if record.danger:
            yield cid, record.danger


@dataclass(frozen=True)
class Dangers:
    """The dangers of a case whose findings are not all explained."""

    known: Known

    @cached_property
    def beliefs(self) -> list[Figures]:
        """What is believed: from all answers, and from the complaints alone with what acquits."""
        full, worlds = self.known.figures, self.known.figures.posterior.worlds
        told = [factors for factors in as_told(self.known) if factors != full.posterior.factors]
        return [full, *(Figures(posterior(worlds, factors)) for factors in told)]

    @cached_property
    def chances(self) -> Chances:
        """The most that any of the beliefs makes of each danger."""
        most: dict[str, float] = {}
        before: dict[str, float] = {}
        for figures in self.beliefs:
            found = chances_of_dangers(self.known.book, self.known.statuses, figures)
            most |= {c: max(p, most.get(c, 0.0)) for c, p in found.most.items()}
            before |= {c: min(p, before.get(c, 1.0)) for c, p in found.before.items()}
        return Chances(most, before)

    def open_ones(self) -> list[tuple[str, Danger]]:
        """Return the dangers in question that no answer has acquitted, worst and likeliest first.

        A complaint is not among them: who has it tells it, and its causes are.
        """
        return [(cid, danger) for cid, danger in self._questioned() if not self._acquitted(cid)]

    def in_question(self) -> DriveAdvice | None:
        """Return the advice while a danger in question is not acquitted."""
        for cid, danger in self._questioned():
            if not self._acquitted(cid):
                limits = danger.limits if danger.advice is Drive.LIMP else LIMP_LIMITS
                return DriveAdvice(Drive.LIMP, danger.because, limits, cid, sure=False)
        return None

    def _questioned(self) -> list[tuple[str, Danger]]:
        found: list[tuple[int, float, str, Danger]] = []
        for cid, danger in _dangers(self.known.book):
            complaint = self.known.book.conditions[cid].kind is Nature.COMPLAINT
            if complaint or self.known.status(cid) in (*FOUND, Status.RULED_OUT):
                continue
            was = _middle(self.known.figures.glance_before(cid))
            now = max(_middle(figures.glance(cid, QUESTION)) for figures in self.beliefs)
            if now >= max(IN_QUESTION_FROM, RISE_FROM * was):
                found.append((DRIVE_RANK[danger.advice], now, cid, danger))
        found.sort(key=lambda one: (-one[0], -one[1], one[2]))
        return [(cid, danger) for _, _, cid, danger in found]

    def _acquitted(self, cid: str) -> bool:
        """Say whether an answer on a danger, a cause or an effect of it leaves it unlikely."""
        return self._is_answered(cid) and all(
            figures.presence_of([cid], (ACQUITTED_BELOW,))[cid].high < ACQUITTED_BELOW
            for figures in self.beliefs
        )

    def _is_answered(self, cid: str) -> bool:
        graph = self.known.graph
        near = {cid, *graph.pred[cid], *graph.succ[cid]}
        pairs = self.known.weighed.pairs.values()
        return any(speaks_against(pair) for said in pairs for c, pair in said.items() if c in near)


def speaks_against(pair: Pair) -> bool:
    """Say whether likelihoods speak against a condition."""
    return pair[0] < pair[1]


def as_told(known: Known) -> list[dict[str, Pair]]:
    """Return the likelihoods of each complaint by itself, and of all, with all that acquits."""
    pairs = known.weighed.pairs
    complaints = [check for check, said in pairs.items() if _complains(known.book, said)]
    kept = [{check} for check in complaints]
    if len(complaints) > 1:
        kept.append(set(complaints))
    return [_factors(pairs, some) for some in kept]


def _complains(book: Book, said: Mapping[str, Pair]) -> bool:
    return any(
        pair[0] > pair[1] and book.conditions[cid].kind is Nature.COMPLAINT
        for cid, pair in said.items()
        if cid in book.conditions
    )


def _factors(pairs: Mapping[str, Mapping[str, Pair]], kept: set[str]) -> dict[str, Pair]:
    factors: dict[str, Pair] = {}
    for check, said in pairs.items():
        for cid, pair in said.items():
            if check in kept or speaks_against(pair):
                before = factors.get(cid, (1.0, 1.0))
                factors[cid] = (before[0] * pair[0], before[1] * pair[1])
    return factors


def chances_of_dangers(book: Book, statuses: Mapping[str, Status], figures: Figures) -> Chances:
    """Return what `worst_danger` goes by: the most that each open danger may be, and before it.

    Sums are made only for what could make the advice worse than it surely is.
    """
    dangers = {c: danger.advice for c, danger in _dangers(book)}
    told = {c: statuses.get(c, Status.UNKNOWN) for c in dangers}
    found = [c for c, status in told.items() if status in FOUND]
    surely = max((DRIVE_RANK[dangers[c]] for c in found), default=0)
    most: dict[str, float] = {}
    before: dict[str, float] = {}
    for cid in (c for c in dangers if c not in found and told[c] is not Status.RULED_OUT):
        figure, was = figures.glance(cid, LINES), figures.glance_before(cid)
        if figure.high >= max(DANGER_FROM, RISE_FROM * was.low):
            most[cid], before[cid] = figure.high, was.low
            if figure.low >= RISE_FROM * was.high:
                surely = max(surely, _rank(dangers[cid], figure.low))
    worse = [c for c in most if _rank(dangers[c], most[c]) > surely]
    sums = _most(worse, figures)
    before |= {c: figures.before(c, p / RISE_FROM).low for c, p in sums.items()}
    return Chances(most | sums, before)


def _most(dangers: list[str], figures: Figures) -> dict[str, float]:
    """Return the most that some dangers may be, as sure as the lines and the rise need it."""
    now = figures.presence_of(dangers, LINES)
    for cid in dangers:
        was = figures.before(cid, _middle(now[cid]) / RISE_FROM)
        if now[cid].high >= DANGER_FROM and now[cid].low < RISE_FROM * was.high:
            rise = RISE_FROM * _middle(was)
            now |= figures.presence_of([cid], (RISE_FROM * was.low, rise, RISE_FROM * was.high))
    return {cid: now[cid].high for cid in dangers}


def _middle(figure: Figure) -> float:
    return (figure.low + figure.high) / 2.0


def _rank(advice: Drive, chance: float) -> int:
    """Return how bad the advice is that a danger not found calls for, at a chance."""
    if chance < DANGER_FROM:
        return 0
    limps = advice is Drive.STOP and chance < STOP_FROM
    return DRIVE_RANK[Drive.LIMP if limps else advice]
