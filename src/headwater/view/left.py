"""What is left over: looks that would release something, bad answers that nothing explains."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.measure.answer import limit_of, say_given
from headwater.session.ask import cost_of, is_for_the_bench, not_worth_asking
from headwater.session.session import Session
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending, LooseEnd
from headwater.view.paper import Block, Paper, Tone, Words, listed, say
from headwater.view.words import minutes_words, percent, title

LOOKS_TOLD = 3
"""Looks that are named beside a held part."""
RIVALS_TOLD = 2
"""Origins between which a withdrawn release leaves it open."""


@dataclass(frozen=True, slots=True)
class LooseView:
    """A bad answer that no named origin accounts for; `outweighed` where other looks deny it."""

    check: str
    words: str
    conditions: tuple[str, ...]
    outweighed: bool


def loose_view(verdict: Assessment, one: LooseEnd) -> LooseView:
    """Return a bad answer that nothing explains yet."""
    return LooseView(one.check, answer_words(verdict, one.check), one.conditions, one.outweighed)


def answer_words(verdict: Assessment, check: str) -> str:
    """Return a question with the answer that stands."""
    judged, record = verdict.stand.answered[check], verdict.book.checks[check]
    answer = record.answer(judged.settled or "")
    said = answer.says if answer and answer.says else ""
    return f"{record.ask} {said or say_given(judged, limit_of(verdict.book, check))}"


def look_words(verdict: Assessment, check: str) -> str:
    """Return a look with its minutes, openings included, and its seat."""
    record = verdict.book.checks[check]
    minutes, _ = cost_of(verdict, record)
    return f"{record.ask} ({check}, {minutes_words(minutes)}, {record.seats[0].value})"


def end_paper(session: Session) -> Paper:
    """Return how a case stands when nothing more is asked, and what may still be typed."""
    told = [*end_blocks(session, typed=True)]
    told.append(say(Words("Enter closes it; or a further finding, or 'back'.", Tone.QUIET)))
    return Paper("", tuple(told), ())


def end_blocks(session: Session, *, typed: bool = False) -> Iterator[Block]:
    """Yield how a case stands when nothing more is asked; with what may be `typed` on."""
    verdict = session.verdict
    ending = verdict.ending
    yield say(Words(AT_THE_END[ending], Tone.STRONG))
    if ending is Ending.NOT_WORTH_MORE:
        looks = [look_words(verdict, item.check) for item in not_worth_asking(verdict)]
        yield listed(looks[:LOOKS_TOLD]) if looks else say("none of them at this seat")
        if looks and typed:
            yield say("'more' makes the first of them all the same.")
    if is_for_the_bench(verdict) and not verdict.settled:
        later = [look_words(verdict, item.check) for item in session.later()]
        yield say("An origin stands. What is left is for the bench:")
        yield listed(later[:LOOKS_TOLD])
        if typed:
            yield say("'more' goes on looking here all the same.")
    if session.acceptable:
        rows = [title(verdict.book, cid) for cid in session.acceptable]
        yield say("Nothing costly hangs on where this began, and it is probable:")
        yield listed(rows)
        if typed:
            yield say("'accept' takes it so.")
    undone = [look_words(verdict, check) for check in left_undone(verdict)]
    if undone and not verdict.settled:
        yield say("Left undone, and worth going back to:")
        yield listed(undone[:LOOKS_TOLD])


AT_THE_END = {
    Ending.DISPUTED: "Findings disagree, and nobody at this seat can look again.",
    Ending.SETTLED: "The verdict can no longer change at this seat.",
    Ending.SOUND: "Nothing abnormal was found.",
    Ending.OPEN: "Nothing more to ask at this seat.",
    Ending.NOT_WORTH_MORE: "The looks that are left cost more than they are likely to save:",
    Ending.UNDETERMINED: "No look that is left would name an origin.",
}


def left_undone(verdict: Assessment) -> list[str]:
    """Return the looks put without an answer that tells, which would still tell of something."""
    hand = {check for account in verdict.accounts.values() for check in account.at_hand}
    return sorted(hand & verdict.stand.put.keys())


def withdrawn_words(verdict: Assessment, part: str, check: str) -> Iterator[str]:
    """Yield why a part that was released is held now: the answer, and the rivals it brought up."""
    decision = verdict.decisions[part]
    yield f"after '{answer_words(verdict, check)}': {decision.because}"
    for account in (verdict.accounts[c] for c in decision.conditions if c in verdict.accounts):
        if account.named:
            continue
        live = [rival for rival in account.candidates if rival.origin][:RIVALS_TOLD]
        told = [f"{title(verdict.book, str(r.origin))} ({percent(r.share)})" for r in live]
        if told:
            yield f"'{title(verdict.book, account.condition)}' may come from: {', or '.join(told)}"
