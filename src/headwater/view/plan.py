"""The plan as a job sheet: steps in the groups a rebuilder works through, each with its why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.session.session import Session
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import Job, job_sheet
from headwater.view.case import HEADLINES, CaseView, StepView, case_view, step_view
from headwater.view.paper import Block, Entries, Entry, Paper, Section, Tone, Words, listed, say
from headwater.view.verdict import next_sections
from headwater.view.words import chain_words, minutes_words, title

NONE_COVERS = "No set of corrections covers every candidate; an exchange unit is left."


@dataclass(frozen=True, slots=True)
class JobView(StepView):
    """A step with why it is on the sheet, and the chains that lead to it."""

    because: str
    chains: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class ClosingView:
    """Points to see to when something goes back on; `after` is the removal that it undoes."""

    after: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobSheetView:
    """The job sheet. `held` carries no action."""

    case: str
    verdict: Ending
    origins: tuple[JobView, ...]
    damage: tuple[JobView, ...]
    covering: tuple[JobView, ...]
    looks: tuple[JobView, ...]
    sound: tuple[JobView, ...]
    held: tuple[JobView, ...]
    opens: tuple[str, ...]
    closing: tuple[ClosingView, ...]


def sheet_view(session: Session) -> JobSheetView:
    """Return the job sheet of a case."""
    sheet = job_sheet(session.verdict)

    def jobs(group: tuple[Job, ...]) -> tuple[JobView, ...]:
        return tuple(_job(session, job) for job in group)

    return JobSheetView(
        case=session.case.case,
        verdict=session.verdict.ending,
        origins=jobs(sheet.origins),
        damage=jobs(sheet.damage),
        covering=jobs(sheet.covering),
        looks=jobs(sheet.looks),
        sound=jobs(sheet.sound),
        held=jobs(sheet.held),
        opens=sheet.opens,
        closing=tuple(ClosingView(c.after, c.points) for c in sheet.closing),
    )


def _job(session: Session, job: Job) -> JobView:
    step = step_view(session.verdict, job.step)
    paths = tuple(chain.path for chain in job.chains)
    return JobView(
        step.step,
        step.action,
        step.on,
        step.title,
        step.corrects,
        step.minutes,
        step.fitting,
        step.cautions,
        job.because,
        paths,
    )


def plan_paper(session: Session) -> Paper:
    """Return the job sheet as a paper."""
    view, sheet = case_view(session), sheet_view(session)
    sections = list(_sections(session, view, sheet))
    if view.verdict.is_open:
        sections.append(Section("Leave it open: more can be told.", ()))
        sections += next_sections(view, most=3)
    sections.append(Section("Cautions", (listed([f"! {text}" for text in view.cautions]),)))
    return Paper(f"Job sheet, case {view.case}", (), tuple(sections))


def _sections(session: Session, view: CaseView, sheet: JobSheetView) -> Iterator[Section]:
    book = session.book
    not_explained = (f"Not explained: {title(book, cid)}" for cid in session.verdict.unexplained)
    held = (f"HELD {job.title}: {job.because}." for job in sheet.held)
    told: list[Block] = [say(Words(text, Tone.HELD)) for text in (*not_explained, *held)]
    if view.verdict.covers and not sheet.covering:
        told.append(say(NONE_COVERS))
    yield Section(HEADLINES[view.verdict], tuple(told))
    number = 1
    for heading, jobs in (
        ("First correct the origins", sheet.origins),
        ("Then what their chains damaged, from the origin outwards", sheet.damage),
        ("No origin can be named; this set corrects every live candidate", sheet.covering),
    ):
        if jobs:
            entries = tuple(_entry(session, job) for job in jobs)
            yield Section(heading, (Entries(entries, numbered=True, first=number),))
            number += len(jobs)
    for heading, jobs in (
        ("Look at, because it is expected", sheet.looks),
        ("Found sound, so reuse", sheet.sound),
    ):
        rows = [f"{j.title}: {j.action.value if j.action else ''}. {j.because}." for j in jobs]
        if rows:
            yield Section(heading, (listed(rows),))
    if sheet.opens:
        off = [book.removals[rid] for rid in sheet.opens]
        rows = [f"{one.title} ({minutes_words(one.minutes)})" for one in off]
        yield Section("Still to come off", (listed(rows),))
    if sheet.closing:
        points = [f"[ ] {point}" for closing in sheet.closing for point in closing.points]
        yield Section("As it goes back together", (listed(points),))


def _entry(session: Session, job: JobView) -> Entry:
    verb = job.action.value if job.action else "held"
    chains = (f"chain: {chain_words(session.book, path)}" for path in job.chains)
    points = (f"because: {job.because}", *chains, *(f"[ ] {point}" for point in job.fitting))
    head = f"{job.title}: {verb} ({minutes_words(job.minutes)}). {job.step}"
    return Entry((Words(head),), points, quiet=True)
