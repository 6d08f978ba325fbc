"""How few minutes would have done: a bound beside the planner, from below and from above.

Asked is the least time of a set of looks (each opening paid once) that, answered as the unit's
people do, settle the case rightly and every complaint as surely as the planner's verdict did.

From below: what any such set must hold. A complaint that is named *proven* needs a look that shows
one of the origins that may rightly be named for it (of a usage: a trace), and for each condition
that lies on every way from these origins to it and can be seen, a look that shows that. An integer
program finds the least minutes that hold all of these: no set of looks settles it in fewer, but
none may in so few. That proof hangs on no single act asks for no second look at the origin: any
look that speaks of the matter may be the second.

From above: the planner's own looks, of which one after the other is left out, the dearest first, as
long as the verdict stays settled, right and as sure.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from trial.ceiling import PERSONS
from trial.desk import Desk, Outcome, Told, least_minutes, retold
from trial.sitting import Sitting, is_right

from headwater.book.records import Book, effects_by_cause, removals_before, spread
from headwater.book.tables import SPECIAL
from headwater.session.openbook import OpenBook
from headwater.simulate.observer import Asked, Observer
from headwater.simulate.units import SimulatedUnit, is_usage, looks_that_show


@dataclass(frozen=True, slots=True)
class Need:
    """Looks of which some must be made."""

    looks: frozenset[str]
    at_least: int = 1


@dataclass(frozen=True, slots=True)
class Bound:
    """The least minutes, from below and from above."""

    lower: float
    upper: float


def bound(
    opened: OpenBook, family: Mapping[str, str], observer: Observer, sitting: Sitting
) -> Bound | None:
    """Return the bound of a rightly settled unit; None where its answers do not settle it again."""
    unit = observer.unit
    kept = pruned(opened, family, unit, sitting)
    if kept is None:
        return None
    book, answers = observer.book, answers_of(observer, sitting.told)
    lower = least(book, needs_of(book, unit, sitting.outcome, answers), unit.told)
    return Bound(lower, kept.minutes)


def answers_of(observer: Observer, told: Iterable[Told]) -> dict[str, str]:
    """Return the word with which each look is answered: as it was, or as it would be."""
    answers = {}
    for check in observer.book.checks.values():
        words = (observer.answer(check, Asked(person)).word for person in range(PERSONS))
        word = next((word for word in words if word not in SPECIAL), None)
        if word:
            answers[str(check.id)] = word
    return answers | {one.check: one.word for one in told if one.tells}


def needs_of(
    book: Book, unit: SimulatedUnit, outcome: Outcome, answers: Mapping[str, str]
) -> list[Need]:
    """Return what any set of looks must hold that settles the complaints as surely as they are."""
    needs = []
    for found in unit.found:
        if not outcome.proven.get(found):
            continue
        causes = unit.causes(found)
        way = [c for c in narrows(book, causes, found) if not is_usage(book, c)]
        shown = [causes | traces_of(book, causes), *({c} for c in way)]
        needs += [Need(looks_that_show(book.checks.values(), answers, some)) for some in shown]
    return [need for need in needs if need.looks and not need.looks & unit.told.keys()]


def traces_of(book: Book, origins: Iterable[str]) -> frozenset[str]:
    """Return what usages leave behind: one of these confirms a usage, which is told, not seen."""
    told = (origin for cid in origins if (origin := book.conditions[cid].origin))
    return frozenset(str(trace) for origin in told if origin.usage for trace in origin.traces)


def narrows(book: Book, origins: Iterable[str], found: str) -> list[str]:
    """Return the conditions that every way from some origins to a finding passes, ends left out."""
    starts = set(origins)
    onward = effects_by_cause(book.links)
    reached = spread(starts, onward) - starts - {found}

    def leads_round(narrow: str) -> bool:
        return found in spread(starts, lambda c: () if c == narrow else onward(c))

    return sorted(c for c in reached if found not in starts and not leads_round(c))


def least(book: Book, needs: Sequence[Need], free: Iterable[str] = ()) -> float:
    """Return the fewest minutes of looks and openings that meet all needs.

    `free` looks cost none, nor does what they have opened. Raises ValueError where none do.
    """
    free = set(free)
    looks = sorted(frozenset[str]().union(*(need.looks for need in needs)) - free)
    if not looks:
        return 0.0
    off = set[str]().union(*(removals_before(book, book.checks[told].after) for told in free))
    opens = {look: removals_before(book, book.checks[look].after) - off for look in looks}
    removals = sorted(set[str]().union(*opens.values()))
    columns = {name: at for at, name in enumerate([*looks, *(f"open {r}" for r in removals)])}
    minutes = [least_minutes(book.checks[look]) for look in looks]
    minutes += [book.removals[removal].minutes for removal in removals]
    rows, at_least = [], []
    for need in needs:
        rows.append([float(name in need.looks) for name in columns])
        at_least.append(float(need.at_least))
    for look, removal in ((one, removal) for one in looks for removal in opens[one]):
        row = [0.0] * len(columns)
        row[columns[f"open {removal}"]], row[columns[look]] = 1.0, -1.0
        rows.append(row)
        at_least.append(0.0)
    solved = milp(
        np.array(minutes),
        integrality=np.ones(len(columns)),
        bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(np.array(rows), np.array(at_least), np.inf),
    )
    if not solved.success:
        raise ValueError(f"no looks meet all needs: {solved.message}")
    return float(solved.fun)


def pruned(
    opened: OpenBook, family: Mapping[str, str], unit: SimulatedUnit, sitting: Sitting
) -> Desk | None:
    """Return a desk with the looks that are left when none of them can be left out."""

    def again(looks: Iterable[str]) -> Desk:
        wanted = {*looks, *unit.told}
        told = [one for one in sitting.told if one.check in wanted]
        return retold(opened, family, told, len(unit.told))

    def serves(desk: Desk) -> bool:
        if not desk.settled:
            return False
        outcome = desk.outcome()
        sure = all(outcome.proven.get(c) for c in unit.found if sitting.outcome.proven.get(c))
        return sure and is_right(outcome, unit)

    looks = list(dict.fromkeys(one.check for one in sitting.told if one.check not in unit.told))
    kept = again(looks)
    if not serves(kept):
        return None
    spared = {look: kept.minutes - again(set(looks) - {look}).minutes for look in looks}
    for look in sorted(looks, key=lambda look: (-spared[look], look)):
        without = again(one for one in looks if one != look)
        if serves(without):
            kept = without
            looks.remove(look)
    return kept
