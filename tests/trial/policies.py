"""Ways of choosing the next check, each a function from a verdict so far to a check.

All of them meet the same gate and stop by the same rule, so that only the order of asking differs.
"""

from __future__ import annotations

import random
from collections.abc import Callable

from headwater.belief.gain import predict
from headwater.book.model import Check
from headwater.measure.answer import Judged
from headwater.session.ask import NextCheck, cost_of, next_checks
from headwater.verdict.assess import Assessment
from headwater.verdict.reach import still_to_open, within_reach

Policy = Callable[[Assessment, random.Random], Check | None]

LOOK_AT = 4
"""Checks that the two-step look-ahead compares at each step."""


def planner(now: Assessment, _stream: random.Random) -> Check | None:
    """Ask what the program would ask."""
    ranked = next_checks(now)
    return now.book.checks[ranked[0].check] if ranked else None


def cheapest_first(now: Assessment, _stream: random.Random) -> Check | None:
    """Make whatever takes the fewest minutes, opening included."""
    return min(_left(now), key=lambda c: (minutes_of(now, c), c.id), default=None)


def cheapest_that_bears(now: Assessment, _stream: random.Random) -> Check | None:
    """The same among the checks that the gate still waits for: a stronger rival."""
    wanted = {cid for account in now.accounts.values() for cid in account.at_hand}
    bearing = [check for check in _left(now) if check.id in wanted]
    return min(bearing, key=lambda c: (minutes_of(now, c), c.id), default=None)


def shop_checklist(now: Assessment, _stream: random.Random) -> Check | None:
    """Go through the book in the order of the teardown: everything at one stage, then open on."""
    order = list(now.book.checks)
    return min(
        _left(now),
        key=lambda c: (len(still_to_open(now.book, c, ())), order.index(c.id)),
        default=None,
    )


def any_order(now: Assessment, stream: random.Random) -> Check | None:
    """Make any check."""
    left = _left(now)
    return stream.choice(left) if left else None


def two_steps(now: Assessment, _stream: random.Random) -> Check | None:
    """Compare the best few checks by what they and the best check after them tell per minute."""
    ranked = next_checks(now)[:LOOK_AT]
    if len(ranked) < 2 or now.ending == "settled":
        return now.book.checks[ranked[0].check] if ranked else None
    best = max(ranked, key=lambda item: (_two_step_worth(now, item), item.check))
    return now.book.checks[best.check]


def _two_step_worth(now: Assessment, item: NextCheck) -> float:
    check = now.book.checks[item.check]
    chances = predict(now.particles, check).mean(axis=0)
    worth, minutes = item.gain, item.minutes
    for word, chance in zip(check.answers, chances, strict=True):
        told = Judged(check.id, str(word), ((str(word), 1.0),), settled=str(word))
        stand = type(now.stand)(now.stand.seat, now.stand.removed | set(item.opens))
        then = now.reasoner.assess([*now.stand.answered.values(), told], stand)
        onward = next_checks(then)
        if onward and then.ending == "open":
            worth += float(chance) * onward[0].gain
            minutes += float(chance) * onward[0].minutes
        elif then.ending != "open":
            worth += float(chance)
    return worth / minutes


def minutes_of(now: Assessment, check: Check) -> float:
    """Return the minutes of a check with what must be opened for it."""
    return cost_of(now, check)[0]


def _left(now: Assessment) -> list[Check]:
    return [
        check
        for check in now.book.checks.values()
        if check.id not in now.stand.answered and within_reach(check, now.stand)
    ]


POLICIES: dict[str, Policy] = {
    "planner": planner,
    "cheapest": cheapest_first,
    "cheapest that bears": cheapest_that_bears,
    "shop checklist": shop_checklist,
    "random": any_order,
    "two steps": two_steps,
}

ADAPTIVE = (planner, cheapest_that_bears, two_steps)
"""Policies that mind the verdict so far."""
SWEEPING = (planner, two_steps)
"""Policies that look for fellow origins before the unit is closed up."""
