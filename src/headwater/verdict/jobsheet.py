"""The plan as a job sheet: what is done to each part, why, and by which chain it came to need it.

Every action comes from `Assessment.plan`, and so from the gate. The sheet only puts the steps into
the groups that a rebuilder works through, and adds what needs no action to be released: looks at
what is expected, parts found sound, and the points to see to as the unit goes back together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from headwater.book.tables import Nature, Verb
from headwater.graph.causal import effects_of
from headwater.rules.status import Status
from headwater.verdict.assess import Assessment
from headwater.verdict.ending import Ending
from headwater.verdict.naming import NamedChain, Naming
from headwater.verdict.plan import Step, merge
from headwater.verdict.reach import still_to_open


@dataclass(frozen=True, slots=True)
class Job:
    """A step with the chains that lead to it; `because` says why it is on the sheet."""

    step: Step
    because: str
    chains: tuple[NamedChain, ...] = ()


@dataclass(frozen=True, slots=True)
class Closing:
    """Points to see to when something goes back on; `after` is the removal that it undoes."""

    after: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobSheet:
    """The plan in groups. `held` carries no action; `covering` is for an undetermined case only."""

    origins: tuple[Job, ...] = ()
    damage: tuple[Job, ...] = ()
    looks: tuple[Job, ...] = ()
    held: tuple[Job, ...] = ()
    covering: tuple[Job, ...] = ()
    sound: tuple[Job, ...] = ()
    closing: tuple[Closing, ...] = ()
    opens: tuple[str, ...] = field(default=())

    @property
    def work(self) -> tuple[Job, ...]:
        """Return everything that is done to a part, in working order."""
        return (*self.origins, *self.damage, *self.covering)


def job_sheet(assessment: Assessment) -> JobSheet:
    """Return the plan of an assessment as a job sheet."""
    plan = assessment.plan
    named = assessment.origins
    acting = [s for s in plan if s.action is not None]
    first = [s for s in acting if any(c in named for c in s.corrects)]
    looks = [s for s in acting if s not in first and s.action is Verb.INSPECT]
    damage = [s for s in acting if s not in first and s not in looks]
    covering: list[Step] = []
    if assessment.cover:
        covering = merge(assessment.book, assessment.cover)
    opens = to_open(assessment, [*first, *damage, *covering])
    return JobSheet(
        origins=tuple(_job(assessment, s) for s in first),
        damage=tuple(_job(assessment, s) for s in damage),
        looks=tuple(_look(assessment, s) for s in looks),
        held=tuple(_held(assessment, part) for part in assessment.held),
        covering=tuple(_candidate(assessment, s) for s in covering),
        sound=tuple(_sound(assessment, plan)),
        closing=tuple(_closing(assessment, opens)) if _closes(assessment, covering) else (),
        opens=tuple(opens),
    )


def _closes(assessment: Assessment, covering: list[Step]) -> bool:
    """Say whether the unit may go back together: nothing is held, or a covering plan answers it."""
    return bool(covering) or (assessment.ending is Ending.SETTLED and bool(assessment.plan))


def chains_to(assessment: Assessment, conditions: Iterable[str]) -> tuple[NamedChain, ...]:
    """Return the named chains that end in one of the conditions; one for each origin and end."""
    found: dict[tuple[str, ...], NamedChain] = {}
    for cid in conditions:
        account = assessment.accounts.get(cid)
        for chain in account.chains if account else ():
            if chain.naming is not Naming.OPEN:
                found.setdefault(chain.path, chain)
    return tuple(found.values())


def _job(assessment: Assessment, step: Step) -> Job:
    named = assessment.origins
    told = []
    for cid in step.corrects:
        title = assessment.book.conditions[cid].title
        told.append(f"origin, {named[cid].value}: {title}" if cid in named else f"found: {title}")
    chains = tuple(c for c in chains_to(assessment, step.corrects) if len(c.path) > 1)
    return Job(step, "; ".join(told), chains)


def _look(assessment: Assessment, step: Step) -> Job:
    titles = "; ".join(assessment.book.conditions[c].title for c in step.corrects)
    return Job(step, f"expected, not seen: {titles}")


def _held(assessment: Assessment, part: str) -> Job:
    decision = assessment.decisions[part]
    return Job(Step(None, part, decision.conditions), decision.because)


def _candidate(assessment: Assessment, step: Step) -> Job:
    titles = "; ".join(assessment.book.conditions[c].title for c in step.corrects)
    return Job(step, f"may be an origin, cannot be told: {titles}")


def _sound(assessment: Assessment, plan: Iterable[Step]) -> Iterable[Job]:
    """Yield the parts that a named origin may damage, and that were found without any of it."""
    busy = {step.on for step in plan} | set(assessment.decisions)
    downstream = effects_of(assessment.reasoner.graph, *assessment.origins)
    seen: dict[str, list[str]] = {}
    open_still: set[str] = set()
    for cid in (c for c in assessment.book.conditions if c in downstream):
        record = assessment.book.conditions[cid]
        if record.kind is not Nature.DAMAGE or not record.part:
            continue
        if assessment.statuses[cid] is Status.RULED_OUT:
            seen.setdefault(str(record.part), []).append(cid)
        else:
            open_still.add(str(record.part))
    for part, cids in seen.items():
        if part in busy or part in open_still:
            continue
        titles = "; ".join(assessment.book.conditions[c].title for c in cids)
        step = Step(Verb.REUSE, part, (), "It goes back in.")
        yield Job(step, f"looked at, and not so: {titles}")


def to_open(assessment: Assessment, steps: Iterable[Step]) -> list[str]:
    """Return the removals that the parts of some steps still need, in the order they are done."""
    needed: list[str] = []
    for step in steps:
        for rid in removals_for(assessment, step.on, assessment.stand.removed):
            if rid not in needed:
                needed.append(rid)
    return needed


def removals_for(assessment: Assessment, part: str, removed: Iterable[str] = ()) -> list[str]:
    """Return the least that must come off to get at a part: what the easiest look at it needs.

    Checks that decide a damage of the part say what opens it to view; a part outside the unit
    needs nothing.
    """
    book, off = assessment.book, frozenset(removed)
    if part not in book.parts or book.parts[part].outside:
        return []
    ways: list[list[str]] = []
    for cid, record in book.conditions.items():
        for check in assessment.reasoner.deciders[cid] if record.part == part else ():
            if any(seat.value == "bench" for seat in check.seats):
                ways.append(still_to_open(book, check, off))
    return min(ways, key=lambda way: sum(book.removals[r].minutes for r in way), default=[])


def _closing(assessment: Assessment, opens: Iterable[str]) -> Iterable[Closing]:
    """Yield the fitting points of everything that is off or comes off, last off first back on."""
    book = assessment.book
    off = set(assessment.stand.removed) | set(opens)
    ordered: list[str] = []

    def visit(rid: str) -> None:
        for before in book.removals[rid].after:
            if str(before) in book.removals and str(before) not in ordered:
                visit(str(before))
        if rid not in ordered:
            ordered.append(rid)

    for rid in (r for r in book.removals if r in off):
        visit(rid)
    for rid in reversed(ordered):
        if rid in off and book.removals[rid].fitting:
            yield Closing(rid, book.removals[rid].fitting)
