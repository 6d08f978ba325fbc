"""The plan as a job sheet: what is done to each part, why, and by which chain it came to need it.

Every action comes from `Assessment.plan` or `Assessment.cover`, and so from the gate. The sheet
puts the steps into groups by what they are for, numbers them in the order of work, and adds what
needs no action to be released: looks at what is expected, parts found sound, what the job uses up,
and the points to see to as the unit goes back together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from headwater.book.tables import Verb
from headwater.graph.causal import effects_of
from headwater.verdict.account import NamedChain, Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.gate import mending_parts
from headwater.verdict.opening import going_back, used_up, way_in
from headwater.verdict.plan import (
    Stage,
    Step,
    live_shares,
    stage_of,
    way_to,
    working_order,
)
from headwater.verdict.sound import sound_parts


@dataclass(frozen=True, slots=True)
class Job:
    """A step with the chains that lead to it; `because` says why it is on the sheet.

    `number` is its place in the order of work, from 1 up, and 0 where nothing is done.
    """

    step: Step
    because: str
    chains: tuple[NamedChain, ...] = ()
    stage: Stage = Stage.FIT
    number: int = 0


@dataclass(frozen=True, slots=True)
class Closing:
    """Points to see to when something goes back on; `after` is the removal that it undoes."""

    after: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Renewal:
    """A part that the job uses up, whatever its state, and the removal that does so."""

    part: str
    removal: str


@dataclass(frozen=True, slots=True)
class JobSheet:
    """The plan in groups. `held` carries no action; `covering` is for an undetermined case only.

    `uncovered` are live origins that nothing but another unit meets, with their shares.
    """

    origins: tuple[Job, ...] = ()
    damage: tuple[Job, ...] = ()
    looks: tuple[Job, ...] = ()
    held: tuple[Job, ...] = ()
    covering: tuple[Job, ...] = ()
    uncovered: tuple[tuple[str, float], ...] = ()
    sound: tuple[Job, ...] = ()
    renewed: tuple[Renewal, ...] = ()
    closing: tuple[Closing, ...] = ()
    opens: tuple[str, ...] = ()

    @property
    def work(self) -> tuple[Job, ...]:
        """Return everything that is done to a part, in working order."""
        jobs = (*self.origins, *self.damage, *self.covering)
        return tuple(sorted(jobs, key=lambda job: job.number))


def job_sheet(assessment: Assessment) -> JobSheet:
    """Return the plan of an assessment as a job sheet."""
    acting = [s for s in assessment.plan if s.action is not None]
    covering = assessment.cover or []
    steps = whole_work(assessment, acting, covering)
    jobs = _numbered(assessment, steps)
    covered = {(s.on, s.action is Verb.REFILL) for s in covering}
    first = [j for j in jobs if any(c in assessment.origins for c in j.step.corrects)]
    rest = [j for j in jobs if j not in first]
    added = [j for j in rest if (j.step.on, j.step.action is Verb.REFILL) in covered]
    opens = to_open(assessment, steps)
    return JobSheet(
        origins=tuple(first),
        damage=tuple(j for j in rest if j not in added and j.number),
        looks=tuple(j for j in rest if j not in added and not j.number),
        held=tuple(_held(assessment, part) for part in assessment.held),
        covering=tuple(_likeliest_first(assessment, added)),
        uncovered=tuple(_uncovered(assessment).items()),
        sound=tuple(_sound(assessment, steps)),
        renewed=tuple(renewals(assessment, steps)),
        closing=tuple(_closing(assessment, opens)) if _closes(assessment) else (),
        opens=tuple(opens),
    )


def whole_work(
    assessment: Assessment, planned: Iterable[Step], covering: Iterable[Step] = ()
) -> list[Step]:
    """Return what is planned and what covers an undetermined case, as one job in working order."""
    steps = [*planned, *covering]
    return working_order(assessment.book, assessment.reasoner.deciders, steps)


def _numbered(assessment: Assessment, steps: Iterable[Step]) -> list[Job]:
    """Return the steps as jobs; a look at what nobody has found yet has no number."""
    met = {*assessment.origins, *assessment.accounts, *_shares(assessment)}
    jobs, number = [], 0
    for step in steps:
        job = _job(assessment, step)
        if job.stage is not Stage.LOOK or met.intersection(step.corrects):
            number += 1
            job = replace(job, number=number)
        jobs.append(job)
    return jobs


def _job(assessment: Assessment, step: Step) -> Job:
    stage = stage_of(assessment.book, step)
    chains = tuple(c for c in chains_to(assessment, step.corrects) if len(c.path) > 1)
    return Job(step, "; ".join(_reasons(assessment, step, stage)), chains, stage)


def _reasons(assessment: Assessment, step: Step, stage: Stage) -> Iterable[str]:
    """Yield why a step is on the sheet, a reason for each condition."""
    named, shares = assessment.origins, _shares(assessment)
    for cid in step.corrects:
        title = assessment.book.conditions[cid].title
        if cid in named:
            yield f"origin, {named[cid].value}: {title}"
        elif cid in shares and assessment.cover:
            yield f"may be the origin, {shares[cid] * 100:.0f} %: {title}"
        elif stage is Stage.LOOK:
            yield f"expected, not seen: {title}"
        else:
            yield f"found: {title}"


def _shares(assessment: Assessment) -> dict[str, float]:
    return live_shares(assessment.accounts[cid] for cid in assessment.unexplained)


def _likeliest_first(assessment: Assessment, jobs: Iterable[Job]) -> list[Job]:
    """Return corrections by the share of the likeliest origin they meet; damaged parts follow."""
    shares = _shares(assessment)
    return sorted(
        jobs, key=lambda j: -max((shares.get(c, 0.0) for c in j.step.corrects), default=0)
    )


def _uncovered(assessment: Assessment) -> dict[str, float]:
    """Return the live origins of an undetermined case that are mended on no part but held ones."""
    if not assessment.ending.covers:
        return {}
    held = set(assessment.held)
    return {
        cid: share
        for cid, share in _shares(assessment).items()
        if not set(mending_parts(assessment.book, assessment.statuses, cid)) - held
    }


def _closes(assessment: Assessment) -> bool:
    """Say whether the unit may go back together: nothing is held, or a covering plan answers it."""
    settled = assessment.settled and bool(assessment.plan)
    return bool(assessment.cover) or settled


def chains_to(assessment: Assessment, conditions: Iterable[str]) -> tuple[NamedChain, ...]:
    """Return the named chains that end in one of the conditions; one for each origin and end."""
    found: dict[tuple[str, ...], NamedChain] = {}
    for cid in conditions:
        account = assessment.accounts.get(cid)
        for chain in account.chains if account else ():
            if chain.naming is not Naming.OPEN:
                found.setdefault(chain.path, chain)
    return tuple(found.values())


def _held(assessment: Assessment, part: str) -> Job:
    decision = assessment.decisions[part]
    step = Step(None, part, decision.conditions)
    return Job(step, decision.because, stage=Stage.WAIT)


def _sound(assessment: Assessment, steps: Iterable[Step]) -> Iterable[Job]:
    """Yield the parts that a named origin may damage, and that were found without any of it."""
    busy = {step.on for step in steps} | set(assessment.held)
    downstream = effects_of(assessment.reasoner.graph, *assessment.origins)
    found = sound_parts(assessment.book, assessment.statuses, downstream)
    for part, cids in found.items():
        if part not in busy:
            titles = "; ".join(assessment.book.conditions[c].title for c in cids)
            step = Step(Verb.REUSE, part, (), "It goes back in.")
            yield Job(step, f"looked at, and not so: {titles}")


def ways_in(assessment: Assessment, steps: Iterable[Step]) -> list[str]:
    """Return the removals from a closed unit that some steps need, each once, in their order."""
    deciders = assessment.reasoner.deciders
    ways = (way_to(assessment.book, deciders, step) for step in steps)
    return list(dict.fromkeys(removal for way in ways for removal in way))


def to_open(assessment: Assessment, steps: Iterable[Step]) -> list[str]:
    """Return the removals that some steps still need, in the order they are done."""
    return [rid for rid in ways_in(assessment, steps) if rid not in assessment.stand.removed]


def removals_for(assessment: Assessment, part: str) -> tuple[str, ...]:
    """Return the least that must come off a closed unit to get at a part."""
    return way_in(assessment.book, assessment.reasoner.deciders, part)


def renewals(assessment: Assessment, steps: Iterable[Step]) -> Iterable[Renewal]:
    """Yield what the job uses up and no step of it renews already, in the order of fitting.

    A part that is held is none of it: what is done with it waits for its origin.
    """
    done = list(steps)
    seen = {step.on for step in done if step.action in NEW_IN} | set(assessment.held)
    used = used_up(assessment.book, ways_in(assessment, done))
    yield from (Renewal(part, rid) for part, rid in used.items() if part not in seen)


NEW_IN = frozenset({Verb.REPLACE, Verb.SCRAP, Verb.REFILL})
"""What puts a new part in, or new oil."""


def _closing(assessment: Assessment, opens: Iterable[str]) -> Iterable[Closing]:
    """Yield the fitting points of everything that is off or comes off, last off first back on."""
    book = assessment.book
    for rid in going_back(book, {*assessment.stand.removed, *opens}):
        if book.removals[rid].fitting:
            yield Closing(rid, book.removals[rid].fitting)
