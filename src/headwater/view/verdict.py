"""The verdict of a case as a paper: what was found, where it began, what is done, what is next."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice

from headwater.session.ask import Purpose
from headwater.session.session import Session
from headwater.verdict.account import Naming
from headwater.verdict.ending import Ending
from headwater.view.advice import advice_block
from headwater.view.audit import earlier_sections
from headwater.view.case import CaseView, PartView, StepView, UnexplainedView, case_view
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
from headwater.view.standing import StandingView
from headwater.view.told import told_blocks
from headwater.view.tree import Wording, named_trees
from headwater.view.words import percent, title

NO_COVER = "No set of corrections covers every live candidate."
LEFT_TO_WATCH = (
    "The plan corrects all that the book knows to lead to it. Carry it out, look at the rest again "
    "before anything more is done about it, and note down what it comes to."
)
TWO_WAYS = "Nothing more can be checked. Two ways are left, and neither is the bare part"
TOO_MANY = (
    "Correcting every live candidate takes {} pieces of work: more than a repair, so weigh an"
    " exchange unit first. The likeliest:"
)
MOST_CANDIDATES = 6
MOST_COVERED = 8
"""So many pieces of work may be a repair; a longer list is not read."""
MOST_NEXT = 5


def verdict_paper(session: Session) -> Paper:
    """Return the whole verdict of a case."""
    view = case_view(session)
    book = view.book
    stamp = [say(Words(f"Book {book.name} {book.version}, digest {book.digest}", Tone.QUIET))]
    if book.changed_since_case:
        text = "The case was made with another state of the book; it was judged anew."
        stamp.append(say(Words(text, Tone.HELD)))
    for override in session.book.overrides:
        where = f"{override.kind.rstrip('s')} '{override.id}'"
        own = f"From the shop's own pack '{override.pack}': {where}"
        stamp.append(say(Words(own, Tone.QUIET)))
    told = told_blocks(session)
    sections = [
        found_section(view),
        Section(view.headline, (drive_block(view),)),
        *earlier_sections(session),
        *standing_sections(session, view),
        *next_sections(view),
        Section("Cautions", (listed([f"! {text}" for text in view.cautions]),)),
    ]
    return Paper(f"Case {view.case}", (*stamp, *told), tuple(sections))


def found_paper(session: Session) -> Paper:
    """Return what was found so far."""
    return Paper("", tuple(told_blocks(session)), (found_section(case_view(session)),))


def state_paper(session: Session) -> Paper:
    """Return the reasoning as it stands: chains, what is not explained, parts and plan."""
    return Paper("", (), tuple(standing_sections(session, case_view(session))))


def next_paper(session: Session) -> Paper:
    """Return what to check next."""
    return Paper("", (), tuple(next_sections(case_view(session))))


def found_section(view: CaseView) -> Section:
    """Return what was found, in order."""
    entries = tuple(
        Entry((Words(f"{f.ask} {f.words}"),), f.working, quiet=True) for f in view.findings
    )
    return Section("Found", (Entries(entries) if entries else say("nothing yet"),))


def drive_block(view: CaseView) -> Block:
    """Return whether the vehicle may be driven."""
    return advice_block(view.drive)


def standing_sections(session: Session, view: CaseView) -> Iterator[Section]:
    """Yield chains, what is not explained, parts and plan: the state of the reasoning."""
    yield from live_sections(session, view)
    yield from plan_sections(view)


def live_sections(session: Session, view: CaseView | StandingView) -> Iterator[Section]:
    """Yield the same without the plan: what is settled once the asking is over."""
    verdict = session.verdict
    trees = named_trees(verdict, Wording(verdict.book))
    if trees:
        yield Section("", tuple(Drawing(tree) for tree in trees))
    for cid in view.disputed:
        text = f"Disputed: {title(verdict.book, cid)}. Decisive findings disagree."
        yield Section("", (say(Words(text, Tone.HELD)),))
    yield from unexplained_sections(view)
    if view.parts:
        yield Section("Parts", (part_entries(view),))


def unexplained_sections(view: CaseView | StandingView) -> Iterator[Section]:
    """Yield what no named origin explains, with the live candidates."""
    yield from (_unexplained(one) for one in view.unexplained)
    if loose := [one.words for one in view.loose if not one.outweighed]:
        yield Section("Seen, and explained by nothing yet", (listed(loose),))
    if outweighed := [one.words for one in view.loose if one.outweighed]:
        yield Section("Seen once, and outweighed by other looks", (listed(outweighed),))


def _unexplained(one: UnexplainedView) -> Section:
    if not one.in_book:
        told: Block = say("The cause is not in the book. Tell the author what you found.")
    else:
        known = [c for c in one.candidates if c.origin][:MOST_CANDIDATES]
        rows = [f"{c.title}: {percent(c.share)}" for c in known]
        told = listed([*rows, f"a cause not in the book, or a mistaken look: {percent(one.other)}"])
    return Section(f"Not explained: {one.title}", (told,))


def part_entries(view: CaseView | StandingView) -> Entries:
    """Return for every part whether it is released, and to what, or held, and why."""
    return Entries(tuple(_part(part) for part in view.parts))


def _part(part: PartView) -> Entry:
    if part.held:
        looks = tuple(f"would tell: {look}" for look in part.looks)
        words = (Words("HELD", Tone.HELD), Words(f"{part.title}: {part.because}."))
        return Entry(words, looks, quiet=True)
    verb = part.action.value if part.action else "no action"
    told = f"{part.title}: {verb}. {part.because}."
    return Entry((Words(part.disposition.upper(), Tone.RELEASED), Words(told)))


def is_left_to_watch(view: CaseView) -> bool:
    """Say whether all that the book knows to lead to what is not explained is named already."""
    named = {origin.id for origin in view.origins if origin.status is not Naming.OPEN}
    live = {c.origin for one in view.unexplained for c in one.candidates if c.origin}
    return view.verdict.covers and bool(named) and live <= named


def plan_sections(view: CaseView) -> Iterator[Section]:
    """Yield the plan in working order, and the two ways left where nothing can be settled."""
    if view.plan:
        yield Section("Plan, in this order", (step_entries(view.plan),))
    if not view.verdict.covers:
        return
    if is_left_to_watch(view):
        yield Section("What is named does not explain it all", (say(LEFT_TO_WATCH),))
        return
    yield Section(TWO_WAYS, tuple(two_ways(view.cover, step_entries)))


def two_ways_named(view: CaseView) -> Iterator[Block]:
    """Yield what is left where nothing can be settled, under its own words."""
    if not view.verdict.covers:
        return
    if is_left_to_watch(view):
        yield say(LEFT_TO_WATCH)
        return
    yield say(Words(f"{TWO_WAYS}.", Tone.STRONG))
    yield from two_ways(view.cover, step_entries)


def two_ways(
    cover: Sequence[StepView], written: Callable[[Sequence[StepView]], Block]
) -> Iterator[Block]:
    """Yield what is left where nothing can be settled: correct all that it may be, or exchange it.

    So much work that it is no repair is named by its titles alone, the likeliest first.
    """
    if not cover:
        yield say(NO_COVER)
    elif len(cover) <= MOST_COVERED:
        yield say("Correct every live candidate, cheapest set:")
        yield written(cover)
    else:
        rest = len(cover) - MOST_COVERED
        yield say(TOO_MANY.format(len(cover)))
        titles = (f"{one.title}: {one.action.value if one.action else 'held'}" for one in cover)
        yield listed([*islice(titles, MOST_COVERED), f"and {rest} more, all on the job sheet"])
    yield say("Or fit an exchange unit.")


def step_entries(steps: Iterable[StepView]) -> Entries:
    """Return numbered steps, each with the points to see to."""
    return Entries(tuple(step_entry(step) for step in steps), numbered=True)


def step_entry(step: StepView) -> Entry:
    """Return one step; a held part names no action."""
    points = tuple(f"see to it: {point}" for point in step.fitting)
    if step.action is None:
        return Entry((Words(f"{step.title}: held. {step.step}"),), points, quiet=True)
    return Entry((Words(f"{step.title}: {step.action.value}. {step.step}"),), points, quiet=True)


def next_sections(view: CaseView, most: int = MOST_NEXT) -> Iterator[Section]:
    """Yield what to check next at this seat, and what a later seat would settle."""
    if view.now:
        sweep = view.now[0].purpose is Purpose.SWEEP
        words = "While it is apart, look at likely fellow origins" if sweep else "Check next"
        yield Section(words, (listed([item.words for item in view.now[:most]]),))
        return
    if view.verdict is not Ending.SETTLED:
        later = [f"{item.words} [{item.seat.value}]" for item in view.later[:3]]
        more = (say("A later seat would settle more:"), listed(later)) if later else ()
        yield Section("Nothing more to check at this seat.", more)
