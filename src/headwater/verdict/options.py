"""Ways to put a unit right, each with its price and what it costs if it comes back.

An option that the gate does not allow is listed as refused, without a price: the bare repair of a
held part is not for sale here. Without a price file nothing is worth any money; minutes and the
probability of a comeback stand all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from headwater.book.tables import Verb
from headwater.verdict.assess import Assessment
from headwater.verdict.comingback import Bill, ComingBack, open_bill
from headwater.verdict.ending import Ending
from headwater.verdict.gate import Deed, corrected_by, corrected_by_exchange, renewal_minutes
from headwater.verdict.jobsheet import to_open
from headwater.verdict.plan import Step, merge
from headwater.verdict.prices import Exchange, Prices


class Way(StrEnum):
    """The kinds of option."""

    PLANNED = "repair as planned"
    COVERING = "correct every candidate"
    EXCHANGE = "exchange unit"
    EXCHANGE_AND_OUTSIDE = "exchange unit, and what is planned outside it"
    ASKED = "what was asked for"


@dataclass(frozen=True, slots=True)
class Charge:
    """One line of an option. `material` is None where the price file does not say."""

    on: str
    what: str
    minutes: float
    material: float | None


@dataclass(frozen=True, slots=True)
class Option:
    """A way to put the unit right. `refused` says why it is not priced; the rest is empty then.

    `corrects` are the origins it corrects, `leaves` the named ones that stay; money is None without
    a price file, or while `unpriced` parts have no price in it.
    """

    way: Way
    refused: str = ""
    charges: tuple[Charge, ...] = ()
    minutes: float = 0.0
    material: float | None = None
    labour: float | None = None
    corrects: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    unpriced: tuple[str, ...] = ()
    again: ComingBack | None = None

    @property
    def total(self) -> float | None:
        """Return material and labour together."""
        if self.material is None or self.labour is None:
            return None
        return self.material + self.labour

    @property
    def known(self) -> float | None:
        """Return what of it is priced, so that it costs at least this; None without prices."""
        if self.labour is None:
            return None
        return self.labour + sum(charge.material or 0.0 for charge in self.charges)

    @property
    def with_comeback(self) -> float | None:
        """Return the total with the expected cost of coming back; None without prices."""
        total = self.total
        if total is None or self.again is None or self.again.cost is None:
            return None
        return total + self.again.cost

    @property
    def at_least(self) -> bool:
        """True when parts that may be damaged again have no price, so that it may cost more."""
        return bool(self.again and self.again.cost is not None and self.again.unpriced)


def make_options(
    assessment: Assessment, prices: Prices | None = None, asked: Sequence[str] = ()
) -> list[Option]:
    """Return the ways to put the unit right. `asked` are the parts that the customer wants."""
    maker = _Maker(assessment, prices, open_bill(assessment, prices))
    released = _released(assessment)
    planned = maker.planned()
    options = [planned] if planned else []
    if assessment.ending.covers:
        options.append(maker.covering(released))
    if assessment.settled or assessment.ending.covers:
        options.append(maker.exchange(Way.EXCHANGE, ()))
        outside = [s for s in released if assessment.book.parts[s.on].outside]
        if outside:
            options.append(maker.exchange(Way.EXCHANGE_AND_OUTSIDE, outside))
    if asked:
        options.append(maker.asked(asked))
    return options


def planned_option(assessment: Assessment, prices: Prices) -> Option | None:
    """Return the repair as planned, or why it is refused; None where nothing is to be repaired.

    What coming back would cost is left out.
    """
    return _Maker(assessment, prices, None).planned()


def _released(assessment: Assessment) -> list[Step]:
    return [step for step in assessment.plan if step.action is not None]


def _held(assessment: Assessment) -> str:
    held = [assessment.book.parts[part].title for part in assessment.held]
    return f"held: {', '.join(held)}" if held else "not every finding is explained"


@dataclass(slots=True)
class _Maker:
    assessment: Assessment
    prices: Prices | None
    bill: Bill | None

    def planned(self) -> Option | None:
        """Price the plan, if the gate names every origin."""
        outcome = self.assessment.ending
        if outcome is Ending.SETTLED:
            return self.repair(Way.PLANNED, _released(self.assessment))
        why = {
            Ending.UNDETERMINED: "no origin can be named: ",
            Ending.NOT_WORTH_MORE: "no origin is named: ",
            Ending.OPEN: "more checks come first: ",
            Ending.DISPUTED: "findings disagree: ",
        }.get(outcome)
        return Option(Way.PLANNED, refused=why + _held(self.assessment)) if why else None

    def repair(self, way: Way, steps: Sequence[Step]) -> Option:
        """Price a list of released steps."""
        deeds = [Deed(s.action, s.on, frozenset(s.corrects)) for s in steps if s.action]
        charges = [
            Charge(s.on, s.action.value, s.minutes, self._material(s.action, s.on))
            for s in steps
            if s.action
        ]
        return self._finish(way, [*charges, *self._opening(steps)], deeds)

    def covering(self, released: Sequence[Step]) -> Option:
        """Price the set that corrects every live candidate."""
        if not self.assessment.cover:
            return Option(Way.COVERING, refused="no set of corrections covers every candidate")
        steps = merge(self.assessment.book, [*released, *self.assessment.cover])
        return self.repair(Way.COVERING, steps)

    def asked(self, parts: Sequence[str]) -> Option:
        """Price what the customer wants, if the gate holds none of it."""
        book, decisions = self.assessment.book, self.assessment.decisions
        for part in parts:
            decision = decisions.get(part)
            if decision is not None and not decision.released:
                title = book.parts[part].title
                return Option(Way.ASKED, refused=f"the {title} is held: {decision.because}")
        if self.assessment.ending is not Ending.SETTLED:
            return Option(Way.ASKED, refused="not every finding is explained by a named origin")
        steps = [
            Step(Verb.REPLACE, part, (), minutes=renewal_minutes(book, part))
            for part in dict.fromkeys(parts)
        ]
        return self.repair(Way.ASKED, steps)

    def exchange(self, way: Way, outside: Sequence[Step]) -> Option:
        """Price an exchange unit, with corrections outside the unit if any."""
        unit: Exchange | None = self.prices.exchange if self.prices else None
        if self.prices and unit is None:
            return Option(way, refused="the price file has no exchange unit")
        first = Charge(
            "unit", "exchange", unit.minutes if unit else 0.0, unit.price if unit else None
        )
        charges = [
            Charge(s.on, s.action.value, s.minutes, self._material(s.action, s.on))
            for s in outside
            if s.action
        ]
        deeds = [Deed(s.action, s.on, frozenset(s.corrects)) for s in outside if s.action]
        return self._finish(way, [first, *charges], deeds, exchange=True)

    def _finish(
        self, way: Way, charges: Iterable[Charge], deeds: Sequence[Deed], exchange: bool = False
    ) -> Option:
        book, statuses = self.assessment.book, self.assessment.statuses
        corrects = [
            cid
            for cid in book.origins
            if corrected_by(book, statuses, deeds, cid)
            or (exchange and corrected_by_exchange(book, statuses, cid))
        ]
        again = None
        if self.bill and exchange:
            again = self.bill.coming_back_after_exchange(corrects)
        elif self.bill:
            again = self.bill.coming_back(corrects)
        lines = tuple(charges)
        minutes = sum(line.minutes for line in lines)
        missing = tuple(line.on for line in lines if line.material is None)
        priced = self.prices is not None and not missing
        return Option(
            way,
            charges=lines,
            minutes=minutes,
            material=sum(line.material or 0.0 for line in lines) if priced else None,
            labour=self.prices.work(minutes) if self.prices else None,
            corrects=tuple(corrects),
            leaves=tuple(c for c in self.assessment.origins if c not in corrects),
            unpriced=missing if self.prices else (),
            again=again,
        )

    def _material(self, verb: Verb, part: str) -> float | None:
        return self.prices.material(verb, part) if self.prices else None

    def _opening(self, steps: Iterable[Step]) -> list[Charge]:
        """Return what must still come off, at no price but its minutes."""
        book = self.assessment.book
        removals = to_open(self.assessment, steps)
        return [Charge(r, "opening", book.removals[r].minutes, 0.0) for r in removals]
