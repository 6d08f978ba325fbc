"""The search for looks that would still name an origin.

For each live candidate a bound is tried first (nobody can ever see it, or its way; no look is left
that speaks of it or of a rival). Else looks are answered as a unit would answer them in which the
candidate did it, and the case is judged so: where that names an origin, those are its looks.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from math import log

from headwater.book.model import Check
from headwater.book.records import Book
from headwater.book.tables import Nature
from headwater.graph.causal import causes_of, likeliest_chains
from headwater.measure.answer import Judged
from headwater.rules.evidence import likelihoods
from headwater.rules.status import Status
from headwater.verdict.account import Account, Candidate
from headwater.verdict.gate import minutes_to_mend
from headwater.verdict.known import Known
from headwater.verdict.naming import LIVE_FROM, RIVAL_FROM
from headwater.verdict.reach import minutes_to_open, still_to_open

LOOKS = (3, 8, 20)
"""Looks that a candidate is tried with: few first, then more."""
FEW = 6
"""Looks left up to which each answer of each is tried by itself as well."""
PROOF_SAVES = 20.0
"""Minutes that it saves to know for certain, whatever is done: a unit less that comes back."""


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


Judge = Callable[[Sequence[Judged], str], bool]
"""Judges the case with more answers: whether they name an origin of a finding, without surprise."""


def looks_left(known: Known, account: Account) -> list[Check]:
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


def witness(
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
    for check in looks if len(looks) <= FEW else ():
        if any(judge([_said(check, word)], account.condition) for word in map(str, check.answers)):
            return (check.id,)
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

    return _said(check, max(map(str, check.answers), key=fits))


def _said(check: Check, word: str) -> Judged:
    return Judged(check.id, word, ((word, 1.0),), settled=word)


def prospect_of(
    known: Known, account: Account, candidate: Candidate, looks: Sequence[str]
) -> Prospect:
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
