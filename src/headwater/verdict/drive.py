"""May the vehicle be driven? Always answered, never held back; errs on the safe side.

One of four: stop now, leave it parked until more is known, only so far and within limits, or OK to
drive in. Nothing known is *parked*. OK has to be earned: something was placed, nothing told is left
over, and every danger that the words make likelier is ruled out or unlikely because of an answer on
it, not for want of one. A danger that is found or likely sets the advice by itself (a
complaint only when it is told: who has it tells it, and its causes are weighed); one that is only
likely, not found, stops the vehicle from two in five on and lets it limp below, for a stop on
every possible danger would soon be a stop that nobody heeds.

The advice gets milder only by an answer that acquits, or when proven origins explain all that was
found; striking words that nobody understood never makes it milder than parked before that. So a
danger is as likely as any of these makes it: all answers; each complaint by itself, and all of
them, with every answer that acquits. One trouble does not talk another away.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from headwater.belief.figures import Figure, Figures
from headwater.belief.posterior import posterior
from headwater.belief.reweighed import figures_of
from headwater.book.model import Danger
from headwater.book.records import Book
from headwater.book.tables import (
    ACQUITTED_BELOW,
    AS_FOUND_FROM,
    DANGER_FROM,
    DRIVE_RANK,
    IN_QUESTION_FROM,
    LIMP_LIMITS,
    RISE_FROM,
    STOP_FROM,
    SURENESS,
    Drive,
    Nature,
)
from headwater.graph.causal import effects_of
from headwater.rules.status import Status
from headwater.verdict.account import Account, Naming
from headwater.verdict.acts import joined
from headwater.verdict.advice import DriveAdvice, outside_advice, together
from headwater.verdict.complaints import as_told, speaks_against, speaks_for
from headwater.verdict.known import Known

LINES = (DANGER_FROM, STOP_FROM, AS_FOUND_FROM)
QUESTION = (IN_QUESTION_FROM,)
SUMMED_AT_MOST = 3
"""So many dangers of which a glance does not tell whether they are in question are summed."""
FOUND = (Status.CONFIRMED, Status.DISPUTED)
NOTHING_TOLD = "nothing is known yet"
NOTHING_PLACED = "what was told was not understood, so somebody has to see or hear it first"
TO_BE_SEEN = "what was told has to be looked at first"
NOT_PLACED = "part of what was told is not understood yet"
LEFT_ASIDE = "part of what was told was left aside, and where it began is not proven yet"
ASKED_AWAY = "each danger that may be behind it was asked about, and is ruled out or unlikely"
EXPLAINED = "where it began is proven, and nothing dangerous comes of it"


@dataclass(frozen=True, slots=True)
class Chances:
    """The most that dangers may be, and the least that each was before anything was found."""

    most: dict[str, float]
    before: dict[str, float]


def drive_of(known: Known, accounts: Mapping[str, Account], dangers: Dangers) -> DriveAdvice:
    """Return whether the vehicle may be driven, from all that was told and found."""
    book = known.book
    ids = [oid for oid in (*book.emergencies, *book.elsewhere) if oid in known.stand.outside]
    wishes = [oid for oid in ids if oid in book.elsewhere and book.elsewhere[oid].wish]
    told = [outside_advice(book, oid) for oid in ids if oid not in wishes]
    if signs := [advice for advice in told if advice.outside in book.emergencies]:
        told = [together(signs), *told]
    # A wish says something of the vehicle only where nothing else does.
    pairs = (pair for said in known.weighed.pairs.values() for pair in said.values())
    wished = [] if any(map(speaks_for, pairs)) else [outside_advice(book, oid) for oid in wishes]
    found = [*told, *_of_findings(known, accounts, dangers)] or wished
    worst = max(found, key=lambda advice: DRIVE_RANK[advice.advice], default=None)
    if worst and worst.advice is Drive.OK and not accounts and known.stand.left_telling:
        return DriveAdvice(Drive.PARKED, LEFT_ASIDE)
    unknown = NOTHING_PLACED if known.stand.left_aside else NOTHING_TOLD
    return worst or DriveAdvice(Drive.PARKED, unknown)


def _of_findings(
    known: Known, accounts: Mapping[str, Account], dangers: Dangers
) -> Iterator[DriveAdvice]:
    """Yield what the findings call for; nothing where there are none and no words are left over."""
    found = list(_of_what_is_placed(known, accounts, dangers))
    yield from found
    words = _words_left(known, accounts)
    if words == TO_BE_SEEN and accounts and _is_mild_if_so(known):
        yield DriveAdvice(Drive.LIMP, TO_BE_SEEN, LIMP_LIMITS)
    elif words:
        worst = "".join(f"; also, {one.because}" for one in found if one.advice is Drive.LIMP)
        yield DriveAdvice(Drive.PARKED, f"{words}{worst}")


def _words_left(known: Known, accounts: Mapping[str, Account]) -> str:
    """Say why words hold milder advice back, or nothing.

    Those not understood always do; those struck while a complaint has no proven origin, for they
    may have told of the rest of it.
    """
    if known.stand.unplaced:
        seen_first = known.stand.to_see and not known.stand.not_understood
        return TO_BE_SEEN if seen_first else NOT_PLACED
    left = known.stand.left_aside and bool(accounts) and not is_explained(accounts)
    return LEFT_ASIDE if left else ""


def _is_mild_if_so(known: Known) -> bool:
    """Say whether no danger calls for more than limits, were all so that is to be looked at."""
    found, to_see = known.figures.posterior, known.stand.to_see
    if not found.worlds.position.keys() >= set(to_see):
        return False
    so = dict.fromkeys(to_see, SURENESS["strong"])
    factors = joined([found.factors, so])
    statuses = {**known.statuses, **dict.fromkeys(to_see, Status.CONFIRMED)}
    chances = chances_of_dangers(known.book, statuses, figures_of(posterior(found.worlds, factors)))
    worst = worst_danger(known.book, statuses, chances)
    return worst is None or DRIVE_RANK[worst.advice] <= DRIVE_RANK[Drive.LIMP]


def _of_what_is_placed(
    known: Known, accounts: Mapping[str, Account], dangers: Dangers
) -> Iterator[DriveAdvice]:
    if is_explained(accounts) and not known.stand.unplaced:
        comes = effects_of(known.graph, *_proven_origins(accounts))
        yield Dangers(known, comes).worst() or DriveAdvice(Drive.OK, EXPLAINED)
        return
    asked = dangers.in_question() if accounts else None
    if worst := dangers.worst(DRIVE_RANK[asked.advice] if asked else 0) or asked:
        yield worst
    elif accounts:
        yield DriveAdvice(Drive.OK, ASKED_AWAY)


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
    only: Collection[str] | None = None,
) -> DriveAdvice | None:
    """Return the worst advice of all dangers found or likely; None where there is none.

    What is not surely below a line counts as above it. With `only`, everything is explained: a
    danger counts while it is found, or if it comes of what explains it, and a complaint that is
    only a sign of danger is none any more.
    """
    worst: tuple[tuple[int, bool, float], DriveAdvice] | None = None
    for cid, danger in _dangers(book):
        status = statuses.get(cid, Status.UNKNOWN)
        sure = status in FOUND
        if only is not None and (danger.until_explained or not (sure or cid in only)):
            continue
        chance = 1.0 if sure else chances.most.get(cid, 0.0)
        if _is_complaint(book, cid) and not sure:
            continue
        risen = sure or chance >= RISE_FROM * chances.before.get(cid, 0.0)
        if status is Status.RULED_OUT or chance < DANGER_FROM or not risen:
            continue
        advice = replace(_advice_of(cid, danger, chance), sure=sure)
        rank = (DRIVE_RANK[advice.advice], sure, chance)
        if worst is None or rank > worst[0]:
            worst = rank, advice
    return worst[1] if worst else None


def _is_complaint(book: Book, cid: str) -> bool:
    """Say whether it is something that whoever has it tells: what is not told is not there."""
    return book.conditions[cid].kind is Nature.COMPLAINT


def advice_at(danger: Danger, chance: float) -> Drive:
    """Return what a danger calls for at a chance; OK where it is too unlikely to call for much."""
    if chance < DANGER_FROM:
        return Drive.OK
    if danger.advice is Drive.LIMP or chance < STOP_FROM:
        return Drive.LIMP
    return danger.advice if chance >= AS_FOUND_FROM else danger.likely or danger.advice


def _advice_of(cid: str, danger: Danger, chance: float) -> DriveAdvice:
    advice = advice_at(danger, chance)
    if advice is Drive.LIMP:
        return _within_limits(cid, danger)
    return DriveAdvice(advice, danger.because, condition=cid)


def _within_limits(cid: str, danger: Danger) -> DriveAdvice:
    return DriveAdvice(Drive.LIMP, danger.because, danger.limits or LIMP_LIMITS, cid)


def _dangers(book: Book) -> Iterator[tuple[str, Danger]]:
    for cid, record in book.conditions.items():
        if record.danger:
            yield cid, record.danger


@dataclass(frozen=True)
class Dangers:
    """The dangers of a case; once all is explained, `only` those that come of what explains it."""

    known: Known
    only: Collection[str] | None = None

    @cached_property
    def beliefs(self) -> list[Figures]:
        """What is believed: from all answers, and from the complaints alone with what acquits."""
        worlds = self.known.figures.posterior.worlds
        left_out = self.known.figures.posterior.model.left_out
        full = figures_of(self.known.figures.posterior) if left_out else self.known.figures
        if self.only is not None:
            return [full]
        told = [factors for factors in as_told(self.known) if factors != full.posterior.factors]
        return [full, *(figures_of(posterior(worlds, factors)) for factors in told)]

    def worst(self, floor: int = 0) -> DriveAdvice | None:
        """Return the worst advice of all dangers found or likely, in any of the beliefs.

        What cannot make it worse than `floor` is not looked into.
        """
        book, statuses = self.known.book, self.known.statuses
        found = []
        for figures in self.beliefs:
            chances = chances_of_dangers(book, statuses, figures, self.only, floor)
            found.append(worst_danger(book, statuses, chances, self.only))
        kept = [advice for advice in found if advice]
        return max(kept, key=lambda advice: DRIVE_RANK[advice.advice], default=None)

    def open_ones(self) -> Iterator[tuple[str, Danger]]:
        """Yield the dangers in question that no answer has acquitted, worst and likeliest first.

        A complaint is not among them: who has it tells it, and its causes are.
        """
        for cid, danger in self.questioned:
            if not self._acquitted(cid):
                yield cid, danger

    def in_question(self) -> DriveAdvice | None:
        """Return the advice while a danger in question is not acquitted."""
        for number, (cid, danger) in enumerate(self.open_ones()):
            if number >= SUMMED_AT_MOST or self._risen(cid):
                return replace(_within_limits(cid, danger), sure=False)
        return None

    def _risen(self, cid: str) -> bool:
        """Say whether a danger is in question, summed where a glance does not tell."""
        was = _middle(self.known.figures.glance_before(cid))
        line = max(IN_QUESTION_FROM, RISE_FROM * was)
        for figures in self.beliefs:
            now = figures.glance(cid, QUESTION)
            if now.low < line <= now.high:
                now = figures.presence_of([cid], (line,))[cid]
            if _middle(now) >= line:
                return True
        return False

    @cached_property
    def questioned(self) -> list[tuple[str, Danger]]:
        """The dangers in question, the worst and likeliest first."""
        found: list[tuple[int, float, str, Danger]] = []
        for cid, danger in _dangers(self.known.book):
            complaint = _is_complaint(self.known.book, cid)
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


def chances_of_dangers(
    book: Book,
    statuses: Mapping[str, Status],
    figures: Figures,
    only: Collection[str] | None = None,
    floor: int = 0,
) -> Chances:
    """Return what `worst_danger` goes by: the most that each open danger may be, and before it.

    Sums are made only for what could make the advice worse than it surely is, or than `floor`,
    worst first. What cannot counts with the least that it may be, so that no doubtful danger gives
    the reason. `only` as in `worst_danger`.
    """
    dangers = dict(_dangers(book))
    told = {c: statuses.get(c, Status.UNKNOWN) for c in dangers}
    found = [c for c, status in told.items() if status in FOUND]
    surely = max(floor, *(DRIVE_RANK[dangers[c].advice] for c in found), 0)
    rough: dict[str, tuple[Figure, Figure]] = {}
    for cid in (c for c in dangers if c not in found and told[c] is not Status.RULED_OUT):
        if _is_complaint(book, cid) or (only is not None and cid not in only):
            continue
        figure, was = figures.glance(cid, LINES), figures.glance_before(cid)
        if figure.high >= max(DANGER_FROM, RISE_FROM * was.low):
            rough[cid] = figure, was
            if figure.low >= RISE_FROM * was.high:
                surely = max(surely, _rank(dangers[cid], figure.low))
    chances = Chances({}, {})

    def worst_first(cid: str) -> tuple[int, float]:
        now, was = rough[cid]
        return -_rank(dangers[cid], now.high), -_middle(now) / max(_middle(was), 1e-9)

    for cid in sorted(rough, key=worst_first):
        now, was = rough[cid]
        if _rank(dangers[cid], now.high) > surely:
            now, was = _summed(cid, figures)
            if now.high >= RISE_FROM * was.low:
                surely = max(surely, _rank(dangers[cid], now.high))
            chances.most[cid], chances.before[cid] = now.high, was.low
        elif now.low >= RISE_FROM * was.high:
            chances.most[cid], chances.before[cid] = now.low, was.high
    return chances


def _summed(cid: str, figures: Figures) -> tuple[Figure, Figure]:
    """Return what a danger may be now and was before, as sure as the lines and the rise need it."""
    now = figures.presence_of([cid], LINES)[cid]
    was = figures.before(cid, _middle(now) / RISE_FROM)
    if now.high >= DANGER_FROM and now.low < RISE_FROM * was.high:
        rise = RISE_FROM * _middle(was)
        now = figures.presence_of([cid], (RISE_FROM * was.low, rise, RISE_FROM * was.high))[cid]
        was = figures.before(cid, now.high / RISE_FROM)
    return now, was


def _middle(figure: Figure) -> float:
    return (figure.low + figure.high) / 2.0


def _rank(danger: Danger, chance: float) -> int:
    """Return how bad the advice is that a danger not found calls for, at a chance."""
    return DRIVE_RANK[advice_at(danger, chance)]
