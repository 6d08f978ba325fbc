"""The ends of a case, tried in their order, and the search that tells *open* from *undetermined*.

A case is undetermined when no way of answering the looks that are left would name an origin
(`verdict.search`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from headwater.book.model import Check
from headwater.book.tables import Seat, Sense
from headwater.rules.evidence import Evidence
from headwater.rules.status import Status
from headwater.verdict.account import Account, Candidate
from headwater.verdict.decision import Decision
from headwater.verdict.known import Known
from headwater.verdict.reach import LookState, is_offered
from headwater.verdict.search import (
    FEW,
    Judge,
    Prospect,
    is_refuted,
    looks_left,
    most_saved,
    prospect_of,
    witness,
)

BUDGET = 6
"""Candidates that are tried for what would name them; with more of them a case counts as open."""
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
class Close:
    """What a case comes to, and the ways by which looks that are left would settle it."""

    ending: Ending
    ways: tuple[Prospect, ...] = ()


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
    said = (
        known.book.checks[look.check].answers[word]  # type: ignore[index]
        for look in told
        for judged in look.told
        for word, _ in judged.shares
    )
    return all(
        _is_cleared(known, str(condition), answer.sense is Sense.BAD)
        for answer in said
        for condition in answer.shows
    )


def _is_cleared(known: Known, condition: str, bad: bool) -> bool:
    """Say whether something hinted at is not so; what a bad answer shows, a look must deny."""
    if condition not in known.book.conditions or known.status(condition) is Status.RULED_OUT:
        return True
    return not bad and known.figures.glance(condition, [SOUND_BELOW]).high < SOUND_BELOW


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
        if is_sound(known, evidence, loose):
            return Close(Ending.SOUND)
        gone = not known.stand.not_understood and is_gone(known, known.book.checks.values())
        return Close(Ending.UNDETERMINED if gone else Ending.OPEN)
    unnamed = [account for account in accounts.values() if not account.named]
    if not unnamed:
        # A part waits, or something bad is left over: there is no origin to search for.
        waits = known.stand.not_understood or any(
            known.can_be_made(c) for one in loose for c in _about(known, one.conditions)
        )
        return Close(Ending.OPEN if waits else Ending.UNDETERMINED)
    if all(is_gone(known, [known.book.checks[c] for c in a.at_hand]) for a in unnamed):
        return Close(Ending.UNDETERMINED)
    if any(_has_plain_look(known, account) for account in unnamed):
        return Close(Ending.OPEN)
    return _searched(known, unnamed, judge)


def is_gone(known: Known, looks: Iterable[Check]) -> bool:
    """Say whether it cannot be told any more: looks are gone, and nobody knows what is left.

    What is left of some looks is then only the word of an owner who was asked twice and could not
    say: to know nothing once changes nothing but what is asked next.
    """
    stand = known.stand
    if LookState.GONE not in stand.states.values():
        return False
    left = (check for check in looks if known.can_be_made(check) and _is_asked(known, check))
    return all(set(c.seats) == {Seat.CALL} and not is_offered(c, stand) for c in left)


def _is_asked(known: Known, check: Check) -> bool:
    """Say whether what a check presumes was found, if it presumes anything."""
    found = (known.status(str(condition)) is Status.CONFIRMED for condition in check.presumes)
    return not check.presumes or any(found)


def _has_plain_look(known: Known, account: Account) -> bool:
    """Say whether a look is at hand that plainly tells, and may pay: then nobody need search.

    Where few looks are left, all are searched through; where a bound says that none of them can
    name anything, as with an owner's word where the rest is gone, none pays.
    """
    looks = looks_left(known, account)
    if len(looks) <= FEW or not _in_play(known, account, looks):
        return False
    told, saved = known.teller.about((account.condition,)), most_saved(known, account)
    return any(
        told.get(check, 0.0) >= PLAIN_FROM and known.book.checks[check].minutes <= saved
        for check in account.at_hand
    )


def _about(known: Known, conditions: Iterable[str]) -> list[Check]:
    return [known.book.checks[c] for cid in conditions for c in known.touching.get(cid, ())]


def _in_play(known: Known, account: Account, looks: Sequence[Check]) -> list[Candidate]:
    """Return the candidates that some looks may still name, as far as bounds say."""
    return [
        candidate
        for candidate in account.candidates
        if candidate.origin and not is_refuted(known, account, candidate, looks)
    ]


def _searched(known: Known, unnamed: Sequence[Account], judge: Judge) -> Close:
    """Return whether looks would name an origin, and whether any of them are worth making.

    The search ends with the first way that is. Where there is more to try than the budget allows,
    and a bound refutes none of it, the case is open, and nothing is tried.
    """
    left: list[tuple[Account, Candidate, list[Check]]] = []
    for account in unnamed:
        if looks := looks_left(known, account):
            left += [(account, one, looks) for one in _in_play(known, account, looks)]
    if len(left) > BUDGET:
        return Close(Ending.OPEN)
    left.sort(key=lambda item: -item[1].share)
    ways: list[Prospect] = []
    for account, candidate, looks in left:
        named = witness(known, account, str(candidate.origin), looks, judge)
        if named is None:
            continue
        ways.append(prospect_of(known, account, candidate, named))
        if ways[-1].worth_it:
            return Close(Ending.OPEN, tuple(ways))
    return Close(Ending.NOT_WORTH_MORE if ways else Ending.UNDETERMINED, tuple(ways))
