"""What the customer approved, as every paper tells it."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.case.model import Approval, ApprovedBy
from headwater.session.approval import approvals
from headwater.session.session import Session
from headwater.view.paper import Block, Facts, Section, Tone, Words, listed, say

HOW = {
    ApprovedBy.PHONE: "by telephone",
    ApprovedBy.IN_PERSON: "in person",
    ApprovedBy.IN_WRITING: "in writing",
}
BEFORE = "Approved before, and replaced by it:"


def approval_sections(session: Session) -> Iterator[Section]:
    """Yield what the customer approved, if anything: the last approval, then those before it."""
    every = approvals(session)
    if every:
        yield Section("Approved by the customer", tuple(_blocks(every)))


def _blocks(every: tuple[Approval, ...]) -> Iterator[Block]:
    last, before = every[-1], every[:-1]
    yield say(Words(f"{last.amount}.", Tone.STRONG), *_words(last))
    if last.sums:
        yield Facts(
            tuple((name[:1].upper() + name[1:], amount) for name, amount in last.sums.items())
        )
    if before:
        yield say(Words(BEFORE, Tone.QUIET))
        texts = (" ".join((f"{one.amount}.", *_words(one))) for one in before)
        yield listed(texts)


def _words(approval: Approval) -> Iterator[str]:
    yield f"{approval.by}, {HOW[approval.how]}, on {approval.on}."
    if approval.quote:
        yield f"Quoted: {approval.quote}."
