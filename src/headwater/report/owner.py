"""The report for the customer: the same verdict in plain words, without the bench's detail."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from headwater.book.tables import Nature
from headwater.report.contract import STANDING_CAUTION
from headwater.report.found import Found, found_rows
from headwater.report.text import drive_words
from headwater.rules.status import Status
from headwater.session.ask import later_checks, next_checks
from headwater.session.session import Session
from headwater.verdict.assess import Assessment, Ending
from headwater.verdict.naming import Naming
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
from headwater.view.tree import Wording, case_trees
from headwater.view.words import part_title, percent, verb_in_plain

HEADLINES = {
    Ending.SETTLED: "We know where the trouble began, and it explains everything that we found.",
    Ending.OPEN: "We do not know yet where the trouble began. There is more to look at.",
    Ending.UNDETERMINED: "We could not prove where it began, and nothing is left to look at.",
    Ending.HEALTHY: "We found nothing wrong with what we looked at.",
}


def owner_paper(session: Session, on: date, options: Sequence[Section] = ()) -> Paper:
    """Return the report for the customer. `options` are priced ways to go, made elsewhere."""
    assessment = session.verdict
    book = assessment.book
    words = Wording(book, plain=True)
    rows = found_rows(session)
    told = (say(f"You told us: {session.case.complaint}"),) if session.case.complaint else ()
    sections = [
        Section("May it be driven?", (say(drive_words(assessment.drive()), boxed=True),)),
        Section("What we found", (*told, *_found(assessment, words))),
        Section("Why it happened", tuple(_why(assessment, words))),
        Section("What is to be done", tuple(_work(assessment))),
        *options,
        Section("What we did not check", tuple(_open(assessment, rows))),
    ]
    return Paper(
        f"What we found on your vehicle: {session.case.case}",
        (say(Words(_headline(assessment), Tone.STRONG)),),
        tuple(section for section in sections if section.blocks),
        f"Written {on}. Judged with the book {book.name}, version {book.version} ({book.digest}). "
        f"{STANDING_CAUTION}",
    )


def _headline(assessment: Assessment) -> str:
    guessed = Naming.PROBABLE in assessment.origins.values()
    if assessment.ending is Ending.SETTLED and guessed:
        return "We know where the trouble most probably began. Not all of it could be seen."
    return HEADLINES[assessment.ending]


def _found(assessment: Assessment, words: Wording) -> Iterable[Block]:
    """Yield what is confirmed: first what the driver notices, then what we saw."""
    confirmed = [c for c, s in assessment.statuses.items() if s is Status.CONFIRMED]
    kinds = assessment.book.conditions
    confirmed.sort(key=lambda cid: kinds[cid].kind is not Nature.COMPLAINT)
    if confirmed:
        yield listed([words.condition(cid) for cid in confirmed])
    else:
        yield say("Nothing is certain yet.")
    for cid in assessment.disputed:
        yield say(f"We have to look again at this: {words.condition(cid)}.")


def _why(assessment: Assessment, words: Wording) -> Iterable[Block]:
    sure = {
        Naming.PROVEN: "It began here, and we have seen it:",
        Naming.PROBABLE: "It most probably began here; we could not see all of it:",
    }
    for origin, naming in assessment.origins.items():
        yield say(sure[naming], Words(f"{words.condition(origin)}.", Tone.STRONG))
    for tree in case_trees(assessment, words):
        yield Drawing(tree)
    for cid in assessment.unexplained:
        yield from _unexplained(assessment, words, cid)


def _unexplained(assessment: Assessment, words: Wording, cid: str) -> Iterable[Block]:
    account = assessment.accounts[cid]
    other = next((c.share for c in account.candidates if c.origin is None), 1.0)
    text = f"We cannot say yet what led to this: {words.condition(cid)}."
    if account.in_book:
        text += f" The drawing shows what may have; something else: {percent(other)}."
    yield say(text)


def _work(assessment: Assessment) -> Iterable[Block]:
    """Yield the plan, and why what is on hold is on hold."""
    steps = []
    for step in assessment.plan:
        name = part_title(assessment.book, step.on)
        if step.action is None:
            steps.append(Entry((Words(name, Tone.STRONG), Words("ON HOLD", Tone.HELD))))
        else:
            said = Words(f"{name} {verb_in_plain(step.action)}.", Tone.STRONG)
            steps.append(Entry((said, Words(step.text))))
    if steps:
        yield say("In this order, what began it first, so that the repair lasts:")
        yield Entries(tuple(steps), numbered=True)
    held = [part_title(assessment.book, part) for part in assessment.held]
    if held:
        yield say(
            Words("ON HOLD", Tone.HELD),
            f"{'; '.join(held)}. Nothing is done here yet: what began the harm is not known, and "
            "until it is put right the harm would come back.",
        )
    if assessment.ending is Ending.UNDETERMINED:
        yield from _two_ways(assessment)
    elif not steps and not held:
        yield say("Nothing for now.")


def _two_ways(assessment: Assessment) -> Iterable[Block]:
    """Yield what can be done where the origin cannot be found any more."""
    if assessment.cover:
        yield say("One way: put right everything that may have begun it.")
        names = [
            f"{part_title(assessment.book, step.on)} {verb_in_plain(step.action)}"
            for step in assessment.cover
        ]
        yield listed(names)
        yield say("The other way: fit an exchange unit.")
    else:
        yield say("The way that is left: fit an exchange unit.")


def _open(assessment: Assessment, rows: Sequence[Found]) -> Iterable[Block]:
    """Yield what nobody could say, and how many checks would still tell something."""
    empty = [
        f"{row.ask} {row.answer[:1].upper()}{row.answer[1:]}."
        for row in rows
        if assessment.stand.answered[row.check].special
    ]
    if empty:
        yield listed(empty)
    settled = assessment.ending is Ending.SETTLED
    gone = f"We went through {_count(len(rows), 'question')} of our list."
    if assessment.ending is Ending.UNDETERMINED:
        yield say(gone)
        return
    left = len(next_checks(assessment)) + (0 if settled else len(later_checks(assessment)))
    yield say(gone, _left_words(left, settled))


def _left_words(left: int, settled: bool) -> str:
    if not left:
        return "No further look would tell us more."
    if settled:
        return (
            f"While it is apart, {_count(left, 'quick look')} at its neighbours would be worth it."
        )
    return f"{_count(left, 'further look')} would tell us more.".capitalize()


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
