"""The ends of a case, tried in their order, and the search that tells *open* from *undetermined*.

A case is undetermined when no way of answering the looks that are left would name an origin. For
each live candidate a bound is tried first (nobody can ever see it, or its way; no look is left that
speaks of it or of a rival). Else looks are answered as a unit would answer them in which the
candidate did it, and the case is judged so: where that names an origin, the case is open, and those
are its looks.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import log

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Nature, Sense
from headwater.graph.causal import causes_of, likeliest_chains
from headwater.measure.answer import Judged
from headwater.rules.evidence import Evidence, likelihoods
from headwater.rules.status import Status
from headwater.verdict.account import Account, Candidate
from headwater.verdict.decision import Decision
from headwater.verdict.gate import minutes_to_mend
from headwater.verdict.known import Known
from headwater.verdict.naming import LIVE_FROM, RIVAL_FROM
from headwater.verdict.reach import minutes_to_open, still_to_open

BUDGET = 6
"""Candidates that are tried for what would name them; with more of them a case counts as open."""
LOOKS = (3, 8, 20)
"""Looks that a candidate is tried with: few first, then more."""
PROOF_SAVES = 20.0
"""Minutes that it saves to know for certain, whatever is done: a unit less that comes back."""
PLAIN_FROM = 0.1
"""Bits from which a look plainly tells of what is behind a finding."""
SOUND_BELOW = 0.05
"""What a look hinted at is cleared below this probability."""


class Ending(StrEnum):
    """What a case comes to, in the order in which it is tried."""

    DISPUTED = "disputed"
    SETTLED = "settled"
    SOUND = "sound"
    OPEN = "open"
    NOT_WORTH_MORE = "not-worth-more"
    UNDETERMINED = "undetermined"

    @property
    def covers(self) -> bool:
        """True where a plan that corrects every candidate is offered: no look pays any more."""
        return self in (Ending.NOT_WORTH_MORE, Ending.UNDETERMINED)

    @property
    def is_open(self) -> bool:
        """True while there is something to look at, worth it or not."""
        return self in (Ending.DISPUTED, Ending.OPEN, Ending.NOT_WORTH_MORE)


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """A bad answer that no named origin accounts for. `outweighed` where it is rather not so."""

    check: str
    conditions: tuple[str, ...]
    outweighed: bool


@dataclass(frozen=True, slots=True)
class Prospect:
    """Looks that would name an origin of a finding, if the candidate did it.

    `minutes` of the looks with what they open; `saved` is what knowing is expected to save.
    """

    finding: str
    candidate: str
    looks: tuple[str, ...]
    minutes: float
    saved: float

    @property
    def worth_it(self) -> bool:
        """True when the looks are expected to save more minutes than they take."""
        return self.saved > self.minutes


@dataclass(frozen=True, slots=True)
class Close:
    """What a case comes to, and the ways by which looks that are left would settle it."""

    ending: Ending
    ways: tuple[Prospect, ...] = ()


Judge = Callable[[Sequence[Judged], str], bool]
"""Judges the case with more answers: whether they name an origin of a finding, without surprise."""


def is_settled(
    known: Known,
    evidence: Evidence,
    accounts: Mapping[str, Account],
    decisions: Mapping[str, Decision],
    loose: Iterable[LooseEnd],
) -> bool:
    """Say whether every finding has a named origin, no part is held, nothing bad left over."""
    if not accounts or is_disputed(known, evidence):
        return False
    explained = all(account.named for account in accounts.values())
    return (
        explained
        and not any(decision.held for decision in decisions.values())
        and all(one.outweighed for one in loose)
    )


def is_disputed(known: Known, evidence: Evidence) -> bool:
    """Say whether findings disagree and one more look may settle it."""
    return bool(evidence.disputed) or Status.DISPUTED in known.statuses.values()


def is_sound(known: Known, evidence: Evidence, loose: Iterable[LooseEnd]) -> bool:
    """Say whether everything told was cleared by looks, and nothing hinted at is still open."""
    told = [look for look in evidence.weighed.looks.values() if look.told]
    if not told or known.stand.unplaced or evidence.surprising:
        return False
    if not all(one.outweighed for one in loose):
        return False
    return all(
        _is_cleared(known, str(condition), look.stands is not None and look.stands.too_close)
        for look in told
        for judged in look.told
        for word, _ in judged.shares
        for condition in known.book.checks[look.check].answers[word].shows  # type: ignore[index]
    )


def _is_cleared(known: Known, condition: str, too_close: bool) -> bool:
    """Say whether something hinted at is not so; what was too close to call, a look must deny."""
    if condition not in known.book.conditions or known.status(condition) is Status.RULED_OUT:
        return True
    return not too_close and known.figures.glance(condition, [SOUND_BELOW]).high < SOUND_BELOW


def loose_ends(
    known: Known, evidence: Evidence, accounts: Mapping[str, Account]
) -> tuple[LooseEnd, ...]:
    """Return the bad answers that stand and whose conditions no named origin accounts for.

    What is confirmed has an account of its own and is none.
    """
    named = {chain.origin for a in accounts.values() if a.named for chain in a.chains}
    found = []
    for name, look in evidence.weighed.looks.items():
        word = look.stands.settled if look.stands else None
        answer = known.book.checks[name].answer(word) if word else None
        if answer is None or answer.sense is not Sense.BAD or look.neutral:
            continue
        shown = tuple(str(c) for c in answer.shows if c in known.book.conditions)
        if any(_is_accounted(known, c, accounts, named) for c in _to_explain(known, shown)):
            continue
        found.append(LooseEnd(name, shown, all(_is_unlikely(known, c) for c in shown)))
    return tuple(found)


def _is_unlikely(known: Known, condition: str) -> bool:
    """Say whether other looks outweigh an answer that shows a condition: it is rather absent."""
    ruled_out = known.status(condition) is Status.RULED_OUT
    return ruled_out or known.figures.glance(condition, [0.5]).high < 0.5


def _to_explain(known: Known, shown: Sequence[str]) -> Sequence[str]:
    """Return what an answer shows that wants an explanation: usages do only where nothing does."""
    return [c for c in shown if not known.is_usage(c)] or shown


def _is_accounted(
    known: Known, condition: str, accounts: Mapping[str, Account], named: Collection[str]
) -> bool:
    record = known.book.conditions[condition]
    if condition in accounts or known.status(condition) is Status.DISPUTED:
        return True
    if record.origin and (record.origin.usage or condition in named):
        return True
    # Not confirmed by itself, but what a named origin makes is no riddle.
    share = known.attribution.together(list(named), condition, 0.5) if named else None
    return share is not None and share.low >= 0.5


def close_of(
    known: Known,
    evidence: Evidence,
    accounts: Mapping[str, Account],
    decisions: Mapping[str, Decision],
    loose: Sequence[LooseEnd],
    judge: Judge,
) -> Close:
    """Return what a case comes to. The search is made only where nothing simpler decides it."""
    if is_disputed(known, evidence):
        return Close(Ending.DISPUTED)
    if is_settled(known, evidence, accounts, decisions, loose):
        return Close(Ending.SETTLED)
    if not accounts:
        sound = is_sound(known, evidence, loose)
        return Close(Ending.SOUND if sound else Ending.OPEN)
    unnamed = [account for account in accounts.values() if not account.named]
    if not unnamed:
        # A part waits, or something bad is left over: there is no origin to search for.
        waits = any(known.can_be_made(c) for one in loose for c in _about(known, one.conditions))
        return Close(Ending.OPEN if waits else Ending.UNDETERMINED)
    if any(_has_plain_look(known, account) for account in unnamed):
        return Close(Ending.OPEN)
    return _searched(known, unnamed, judge)


def _has_plain_look(known: Known, account: Account) -> bool:
    """Say whether a look is at hand that plainly tells, and may pay: then nobody need search."""
    told, saved = known.teller.about((account.condition,)), most_saved(known, account)
    return any(
        told.get(check, 0.0) >= PLAIN_FROM and known.book.checks[check].minutes <= saved
        for check in account.at_hand
    )


def _about(known: Known, conditions: Iterable[str]) -> list[Check]:
    return [known.book.checks[c] for cid in conditions for c in known.touching.get(cid, ())]


def _searched(known: Known, unnamed: Sequence[Account], judge: Judge) -> Close:
    """Return whether looks would name an origin, and whether any of them are worth making.

    The search ends with the first way that is. Where there is more to try than the budget allows,
    and a bound refutes none of it, the case is open.
    """
    ways: list[Prospect] = []
    left: list[tuple[Account, Candidate, list[Check]]] = []
    for account in unnamed:
        if looks := _looks_left(known, account):
            left += [
                (account, candidate, looks)
                for candidate in account.candidates
                if candidate.origin and not is_refuted(known, account, candidate, looks)
            ]
    left.sort(key=lambda item: -item[1].share)
    for account, candidate, looks in left[:BUDGET]:
        named = _witness(known, account, str(candidate.origin), looks, judge)
        if named is None:
            continue
        ways.append(_way(known, account, candidate, named))
        if ways[-1].worth_it:
            return Close(Ending.OPEN, tuple(ways))
    if ways and len(left) <= BUDGET:
        return Close(Ending.NOT_WORTH_MORE, tuple(ways))
    return Close(Ending.OPEN if len(left) > BUDGET else Ending.UNDETERMINED, tuple(ways))


def _looks_left(known: Known, account: Account) -> list[Check]:
    """Return the looks left that speak of anything behind a finding, or are at hand for it."""
    near = causes_of(known.live, account.condition)
    ids = {c for cid in near for c in known.touching.get(cid, ())} | set(account.at_hand)
    return [known.book.checks[c] for c in sorted(ids) if known.can_be_made(known.book.checks[c])]


def is_refuted(
    known: Known, account: Account, candidate: Candidate, looks: Sequence[Check]
) -> bool:
    """Say whether no answers to some looks can name a candidate: by bounds alone.

    It can be proven only where it is seen or can be, with every step of its way. Without proof it
    must be left over: then something must still lower each of its rivals, or raise it.
    """
    origin, found = str(candidate.origin), account.condition
    may_be_seen = known.is_seen(origin, found) or _can_be_shown(known, origin, found, looks)
    if known.is_usage(origin) and not may_be_seen:
        return True
    if may_be_seen and origin in likeliest_chains(known.provable, found):
        return False
    rivals = [c for c in account.candidates if c.origin != candidate.origin]
    open_rivals = [c.origin for c in rivals if c.origin and c.share >= RIVAL_FROM]
    speaks = {c for check in looks for c in check.speaks_of()}
    own = causes_of(known.live, origin) | {origin}
    return any(not speaks & (causes_of(known.live, r) | {r} | own) for r in open_rivals)


def _can_be_shown(known: Known, origin: str, found: str, looks: Iterable[Check]) -> bool:
    record = known.book.conditions[origin].origin
    wanted = {origin}
    if record is not None and record.usage:
        wanted = {str(trace) for trace in record.traces if trace != found}
    return any(
        sureness.decisive
        for check in looks
        for answer in check.answers.values()
        for condition, sureness in answer.shows.items()
        if condition in wanted
    )


def _witness(
    known: Known, account: Account, origin: str, looks: Sequence[Check], judge: Judge
) -> tuple[str, ...] | None:
    """Return looks that name an origin of a finding when answered as a unit would; None if not so.

    They are those that speak of the candidate, its way and its rivals, those that decide first.
    """
    there = _unit(known, account, origin)
    rivals = {c.origin for c in account.candidates if c.origin and c.share >= RIVAL_FROM}
    way = likeliest_chains(known.live, account.condition).get(origin, ())
    record = known.book.conditions[origin].origin
    near = {origin, *way, *(map(str, record.traces) if record else ())}

    def rank(check: Check) -> tuple[bool, bool, float, str]:
        decides = check.decides()
        return (not near & decides, not rivals & decides, check.minutes, check.id)

    wanted = near | rivals
    hand = set(account.at_hand)
    some = [c for c in looks if c.id in hand or wanted & set(c.speaks_of())]
    some.sort(key=rank)
    answers = [_answered(known.book, check, there) for check in some]
    for before, most in zip((0, *LOOKS), LOOKS, strict=False):
        if before < len(some) and judge(answers[:most], account.condition):
            return tuple(check.id for check in some[:most])
    return None


def _unit(known: Known, account: Account, origin: str) -> frozenset[str]:
    """Return what is present in a unit in which a candidate did it, with what is seen already.

    Of the worlds that belief has drawn, one with the fewest other origins; where there is none, the
    candidate's likeliest way by itself.
    """
    posterior = known.figures.posterior
    behind = known.attribution.behind(account.condition)
    others = 0
    for other, bits in behind.items():
        if other is None or not (other == origin or known.is_seen(other, account.condition)):
            others |= bits
    alone = behind.get(origin, 0) & ~others & posterior.valid
    if not alone:
        seen = {c for c, status in known.statuses.items() if status is Status.CONFIRMED}
        way = likeliest_chains(known.live, account.condition).get(origin, (origin,))
        return frozenset(seen | set(way))
    for root, bits in posterior.starts.items():
        needed = root.condition == origin
        fewer = alone & ~bits
        if fewer and not needed:
            alone = fewer
    world = alone & -alone
    place = posterior.worlds.network.conditions
    return frozenset(place[node] for node, bits in posterior.present.items() if bits & world)


def _answered(book: Book, check: Check, there: Collection[str]) -> Judged:
    """Return the likeliest answer of a check on a unit in which some conditions are present."""

    def fits(word: str) -> float:
        answer = book.checks[check.id].answers[word]  # type: ignore[index]
        pairs = ((likelihoods(answer, c), c in there) for c in check.speaks_of())
        return sum(log(pair[0] if present else pair[1]) for pair, present in pairs)

    word = max(map(str, check.answers), key=fits)
    return Judged(check.id, word, ((word, 1.0),), settled=word)


def _way(known: Known, account: Account, candidate: Candidate, looks: Sequence[str]) -> Prospect:
    """Return a way with its minutes, openings paid once, and what it is expected to save.

    Knowing saves the corrections of all other candidates; it does so as often as this one did it.
    """
    book = known.book
    checks = [book.checks[check] for check in looks]
    opens = {rid for check in checks for rid in still_to_open(book, check, known.stand.removed)}
    minutes = sum(check.minutes for check in checks) + minutes_to_open(book, opens)
    saved = candidate.share * _saved(known, account, str(candidate.origin))
    return Prospect(account.condition, str(candidate.origin), tuple(looks), minutes, saved)


def _saved(known: Known, account: Account, origin: str) -> float:
    """Return the minutes that it saves to know that an origin, and no other, did it.

    A sign that is no damage holds no part: nobody mends everything that may have led to it.
    """
    if known.book.conditions[account.condition].kind is not Nature.DAMAGE:
        return PROOF_SAVES
    live = (str(c.origin) for c in account.candidates if c.origin and c.share >= LIVE_FROM)
    others = [minutes_to_mend(known.book, known.statuses, c) for c in live if c != origin]
    return sum(others) + PROOF_SAVES


def most_saved(known: Known, account: Account) -> float:
    """Return the most minutes that knowing the origin of a finding is expected to save."""
    shares = [c for c in account.candidates if c.origin]
    return max((c.share * _saved(known, account, str(c.origin)) for c in shares), default=0.0)
