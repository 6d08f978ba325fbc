"""A case on one page, the verdict first: what failed, where it began, what to do, what is held."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.rules.status import Status
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.view.advice import advice_block
from headwater.view.approved import approval_sections
from headwater.view.audit import earlier_sections
from headwater.view.case import CaseView, PartView, case_view
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
from headwater.view.shop import findings_block
from headwater.view.told import told_blocks
from headwater.view.tree import Wording, case_trees
from headwater.view.verdict import next_sections, two_ways_named
from headwater.view.words import minutes_words, percent, title

MOST_CANDIDATES = 4
MOST_FELLOWS = 12
"""Conditions of one kind that are listed; the rest is counted."""


def summary_paper(session: Session) -> Paper:
    """Return a case as its page shows it."""
    view = case_view(session)
    sections = (
        Section("What failed", tuple(_failed(view))),
        Section("Where it began", tuple(_began(view))),
        Section("What to do", tuple(_to_do(view))),
        Section("Held, and what would release it", tuple(_held(view))),
        *approval_sections(session),
        *earlier_sections(session),
        Section("How it hangs together", tuple(_drawn(session))),
        Section("Findings", (findings_block(view.findings),)),
        *photograph_sections(session),
        Section("What stands how", tuple(_standing(session, view))),
        *next_sections(view),
        Section("Cautions", (listed(view.cautions),)),
    )
    head = (say(Words(view.headline, Tone.STRONG)), advice_block(view.drive))
    own = (*head, *told_blocks(session))
    return Paper(f"Case {view.case}", own, tuple(one for one in sections if one.blocks))


def _failed(view: CaseView) -> Iterator[Block]:
    rows = [f"{part.title}: {'; '.join(part.found)}" for part in view.parts if part.found]
    rows += [one.words for one in view.loose]
    yield listed(rows) if rows else say("Nothing that was found is damage yet.")


def _began(view: CaseView) -> Iterator[Block]:
    named = [one for one in view.origins if one.status is not Naming.OPEN]
    if named:
        yield Entries(
            tuple(
                Entry((Words(one.title, Tone.STRONG), Words(f"({one.status.value})")))
                for one in named
            )
        )
    for one in view.unexplained:
        known = [c for c in one.candidates if c.origin][:MOST_CANDIDATES]
        if not known:
            yield say(f"{one.title}: its cause is not in the book.")
            continue
        yield say(f"{one.title} may have begun with:")
        yield listed(f"{c.title}: {percent(c.share)}" for c in known)
    if not named and not view.unexplained:
        yield say("Nothing was found that began somewhere.")


def _to_do(view: CaseView) -> Iterator[Block]:
    rows = []
    for step in view.plan:
        time = f" ({minutes_words(step.minutes)})" if step.minutes else ""
        rows.append(f"{step.title}: {step.action.value}{time}" if step.action else "")
    if done := [row for row in rows if row]:
        yield Entries(tuple(Entry((Words(row),)) for row in done), numbered=True)
    elif view.now:
        yield say("First look further:")
        yield listed(item.words for item in view.now[:3])
    elif not view.verdict.covers:
        yield say("There is no plan yet.")
    yield from two_ways_named(view)


def _held(view: CaseView) -> Iterator[Block]:
    held = [part for part in view.parts if part.held]
    if held:
        yield Entries(tuple(map(_held_part, held)))


def _held_part(part: PartView) -> Entry:
    looks = tuple(f"would tell: {look}" for look in part.looks)
    return Entry((Words("HELD", Tone.HELD), Words(f"{part.title}: {part.because}.")), looks)


def _drawn(session: Session) -> Iterator[Block]:
    words = Wording(session.book)
    yield from (Drawing(tree) for tree in case_trees(session.verdict, words))


def _standing(session: Session, view: CaseView) -> Iterator[Block]:
    """Yield what is found, expected and ruled out, each in its shape and in words."""
    kinds = (
        (Status.CONFIRMED, Tone.FOUND, "found:"),
        (Status.EXPECTED, Tone.EXPECTED, "expected:"),
        (Status.RULED_OUT, Tone.RULED_OUT, "ruled out:"),
    )
    entries = []
    for status, tone, word in kinds:
        known = [title(session.book, c.id) for c in view.conditions if c.status is status]
        entries += [Entry((Words(word, tone), Words(text))) for text in known[:MOST_FELLOWS]]
        if len(known) > MOST_FELLOWS:
            more = f"{len(known) - MOST_FELLOWS} more"
            entries.append(Entry((Words(word, tone), Words(more))))
    if entries:
        yield Entries(tuple(entries))
