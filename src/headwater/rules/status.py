"""The status of a condition, read off a derivation, and the record of why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from headwater.rules.compile import Fact, Mark, Rule
from headwater.rules.derivation import Derivation


class Status(StrEnum):
    """What is known of a condition (design, section 3)."""

    CONFIRMED = "confirmed"
    RULED_OUT = "ruled-out"
    DISPUTED = "disputed"
    PROBABLE = "probable"
    SUSPECTED = "suspected"
    EXPECTED = "expected"
    UNKNOWN = "unknown"


_PRECEDENCE = (
    (Mark.DISPUTED, Status.DISPUTED),
    (Mark.CONFIRMED, Status.CONFIRMED),
    (Mark.RULED_OUT, Status.RULED_OUT),
    (Mark.PROBABLE, Status.PROBABLE),
    (Mark.SUSPECTED, Status.SUSPECTED),
    (Mark.EXPECTED, Status.EXPECTED),
)


def statuses_of(derivation: Derivation, conditions: Iterable[str]) -> dict[str, Status]:
    """Return the strongest status that the derivation gives each condition."""
    found = dict.fromkeys(conditions, Status.UNKNOWN)
    facts = (*derivation.given, *derivation.firings)
    for mark, status in reversed(_PRECEDENCE):
        found |= {f.condition: status for f in facts if f.mark is mark and f.condition in found}
    return found


def status_of(derivation: Derivation, condition: str) -> Status:
    """Return the strongest status that the derivation gives a condition."""
    for mark, status in _PRECEDENCE:
        if derivation.holds(condition, mark):
            return status
    return Status.UNKNOWN


def mark_of(status: Status) -> Mark | None:
    """Return the mark behind a status; none behind `unknown`."""
    return next((mark for mark, known in _PRECEDENCE if known is status), None)


@dataclass(frozen=True, slots=True)
class Explanation:
    """One step of an explanation: a fact, the rule that gave it, and what that rests on."""

    fact: Fact
    rule: Rule | None
    rests_on: tuple[Explanation, ...]


def why(derivation: Derivation, condition: str) -> Explanation | None:
    """Return how the status of a condition was derived; None when nothing is known of it."""
    mark = mark_of(status_of(derivation, condition))
    return _explained(derivation, Fact(condition, mark)) if mark else None


def _explained(derivation: Derivation, fact: Fact) -> Explanation:
    # The first firing rests on earlier ones only, so this ends even where the book has a loop.
    fired = derivation.firings.get(fact)
    if not fired:
        return Explanation(fact, None, ())
    return Explanation(
        fact, fired[0], tuple(_explained(derivation, need) for need in fired[0].needs)
    )


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why one rule did not give a fact: what it still needs, or what stood in its way."""

    rule: Rule
    missing: tuple[Fact, ...]
    blocked_by: tuple[Fact, ...]


def why_not(
    derivation: Derivation, rules: Iterable[Rule], condition: str, mark: Mark = Mark.CONFIRMED
) -> list[Obstacle]:
    """Return, for every rule that could give the mark, what kept it from firing."""
    obstacles = []
    for rule in rules:
        if rule.concludes != (condition, mark):
            continue
        missing = tuple(f for f in rule.needs if not derivation.holds(*f))
        blocked = tuple(f for f in rule.unless if derivation.holds(*f))
        if missing or blocked:
            obstacles.append(Obstacle(rule, missing, blocked))
    return obstacles
