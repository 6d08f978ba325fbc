"""The gate on random books: true answers, lies, refusals, looks that are gone, all outputs."""

from __future__ import annotations

import traceback
from pathlib import Path
from random import Random

from attack.registry import Attack, Outcome
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from strategies import Situation, answer_of, situations
from verdict.test_gate_properties import DECIDED, TOLD, assess

from headwater.book.tables import CANNOT_CHECK, DONT_KNOW, GONE
from headwater.measure.answer import Judged

REFUSALS = (CANNOT_CHECK, DONT_KNOW, GONE)
WAYS = ("as drawn", "lies", "refusals", "all but one refused", "all gone", "told twice")


def twisted(case: Situation, way: str, dice: Random) -> Situation:
    """Return a situation with what somebody may answer who lies, refuses or has lost the parts."""
    checks = list(case.book.checks.values())
    found: list[Judged] = list(case.findings)
    if way == "lies":
        found = [answer_of(c, str(dice.choice(list(c.answers)))) for c in checks]
    elif way == "refusals":
        found += [
            answer_of(c, dice.choice(REFUSALS)) for c in dice.sample(checks, len(checks) // 2)
        ]
    elif way == "all but one refused":
        one = dice.choice(checks)
        word = dice.choice((CANNOT_CHECK, DONT_KNOW))
        refused = [answer_of(c, word) for c in checks if c is not one]
        found = [answer_of(one, str(dice.choice(list(one.answers)))), *refused, *refused]
    elif way == "all gone":
        told = {judged.check for judged in found}
        found += [answer_of(c, GONE) for c in checks if c.id not in told]
    elif way == "told twice":
        found += [
            answer_of(c, str(dice.choice(list(c.answers))))
            for c in dice.sample(checks, min(2, len(checks)))
        ]
    return Situation(case.book, found, case.stand)


def released_by_refusing(case: Situation) -> list[str]:
    """Return the parts that are released only because somebody cannot or does not look."""
    told = [j for j in case.findings if j.special in (None, GONE)]
    if len(told) == len(case.findings):
        return []
    loose = {part for part, d in assess(case).decisions.items() if d.released and d.action}
    before = assess(Situation(case.book, told, case.stand)).decisions
    return sorted(part for part in loose if part not in before or not before[part].released)


def _strike(dice: Random, runs: int, folder: Path) -> Outcome:  # noqa: ARG001 - as all attacks
    failures: list[str] = []

    @seed(dice.randrange(1 << 30))
    @settings(
        max_examples=runs,
        phases=(Phase.generate,),
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(situations(), st.sampled_from(WAYS), st.integers(0, 1 << 30))
    def judged(drawn: Situation, way: str, number: int) -> None:
        case = twisted(drawn, way, Random(number))
        told: list[str] = []
        try:
            verdict = assess(case)
            for holds in (*DECIDED, *TOLD):
                told.append(holds.__name__)
                holds(verdict)
            if loose := released_by_refusing(case):
                failures.append(f"{way}: {loose} come loose by refusing")
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            failures.append(
                f"{way}: {told[-1:]} {type(error).__name__} at {last.name}: {last.line}"
            )

    judged()
    return Outcome(runs, tuple(failures))


ATTACKS = (Attack("the gate on random books", _strike, 12, 10_000),)
