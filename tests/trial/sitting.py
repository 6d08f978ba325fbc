"""One unit met by one policy, from the complaint to the verdict, and what came of it."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from trial.policies import Policy, minutes_of, planner
from trial.units import Unit

from headwater.book.model import Check
from headwater.book.tables import VERB_RANK, Verb
from headwater.measure.answer import Judged
from headwater.verdict.assess import Assessment, Outcome, Reasoner
from headwater.verdict.reach import Stand, still_to_open

AT_MOST = 330
"""Checks after which a sitting is given up: more than the shipped book has."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """What one policy made of one unit.

    `minutes` and `questions` run up to the verdict; `sweep_minutes` is spent after it on fellow
    origins. `right`: an origin was named, none that is not there, and all findings come from named
    ones. `found` of `traces` counts the unit's origins that are named before it is closed up.
    `wrong` of `released` parts would be worked on though an origin of their damage stays behind.
    """

    outcome: Outcome
    minutes: float
    questions: int
    sweep_minutes: float
    right: bool
    found: int
    traces: int
    wrong: int
    released: int


def sit(reasoner: Reasoner, unit: Unit, policy: Policy) -> Sitting:
    """Return what a policy makes of a unit: it asks until the verdict stands, then sweeps."""
    desk = _Desk(reasoner, unit)
    stream = random.Random(f"policy/{unit.seed}")
    while desk.questions < AT_MOST and not stands(desk.now):
        check = policy(desk.now, stream)
        if check is None:
            break
        desk.make(check)
    minutes, questions, outcome = desk.minutes, desk.questions, desk.now.outcome
    if policy is planner or policy.__name__ == "two_steps":
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
        len(named & unit.traces),
        len(unit.traces),
        wrong,
        released,
    )


def stands(now: Assessment) -> bool:
    """Say whether there is a verdict: everything released, or nothing left that could change it."""
    if now.outcome is Outcome.OPEN or not now.accounts:
        return False
    return now.outcome is not Outcome.HEALTHY


class _Desk:
    """The case as it grows: the findings, what is open, and the minutes spent."""

    def __init__(self, reasoner: Reasoner, unit: Unit) -> None:
        self.reasoner, self.unit = reasoner, unit
        first = unit.first(reasoner.book)
        self.findings: dict[str, Judged] = {first.check: first}
        self.times: dict[str, int] = {first.check: 1}
        self.stand = Stand()
        self.minutes, self.questions = 0.0, 0
        self.now = reasoner.assess(self.findings.values(), self.stand)

    def make(self, check: Check) -> None:
        """Make a check: open what is needed, answer, judge again."""
        self.minutes += minutes_of(self.now, check)
        self.questions += 1
        opens = still_to_open(self.reasoner.book, check, self.stand.removed)
        self.stand = Stand(self.stand.seat, self.stand.removed | set(opens))
        time = self.times.get(check.id, 0)
        self.times[check.id] = time + 1
        self.findings[check.id] = self.unit.answer(check, time)
        self.now = self.reasoner.assess(self.findings.values(), self.stand)


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
        fmean(s.outcome is Outcome.SETTLED for s in sittings),
        fmean(s.right for s in sittings),
        found / traces,
        sum(s.wrong for s in sittings),
        sum(s.released for s in sittings),
    )


HEADINGS = (
    f"{'policy':<21}{'units':>6}{'minutes':>9}{'asked':>7}{'sweep':>7}"
    f"{'settled':>9}{'right':>7}{'found':>7}{'wrong':>9}"
)


def table(rows: Iterable[Row]) -> list[str]:
    """Return the lines of a table of rows."""
    lines = [HEADINGS]
    for r in rows:
        wrong = f"{r.wrong}/{r.released}"
        lines.append(
            f"{r.policy:<21}{r.units:>6}{r.minutes:>9.1f}{r.questions:>7.1f}{r.sweep:>7.1f}"
            f"{r.settled:>9.0%}{r.right:>7.0%}{r.found:>7.0%}{wrong:>9}"
        )
    return lines
