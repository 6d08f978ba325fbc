"""The report for the shop: everything, in full."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from headwater import __version__
from headwater.book.tables import Seat
from headwater.session.letterhead import Letterhead
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.view.advice import advice_block
from headwater.view.answers import SEAT_WORDS, FindingView
from headwater.view.approved import approval_sections
from headwater.view.case import CaseView, NextView, StepView, case_view
from headwater.view.letterhead import head_blocks
from headwater.view.options import Pricing, options_sections
from headwater.view.paper import (
    Block,
    Drawing,
    Entries,
    Entry,
    Facts,
    Grid,
    Paper,
    Section,
    Tone,
    Words,
    cell,
    listed,
    say,
)
from headwater.view.photographs import photograph_sections
from headwater.view.tree import MOST_CANDIDATES, Seen, Wording, case_trees, seen_words, shown_chains
from headwater.view.verdict import LEFT_TO_WATCH, TWO_WAYS, is_left_to_watch, two_ways
from headwater.view.words import minutes_words, part_title, percent, title

STANDS = {
    Seat.CALL: "with its driver, on the phone",
    Seat.HOIST: "in its vehicle on the hoist",
    Seat.BENCH: "on the bench",
}
MOST_NEXT = 8


@dataclass(frozen=True, slots=True)
class Reporting:
    """A case to be written up on a day, for the shop or its customer; priced where it is to be.

    `pictures` are the photographs that the report is to hold, by name; `letterhead` is what the
    shop has on its papers.
    """

    session: Session
    on: date
    pricing: Pricing | None = None
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    letterhead: Letterhead | None = None


def shop_paper(reporting: Reporting) -> Paper:
    """Return the report for the shop."""
    session, view = reporting.session, case_view(reporting.session)
    priced = options_sections(reporting.pricing) if reporting.pricing else []
    head = reporting.letterhead
    sections = [
        Section("Unit and complaint", (unit_facts(session),)),
        Section("Findings", (findings_block(view.findings),)),
        *photograph_sections(session, reporting.pictures),
        Section("The chain", tuple(_chain(session, view))),
        Section("Parts", (_parts(view),)),
        Section("Plan", tuple(_plan(view))),
        *priced,
        *approval_sections(session),
        Section("Cautions", (listed(view.cautions),)),
        Section("Not checked", tuple(_not_checked(session, view))),
        Section("Book", (_book_facts(reporting, view),)),
    ]
    return Paper(
        f"Case {view.case}",
        (
            *head_blocks(head, session.case),
            say(Words(view.headline, Tone.STRONG)),
            advice_block(view.drive),
        ),
        tuple(section for section in sections if section.blocks),
        f"Case {view.case}, written {reporting.on}, "
        f"book {view.book.name} {view.book.version} ({view.book.digest})",
        sheet=head.sheet.value if head else "",
    )


def unit_facts(session: Session) -> Facts:
    """Return what the unit is, what its owner said and what became of it."""
    case, book = session.case, session.book
    rows = [("Told", "; ".join(f'"{words}"' for words in case.told))]
    rows.append(("Told, not placed", "; ".join(case.not_placed)))
    for name, value in session.family.items():
        attribute = session.open_book.book.attributes[name]  # those of other units, too
        rows.append((attribute.ask, attribute.values[value]))
    rows += [("History", case.unit.history), ("Stands", STANDS[case.seat])]
    if case.unit.removed is not None:
        names = [book.removals[r].title for r in sorted(session.stand.removed)]
        rows.append(("Taken off", "; ".join(names) or "nothing"))
    return Facts(tuple((name, text) for name, text in [*rows, *_life(session)] if text))


def _life(session: Session) -> Iterator[tuple[str, str]]:
    case = session.case
    yield "Comeback of", case.earlier
    for done in case.done:
        note = f" ({done.note})" if done.note else ""
        yield "Done", f"{part_title(session.book, str(done.on))}: {done.action}{note}"
    if case.outcome:
        back = "it came back" if case.outcome.comeback else "it did not come back"
        after = f" after {case.outcome.after}" if case.outcome.after else ""
        note = f" ({case.outcome.note})" if case.outcome.note else ""
        yield "Outcome", f"{back}{after}{note}"


def findings_block(rows: Sequence[FindingView]) -> Block:
    """Return what was found, in order, with its limits and what it decides."""
    if not rows:
        return say("Nothing was found yet.")
    head = ("No.", "Check", "Answer", "Limit", "What it decides")
    return Grid(head, tuple(_finding(row) for row in rows))


def _finding(row: FindingView) -> tuple[tuple[Words, ...], ...]:
    where = " ".join(word for word in (row.seat, row.at) if word)
    source = f"Source: {row.source}" if row.source else ""
    note = f"Note: {row.note}" if row.note else ""
    working = [Words(text, Tone.QUIET) for text in row.working]
    return (
        cell(str(row.number)),
        cell(row.ask, Words(where, Tone.QUIET)),
        cell(Words(row.words + row.measured, Tone.STRONG), *working, note),
        cell(row.limit or "not measured", Words(source, Tone.QUIET)),
        cell(*(row.shows or ("nothing for certain",))),
    )


def _chain(session: Session, view: CaseView) -> Iterator[Block]:
    """Yield the drawings, and beneath them what proves each link."""
    verdict = session.verdict
    words = Wording(verdict.book, numbers={row.check: row.number for row in view.findings})
    for cid in view.disputed:
        text = f"Disputed: {title(verdict.book, cid)}. Decisive findings disagree: look again."
        yield say(Words(text, Tone.HELD))
    yield from (Drawing(tree) for tree in case_trees(verdict, words, shown_chains(verdict)))
    yield from _unexplained(view)
    links = _links(session, view)
    if links.rows:
        yield say(Words("Link by link", Tone.STRONG))
        yield links
    if not verdict.accounts and not view.disputed:
        yield say("There is no chain to draw: no condition is confirmed.")


def _unexplained(view: CaseView) -> Iterator[Block]:
    for one in view.unexplained:
        if not one.in_book:
            yield say(
                f"The cause of '{one.title}' is not in the book. Tell its author what you found."
            )
            continue
        others = sum(1 for c in one.candidates if c.origin) - MOST_CANDIDATES
        more = f"{others} less likely origins are not drawn. " if others > 0 else ""
        more += (
            f"A cause of '{one.title}' not in the book, or a mistaken look: {percent(one.other)}."
        )
        yield say(Words(more, Tone.QUIET))


def _links(session: Session, view: CaseView) -> Grid:
    """Return every link of the named chains once, with what is known of its effect."""
    book = session.book
    rows: dict[tuple[str, str], tuple[tuple[Words, ...], ...]] = {}
    for link in (link for c in view.chains if c.status is not Naming.OPEN for link in c.links):
        seen, mark = seen_words(session.verdict, link.effect)
        reason = book.conditions[link.effect].unobservable if seen is Seen.HIDDEN else ""
        rows[link.cause, link.effect] = (
            cell(title(book, link.cause)),
            cell(title(book, link.effect), Words(link.how, Tone.QUIET)),
            cell(link.often),
            cell(mark, Words(reason, Tone.QUIET)),
        )
    return Grid(("Cause", "Effect, and how", "How often", "Known by"), tuple(rows.values()))


def _parts(view: CaseView) -> Block:
    if not view.parts:
        return say("No part is damaged by what was found.")
    rows = []
    for part in view.parts:
        stands = Words("HELD", Tone.HELD) if part.held else Words("RELEASED", Tone.RELEASED)
        action = part.action.value if part.action else "none yet" if part.held else "no action"
        found = [Words(text, Tone.QUIET) for text in part.found]
        rows.append(
            (cell(part.title, *found), cell(stands), cell(action), cell(f"{part.because}."))
        )
    return Grid(("Part, and what was found on it", "Stands", "Action", "Because"), tuple(rows))


def _plan(view: CaseView) -> Iterator[Block]:
    """Yield the plan in working order, and the two ways left where nothing can be settled."""
    undetermined = view.verdict.covers
    if view.plan:
        yield timed_steps(view.plan)
    elif not undetermined:
        yield say("There is no plan yet.")
    if is_left_to_watch(view):
        yield say(LEFT_TO_WATCH)
    elif undetermined:
        yield say(Words(f"{TWO_WAYS}.", Tone.STRONG))
        yield from two_ways(view.cover, timed_steps)


def timed_steps(steps: Iterable[StepView]) -> Entries:
    """Return numbered steps with their minutes and the points to see to."""
    return Entries(tuple(_step(step) for step in steps), numbered=True)


def _step(step: StepView) -> Entry:
    if step.action is None:
        held = Words("HELD", Tone.HELD)
        return Entry((Words(step.title, Tone.STRONG), held, Words("No action yet.")))
    time = f"About {minutes_words(step.minutes)}." if step.minutes else ""
    pieces = (Words(f"{step.title}: {step.action.value}.", Tone.STRONG), Words(step.step))
    quiet = (Words(time, Tone.QUIET),) if time else ()
    return Entry(pieces + quiet, tuple(f"see to it: {point}" for point in step.fitting))


def _not_checked(session: Session, view: CaseView) -> Iterator[Block]:
    """Yield what stays open: answers that told nothing, unseen middles, checks worth making."""
    gaps = [*_empty_answers(view.findings), *_unseen(session, view)]
    if gaps:
        yield listed(gaps)
    worth = [*view.now, *view.later][:MOST_NEXT]
    if worth:
        yield say("Still worth checking, the best first:")
        yield listed([_worth(session, item) for item in worth])
    total = len(session.book.checks)
    text = f"{len(view.findings)} of the {total} checks for this unit were asked."
    yield say(Words(text, Tone.QUIET))


def _empty_answers(rows: Sequence[FindingView]) -> Iterator[str]:
    for row in rows:
        if row.special:
            yield f"Finding {row.number}: {row.ask} {row.words}"
        elif row.settled is None:
            yield f"Finding {row.number}: {row.ask} Too close to the limit to decide anything."


def _unseen(session: Session, view: CaseView) -> Iterator[str]:
    named = (c.path for c in view.chains if c.status is not Naming.OPEN)
    for cid in dict.fromkeys(cid for path in named for cid in path):
        seen, mark = seen_words(session.verdict, cid)
        if seen is not Seen.FOUND:
            yield f"In the chain: {title(session.book, cid)}, {mark}"


def _worth(session: Session, item: NextView) -> str:
    opens = [session.book.removals[r].title for r in item.opens]
    first = f", first: {', '.join(opens)}" if opens else ""
    return f"{item.ask} ({minutes_words(item.minutes)}, {SEAT_WORDS[item.seat]}{first})"


def _book_facts(reporting: Reporting, view: CaseView) -> Facts:
    book, made = view.book, reporting.session.case.book
    rows = [
        ("Book", f"{book.name}, version {book.version}"),
        ("Digest", book.digest),
        ("Headwater", __version__),
        ("Written", str(reporting.on)),
    ]
    if book.changed_since_case and made:
        told = f"the case was made with {made.name} {made.version} ({made.digest})"
        rows.append(("Judged anew", told))
    for o in reporting.session.book.overrides:
        own = f"{o.kind.rstrip('s')} '{o.id}' of pack '{o.pack}'"
        rows.append(("From the shop's own pack", own))
    return Facts(tuple(rows))
