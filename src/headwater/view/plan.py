"""The plan as a job sheet: where it began and what it is for, then the work as a bench does it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headwater.session.session import Session
from headwater.verdict.ending import Ending
from headwater.verdict.jobsheet import Job, job_sheet
from headwater.verdict.plan import Stage
from headwater.view.audit import earlier_sections
from headwater.view.case import CaseView, StepView, case_view, step_view
from headwater.view.paper import Block, Entries, Entry, Paper, Section, Tone, Words, listed, say
from headwater.view.verdict import LEFT_TO_WATCH, is_left_to_watch, next_sections
from headwater.view.words import chain_words, minutes_words, part_title, percent, title

NONE_COVERS = "No set of corrections covers every candidate; an exchange unit is left."
THEN_THE_PARTS = "Then the damaged parts themselves. An exchange unit is the other way."


@dataclass(frozen=True, slots=True)
class JobView(StepView):
    """A step with why it is on the sheet, and the chains that lead to it.

    `number` is its place in the order of work (0 where nothing is done), `stage` why it stands
    there.
    """

    because: str
    chains: tuple[tuple[str, ...], ...]
    number: int
    stage: Stage


@dataclass(frozen=True, slots=True)
class ClosingView:
    """Points to see to when something goes back on; `after` is the removal that it undoes."""

    after: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RenewalView:
    """A part that the job uses up whatever its state; `removal` is what does so."""

    part: str
    title: str
    removal: str


@dataclass(frozen=True, slots=True)
class UncoveredView:
    """A live origin that no correction meets, with its share."""

    origin: str
    title: str
    share: float


@dataclass(frozen=True, slots=True)
class JobSheetView:
    """The job sheet, in groups by what a step is for. `held` carries no action."""

    case: str
    verdict: Ending
    origins: tuple[JobView, ...]
    damage: tuple[JobView, ...]
    covering: tuple[JobView, ...]
    uncovered: tuple[UncoveredView, ...]
    looks: tuple[JobView, ...]
    sound: tuple[JobView, ...]
    held: tuple[JobView, ...]
    opens: tuple[str, ...]
    renewed: tuple[RenewalView, ...]
    closing: tuple[ClosingView, ...]

    @property
    def work(self) -> list[JobView]:
        """Everything that is done, in the order of work."""
        jobs = (*self.origins, *self.damage, *self.covering)
        return sorted(jobs, key=lambda job: job.number)


def sheet_view(session: Session) -> JobSheetView:
    """Return the job sheet of a case."""
    sheet, book = job_sheet(session.verdict), session.book

    def jobs(group: tuple[Job, ...]) -> tuple[JobView, ...]:
        return tuple(_job(session, job) for job in group)

    return JobSheetView(
        case=session.case.case,
        verdict=session.verdict.ending,
        origins=jobs(sheet.origins),
        damage=jobs(sheet.damage),
        covering=jobs(sheet.covering),
        uncovered=tuple(
            UncoveredView(cid, title(book, cid), round(share, 4)) for cid, share in sheet.uncovered
        ),
        looks=jobs(sheet.looks),
        sound=jobs(sheet.sound),
        held=jobs(sheet.held),
        opens=sheet.opens,
        renewed=tuple(
            RenewalView(one.part, part_title(book, one.part), one.removal) for one in sheet.renewed
        ),
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
        job.number,
        job.stage,
    )


def plan_paper(session: Session) -> Paper:
    """Return the job sheet as a paper."""
    view, sheet = case_view(session), sheet_view(session)
    sections = [_head(session, view, sheet), *earlier_sections(session)]
    sections += [*_meaning(session, sheet), *_work(session, sheet)]
    if view.verdict.is_open:
        sections.append(Section("Leave it open: more can be told.", ()))
        sections += next_sections(view, most=3)
    sections.append(Section("Cautions", (listed([f"! {text}" for text in view.cautions]),)))
    return Paper(f"Job sheet, case {view.case}", (), tuple(sections))


def _head(session: Session, view: CaseView, sheet: JobSheetView) -> Section:
    """Return how the case stands, and what is held."""
    not_explained = (
        f"Not explained: {title(session.book, cid)}" for cid in session.verdict.unexplained
    )
    held = (f"HELD {job.title}: {job.because}." for job in sheet.held)
    told: list[Block] = [say(Words(text, Tone.HELD)) for text in (*not_explained, *held)]
    if view.verdict.covers and not sheet.covering:
        told.append(say(LEFT_TO_WATCH if is_left_to_watch(view) else NONE_COVERS))
    return Section(view.headline, tuple(told))


def _meaning(session: Session, sheet: JobSheetView) -> Iterator[Section]:
    """Yield what the work is for: the origins, or the candidates that it covers."""
    origins = session.verdict.origins
    rows = []
    for origin, naming in origins.items():
        steps = [str(job.number) for job in sheet.work if origin in job.corrects]
        done = f"step {' and '.join(steps)}" if steps else "nothing to do"
        rows.append(f"{title(session.book, origin)} ({naming.value}): {done}")
    if rows:
        yield Section("Where it began: without this the rest does not last", (listed(rows),))
    if sheet.covering:
        rows = [f"step {job.number}, {job.title}: {job.because}." for job in sheet.covering]
        head = "No origin can be named; every live candidate is corrected, likeliest first"
        yield Section(head, (listed(rows), say(THEN_THE_PARTS)))
    if sheet.uncovered:
        rows = [f"{one.title} ({percent(one.share)})" for one in sheet.uncovered]
        yield Section("No correction meets these: only another unit does", (listed(rows),))


def _work(session: Session, sheet: JobSheetView) -> Iterator[Section]:
    """Yield the work stage by stage, with what comes off before it and goes back on after."""
    book = session.book
    if sheet.opens:
        off = [book.removals[rid] for rid in sheet.opens]
        rows = [f"{one.title} ({minutes_words(one.minutes)})" for one in off]
        yield Section("Still to come off", (listed(rows),))
    for stage in Stage:
        jobs = [job for job in sheet.work if job.stage is stage]
        if jobs:
            entries = tuple(_entry(session, job) for job in jobs)
            head = f"{stage.value[:1].upper()}{stage.value[1:]}"
            yield Section(head, (Entries(entries, numbered=True, first=jobs[0].number),))
        if stage is Stage.LOOK:
            yield from _looks(sheet)
        if stage is Stage.FIT and sheet.renewed:
            rows = [f"{one.title} ({book.removals[one.removal].title})" for one in sheet.renewed]
            yield Section("New in any case, for the job uses them up", (listed(rows),))
    if sheet.closing:
        points = [f"[ ] {point}" for closing in sheet.closing for point in closing.points]
        yield Section("As it goes back together", (listed(points),))


def _looks(sheet: JobSheetView) -> Iterator[Section]:
    for heading, jobs in (
        ("Look at, because it is expected", sheet.looks),
        ("Found sound, so reuse", sheet.sound),
    ):
        rows = [f"{j.title}: {j.action.value if j.action else ''}. {j.because}." for j in jobs]
        if rows:
            yield Section(heading, (listed(rows),))


def _entry(session: Session, job: JobView) -> Entry:
    verb = job.action.value if job.action else "held"
    chains = (f"chain: {chain_words(session.book, path)}" for path in job.chains)
    points = (f"because: {job.because}", *chains, *(f"[ ] {point}" for point in job.fitting))
    time = f" ({minutes_words(job.minutes)})" if job.minutes else ""
    return Entry((Words(f"{job.title}: {verb}{time}. {job.step}"),), points, quiet=True)
