"""What a repair costs again if it leaves origins in place.

The probabilities come from the worlds of the posterior (`belief.repeat`); the bill of a comeback is
made up from the same book and price file as the repair itself: each part in need again by its usual
disposition, and opening and closing to get there, from a unit that is back in its vehicle. Coming
back means that what was found is brought about again. Only origins that may be behind it are
followed: what may befall any unit is the same under every option.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from headwater.belief.repeat import Repeat, Stakes, repeat
from headwater.belief.worlds import Root
from headwater.book.tables import Nature
from headwater.verdict.account import Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.decision import Cost
from headwater.verdict.gate import corrected_by_exchange, cost_to_mend
from headwater.verdict.jobsheet import removals_for
from headwater.verdict.naming import RIVAL_FROM
from headwater.verdict.opening import closing_minutes
from headwater.verdict.prices import Prices


@dataclass(frozen=True, slots=True)
class AgainLine:
    """One line of the bill: its probability, and its cost if it comes; None without a price."""

    on: str
    chance: float
    minutes: float
    cost: float | None

    @property
    def expected(self) -> float | None:
        """Return probability times cost."""
        return None if self.cost is None else self.chance * self.cost


@dataclass(frozen=True, slots=True)
class ComingBack:
    """How probably a repair comes back, and the expected bill; `cost` None without prices.

    `lines` are parts, `opening` removals; `unpriced` are parts without a price. `left` are the
    origins that would bring it back, likeliest first, each with its probability; None stands for
    causes that the book does not know.
    """

    chance: float
    cost: float | None
    lines: tuple[AgainLine, ...]
    opening: tuple[AgainLine, ...]
    unpriced: tuple[str, ...]
    left: tuple[tuple[str | None, float], ...] = ()


@dataclass(slots=True)
class Bill:
    """What every comeback of a case may touch, worked out once for all its options."""

    assessment: Assessment
    prices: Prices | None
    stakes: Stakes
    usual: dict[str, Cost]
    suspects: frozenset[str]
    behind: dict[str, frozenset[str]]

    def _left_after(self, corrected: Iterable[str]) -> frozenset[str]:
        """Return the origins that are left: a worn bore that stays, and whatever wore it."""
        left = self.suspects - frozenset(corrected)
        return left.union(*(self.behind[origin] for origin in left if origin in self.behind))

    def coming_back(self, corrected: Iterable[str]) -> ComingBack:
        """Return what comes back if only these origins are corrected."""
        left = self._left_after(corrected)
        return self._bill(lambda source: source.unlisted or source.condition in left)

    def coming_back_after_exchange(self, corrected: Iterable[str]) -> ComingBack:
        """Return what comes back after another unit was fitted and these origins were corrected.

        An unlisted cause goes out with the unit if what it started is on a part of the unit.
        """
        left = self._left_after(corrected)
        book, statuses = self.assessment.book, self.assessment.statuses

        def remains(source: Root) -> bool:
            if source.unlisted:
                part = book.conditions[source.condition].part
                return not part or part not in book.parts or book.parts[part].outside
            return source.condition in left and not corrected_by_exchange(
                book, statuses, source.condition
            )

        return self._bill(remains)

    def _bill(self, remains: Callable[[Root], bool]) -> ComingBack:
        again = repeat(self.assessment.posterior, self.stakes, remains)
        lines = tuple(self._line(part, chance) for part, chance in again.parts.items() if chance)
        opening = self._opening(again)
        missing = tuple(line.on for line in lines if line.cost is None)
        cost: float | None = None
        if self.prices:
            cost = float(sum(line.expected or 0.0 for line in (*lines, *opening)))
        return ComingBack(again.anything, cost, lines, opening, missing, _left(again))

    def _line(self, part: str, chance: float) -> AgainLine:
        usual = self.usual[part]
        return AgainLine(part, chance, usual.minutes, usual.money)

    def _opening(self, again: Repeat) -> tuple[AgainLine, ...]:
        lines = []
        for removal, chance in again.removals.items():
            book = self.assessment.book
            minutes = book.removals[removal].minutes + closing_minutes(book, removal)
            cost = self.prices.work(minutes) if self.prices else None
            lines.append(AgainLine(removal, chance, minutes, cost))
        return tuple(line for line in lines if line.chance)


def _left(again: Repeat) -> tuple[tuple[str | None, float], ...]:
    """Return what would bring it back, likeliest first; causes not in the book in one line."""
    shares: dict[str | None, float] = {}
    for root, chance in again.behind.items():
        name = None if root.unlisted else root.condition
        shares[name] = max(shares.get(name, 0.0), chance)
    return tuple(sorted(shares.items(), key=lambda item: (-item[1], item[0] or "~")))


def open_bill(assessment: Assessment, prices: Prices | None) -> Bill:
    """Return the bill of a case: which parts a comeback may touch, and what is usual on each."""
    book = assessment.book
    present = assessment.present
    damage: dict[str, set[str]] = {}
    mending: dict[str, set[str]] = {}
    usual: dict[str, tuple[float, Cost]] = {}
    for cid, record in book.conditions.items():
        harmful = record.kind is Nature.DAMAGE and bool(record.part)
        if not (harmful or record.origin):
            continue
        cost = cost_to_mend(book, assessment.statuses, cid, prices)
        if cost is None:
            continue
        group = damage if harmful else mending
        group.setdefault(cost.part, set()).add(cid)
        chance = present.get(cid, 0.0)
        if cost.part not in usual or chance > usual[cost.part][0]:
            usual[cost.part] = (chance, cost)
    parts = [*damage, *mending]
    stakes = Stakes(
        _found(assessment),
        {part: frozenset(cids) for part, cids in damage.items()},
        {part: frozenset(cids) for part, cids in mending.items()},
        {part: tuple(removals_for(assessment, part)) for part in dict.fromkeys(parts)},
    )
    costs = {part: cost for part, (_, cost) in usual.items()}
    behind = {origin: _behind(assessment, origin) for origin in assessment.origins}
    return Bill(assessment, prices, stakes, costs, _suspects(assessment), behind)


def _found(assessment: Assessment) -> frozenset[str]:
    """Return the damage and the complaints that were found: what is not to come back."""
    conditions = assessment.book.conditions
    return frozenset(c for c in assessment.accounts if conditions[c].kind is not Nature.STATE)


def _suspects(assessment: Assessment) -> frozenset[str]:
    """Return the origins that may be behind what was found.

    All named ones, and every live candidate of what is not proven. Beside a proven origin only a
    rival counts: a further origin may have been at work too, but no more than in any unit.
    """
    suspects = set(assessment.origins)
    for account in assessment.accounts.values():
        proven = any(chain.naming is Naming.PROVEN for chain in account.chains)
        least = RIVAL_FROM if proven else 0.0
        suspects |= {c.origin for c in account.candidates if c.origin and c.share >= least}
    return frozenset(suspects)


def _behind(assessment: Assessment, origin: str) -> frozenset[str]:
    """Return what may have led to a named origin: with it left in place, that is left as well."""
    account = assessment.accounts.get(origin)
    candidates = account.candidates if account else ()
    return frozenset(c.origin for c in candidates if c.origin)
