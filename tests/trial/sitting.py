"""One unit met by one policy, from the complaint to the verdict, and what came of it."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import fmean

from trial.policies import ADAPTIVE, SWEEPING, Policy, minutes_of
from trial.units import Unit

from headwater.book.model import Check
from headwater.book.tables import VERB_RANK, Seat, Verb
from headwater.measure.answer import Judged
from headwater.verdict.assess import Assessment, Reasoner
from headwater.verdict.ending import Ending
from headwater.verdict.naming import Naming
from headwater.verdict.reach import Stand, still_to_open

AT_MOST = 330
"""Checks after which a sitting is given up: more than the shipped book has."""
EVERY = 8
"""Checks between two looks at the verdict, for a policy that does not mind it (to save time)."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """What one policy made of one unit.

    `minutes` and `questions` run up to the verdict; `sweep_minutes` is spent after it on fellow
    origins. `right`: an origin was named, none that is not there, and all findings come from named
    ones. `misled`: an origin was named that is not there. `leading`: for every finding an origin
    that is named, or the likeliest where none is, is really there. `found` of `traces` counts the
    unit's origins that are named before it is closed up. `wrong` of `released` parts would be
    worked on though an origin of their damage stays behind.
    """

    outcome: Ending
    minutes: float
    questions: int
    sweep_minutes: float
    right: bool
    misled: bool
    leading: bool
    found: int
    traces: int
    wrong: int
    released: int


def sit(reasoner: Reasoner, unit: Unit, policy: Policy) -> Sitting:
    """Return what a policy makes of a unit: it asks until the verdict stands, then sweeps.

    The vehicle stands on the hoist first. When nothing more is to be asked there and the verdict
    does not stand yet, the unit goes to the bench.
    """
    desk = _Desk(reasoner, unit, every=1 if policy in ADAPTIVE else EVERY)
    stream = random.Random(f"policy/{unit.seed}")
    while desk.questions < AT_MOST and not stands(desk.now):
        check = policy(desk.now, stream)
        if check is not None:
            desk.make(check)
        elif desk.stand.seat is Seat.BENCH:
            break
        else:
            desk.to_bench()
    minutes, questions, outcome = desk.minutes, desk.questions, desk.now.ending
    if policy in SWEEPING:
        while desk.questions < AT_MOST:
            check = policy(desk.now, stream)
            if check is None:
                break
            desk.make(check)
    named = set(desk.now.origins)
    right = bool(named) and named <= unit.present and not desk.now.unexplained
    wrong, released = _released(desk.now, unit)
    return Sitting(
        outcome,
        minutes,
        questions,
        desk.minutes - minutes,
        right,
        not named <= unit.present,
        _leading(desk.now, unit),
        len(named & unit.traces),
        len(unit.traces),
        wrong,
        released,
    )


def _leading(now: Assessment, unit: Unit) -> bool:
    """Say whether what is named, or likeliest, for the findings is there."""
    for account in now.accounts.values():
        named = {c.origin for c in account.chains if c.naming is not Naming.OPEN}
        likeliest = [c.origin for c in account.candidates if c.origin][:1]
        if not (named or set(likeliest)) & unit.present:
            return False
    return bool(now.accounts)


def stands(now: Assessment) -> bool:
    """Say whether there is a verdict: everything released, or nothing left that could change it."""
    if now.ending is Ending.OPEN or not now.accounts:
        return False
    return now.ending is not Ending.SOUND


class _Desk:
    """The case as it grows: the findings, what is open, and the minutes spent."""

    def __init__(self, reasoner: Reasoner, unit: Unit, every: int) -> None:
        self.reasoner, self.unit, self.every = reasoner, unit, every
        first = unit.first(reasoner.book)
        self.findings: dict[str, Judged] = {finding.check: finding for finding in first}
        self.times: dict[str, int] = dict.fromkeys(self.findings, 1)
        self.stand = Stand(Seat.HOIST)
        self.minutes, self.questions = 0.0, 0
        self.now = reasoner.assess(self.findings.values(), self.stand)

    def to_bench(self) -> None:
        """Go on at the bench; what only the vehicle shows is no longer seen."""
        self.stand = Stand(Seat.BENCH, self.stand.removed)
        self.now = self.reasoner.assess(self.findings.values(), self.stand)

    def make(self, check: Check) -> None:
        """Make a check: open what is needed, answer, judge again."""
        self.minutes += minutes_of(self.now, check)
        self.questions += 1
        opens = still_to_open(self.reasoner.book, check, self.stand.removed)
        self.stand = Stand(self.stand.seat, self.stand.removed | set(opens))
        time = self.times.get(check.id, 0)
        self.times[check.id] = time + 1
        self.findings[check.id] = self.unit.answer(check, time)
        if self.questions % self.every == 0:
            self.now = self.reasoner.assess(self.findings.values(), self.stand)
        else:  # only what a policy looks at that does not mind the verdict
            here = Stand(self.stand.seat, self.stand.removed, dict(self.findings))
            self.now = replace(self.now, stand=here)


def _released(now: Assessment, unit: Unit) -> tuple[int, int]:
    """Return (wrongly released, released) damaged parts.

    A release is wrong when none of the origins named for some damage on the part is really there,
    though the part is to be worked on.
    """
    wrong = released = 0
    for decision in now.decisions.values():
        told = [c for c in decision.conditions if c in now.accounts]
        if not decision.released or not told:
            continue
        if decision.action is None or VERB_RANK[decision.action] <= VERB_RANK[Verb.INSPECT]:
            continue
        released += 1
        named = [{chain.origin for chain in now.accounts[c].chains} for c in told]
        wrong += any(not origins & unit.present for origins in named)
    return wrong, released


@dataclass(frozen=True, slots=True)
class Row:
    """The sittings of one policy in one setting, summed up."""

    policy: str
    units: int
    minutes: float
    questions: float
    sweep: float
    settled: float
    right: float
    misled: float
    leading: float
    found: float
    wrong: int
    released: int


def sum_up(policy: str, sittings: Sequence[Sitting]) -> Row:
    """Return the averages of some sittings."""
    found, traces = sum(s.found for s in sittings), sum(s.traces for s in sittings)
    return Row(
        policy,
        len(sittings),
        fmean(s.minutes for s in sittings),
        fmean(s.questions for s in sittings),
        fmean(s.sweep_minutes for s in sittings),
        fmean(s.outcome is Ending.SETTLED for s in sittings),
        fmean(s.right for s in sittings),
        fmean(s.misled for s in sittings),
        fmean(s.leading for s in sittings),
        found / traces,
        sum(s.wrong for s in sittings),
        sum(s.released for s in sittings),
    )


HEADINGS = (
    f"{'policy':<21}{'units':>6}{'minutes':>9}{'asked':>7}{'sweep':>7}"
    f"{'settled':>9}{'right':>7}{'misled':>8}{'leading':>9}{'found':>7}{'wrong':>9}"
)


def table(rows: Iterable[Row]) -> list[str]:
    """Return the lines of a table of rows."""
    lines = [HEADINGS]
    for r in rows:
        wrong = f"{r.wrong}/{r.released}"
        lines.append(
            f"{r.policy:<21}{r.units:>6}{r.minutes:>9.1f}{r.questions:>7.1f}{r.sweep:>7.1f}"
            f"{r.settled:>9.0%}{r.right:>7.0%}{r.misled:>8.0%}{r.leading:>9.0%}{r.found:>7.0%}{wrong:>9}"
        )
    return lines
