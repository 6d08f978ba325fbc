"""The report for the customer: the same verdict in plain words, without the bench's detail."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from headwater.book.tables import Nature
from headwater.rules.status import Status
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.ending import Ending
from headwater.view.advice import advice_block
from headwater.view.approved import approval_sections
from headwater.view.case import STANDING_CAUTION, CaseView, StepView, case_view
from headwater.view.letterhead import head_blocks, signature_section, warranty_sections
from headwater.view.paper import (
    Block,
    Drawing,
    Entries,
    Entry,
    Paper,
    Section,
    Tone,
    Words,
    listed,
    say,
)
from headwater.view.photographs import photograph_sections
from headwater.view.quote import quote_section
from headwater.view.shop import Reporting
from headwater.view.tree import Wording, case_trees, shown_chains
from headwater.view.verdict import is_left_to_watch
from headwater.view.words import percent, verb_in_plain

HEADLINES = {
    Ending.SETTLED: "We know where the trouble began, and it explains everything that we found.",
    Ending.DISPUTED: "Two things that we found do not agree. We have to look again.",
    Ending.NOT_WORTH_MORE: "We do not know where it began. To find out would cost too much.",
    Ending.OPEN: "We do not know yet where the trouble began. There is more to look at.",
    Ending.UNDETERMINED: "We could not prove where it began, and nothing is left to look at.",
    Ending.SOUND: "We found nothing wrong with what we looked at.",
}
GUESSED = "We know where the trouble most probably began. Not all of it could be seen."
SURE = {
    Naming.PROVEN: "It began here, and we have seen it:",
    Naming.PROBABLE: "It most probably began here; we could not see all of it:",
}
ON_HOLD = (
    "Nothing is done here yet: what began the harm is not known, and until it is put right the "
    "harm would come back."
)


def owner_paper(reporting: Reporting) -> Paper:
    """Return the report for the customer."""
    session, view = reporting.session, case_view(reporting.session)
    words = Wording(session.book, plain=True)
    head = reporting.letterhead
    tax = head.tax if head else None
    priced = [quote_section(reporting.pricing, tax)] if reporting.pricing else []
    told = (say(f"You told us: {'; '.join(view.told)}"),) if view.told else ()
    sections = [
        Section("May it be driven?", (advice_block(view.drive),)),
        Section("What we found", (*told, *_found(session, words))),
        *photograph_sections(session, reporting.pictures, plain=True),
        Section("Why it happened", tuple(_why(session, view, words))),
        Section("What is to be done", tuple(_work(view))),
        *priced,
        *approval_sections(session),
        Section("What we did not check", tuple(_open(view))),
        *warranty_sections(head),
        signature_section(session, reporting.pricing),
    ]
    book = view.book
    return Paper(
        f"What we found on your vehicle: {view.case}",
        (*head_blocks(head, session.case), say(Words(_headline(session), Tone.STRONG))),
        tuple(section for section in sections if section.blocks),
        f"Written {reporting.on}. Judged with the book {book.name}, version {book.version} "
        f"({book.digest}). {STANDING_CAUTION}",
        sheet=head.sheet.value if head else "",
    )


def _headline(session: Session) -> str:
    guessed = Naming.PROBABLE in session.verdict.origins.values()
    settled = session.verdict.settled
    return GUESSED if settled and guessed else HEADLINES[session.verdict.ending]


def _found(session: Session, words: Wording) -> Iterator[Block]:
    """Yield what is confirmed: first what the driver notices, then what we saw."""
    verdict = session.verdict
    confirmed = [c for c, s in verdict.statuses.items() if s is Status.CONFIRMED]
    confirmed.sort(key=lambda cid: verdict.book.conditions[cid].kind is not Nature.COMPLAINT)
    names = [words.condition(cid) for cid in confirmed]
    yield listed(names) if names else say("Nothing is certain yet.")
    for cid in verdict.disputed:
        yield say(f"We have to look again at this: {words.condition(cid)}.")


def _why(session: Session, view: CaseView, words: Wording) -> Iterator[Block]:
    verdict = session.verdict
    for origin, naming in verdict.origins.items():
        yield say(SURE[naming], Words(f"{words.condition(origin)}.", Tone.STRONG))
    yield from (Drawing(tree) for tree in case_trees(verdict, words, shown_chains(verdict)))
    for one in view.unexplained:
        text = f"We cannot say yet what led to this: {words.condition(one.condition)}."
        if one.in_book:
            text += f" The drawing shows what may have; something else: {percent(one.other)}."
        yield say(text)


def _work(view: CaseView) -> Iterator[Block]:
    """Yield the plan, and why what is on hold is on hold."""
    if view.plan:
        yield say("In this order, what began it too, so that the repair lasts:")
        yield Entries(tuple(_step(step) for step in view.plan), numbered=True)
    held = "; ".join(part.title for part in view.parts if part.held)
    if held:
        yield say(Words("ON HOLD", Tone.HELD), f"{held}. {ON_HOLD}")
    if is_left_to_watch(view):
        yield say("The rest we look at again once that is done.")
    elif view.verdict.covers:
        yield from _two_ways(view.cover)
    elif not view.plan and not held:
        yield say("Nothing for now.")


def _step(step: StepView) -> Entry:
    if step.action is None:
        return Entry((Words(step.title, Tone.STRONG), Words("ON HOLD", Tone.HELD)))
    said = Words(f"{step.title} {verb_in_plain(step.action)}.", Tone.STRONG)
    return Entry((said, Words(step.step)))


def _two_ways(cover: Sequence[StepView]) -> Iterator[Block]:
    """Yield what can be done where the origin cannot be found any more."""
    if not cover:
        yield say("The way that is left: fit an exchange unit.")
        return
    yield say("One way: put right everything that may have begun it.")
    yield listed([f"{step.title} {verb_in_plain(step.action)}" for step in cover])
    yield say("The other way: fit an exchange unit.")


def _open(view: CaseView) -> Iterator[Block]:
    """Yield what nobody could say, and how many checks would still tell something."""
    empty = [f"{f.ask} {f.words[:1].upper()}{f.words[1:]}." for f in view.findings if f.special]
    if empty:
        yield listed(empty)
    gone = f"We went through {_count(len(view.findings), 'question')} of our list."
    if view.verdict.covers:
        yield say(gone)
        return
    left = len(view.now) + len(view.later)
    yield say(gone, _left_words(left, view.verdict is Ending.SETTLED))


def _left_words(left: int, settled: bool) -> str:
    if not left:
        return "No further look would tell us more."
    if settled:
        looks = _count(left, "quick look")
        return f"While it is apart, {looks} at its neighbours would be worth it."
    return f"{_count(left, 'further look')} would tell us more.".capitalize()


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
