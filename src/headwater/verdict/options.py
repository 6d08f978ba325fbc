"""Ways to put a unit right, each with its price and what it costs if it comes back.

The price is that of the whole job: opening the unit from closed and closing it again, what that
uses up, the work and its small material; of an exchange unit, too. An option that the gate does not
allow is listed as refused, without a price: the bare repair of a held part is not for sale here.
Without a price file nothing is worth any money; minutes and the probability of a comeback stand all
the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from headwater.book.tables import Verb
from headwater.verdict.assess import Assessment
from headwater.verdict.comingback import Bill, ComingBack, open_bill
from headwater.verdict.decision import Deed
from headwater.verdict.ending import Ending
from headwater.verdict.gate import corrected_by, corrected_by_exchange, renewal_minutes
from headwater.verdict.jobsheet import renewals, ways_in, whole_work
from headwater.verdict.opening import closing_minutes, going_back, used_up
from headwater.verdict.plan import Step, live_shares
from headwater.verdict.prices import Exchange, Prices

UNIT = "unit"
"""The whole unit, where a line of an option is about no part of it."""


class Way(StrEnum):
    """The kinds of option."""

    PLANNED = "repair as planned"
    COVERING = "correct every candidate"
    EXCHANGE = "exchange unit"
    EXCHANGE_AND_OUTSIDE = "exchange unit, and what is planned outside it"
    ASKED = "what was asked for"


@dataclass(frozen=True, slots=True)
class Charge:
    """One line of an option. Time or material that nobody says is None."""

    on: str
    what: str
    minutes: float | None
    material: float | None


@dataclass(frozen=True, slots=True)
class Option:
    """A way to put the unit right. `refused` says why it is not priced; the rest is empty then.

    `corrects` are the origins it corrects, `leaves` the named ones that stay and `may_leave` the
    candidates, with their shares, while none is named. Minutes are None where a line has none;
    money is None without a price file, or while `unpriced` parts have no price in it. On `unfound`
    parts nothing was found that speaks for the work.
    """

    way: Way
    refused: str = ""
    charges: tuple[Charge, ...] = ()
    minutes: float | None = None
    material: float | None = None
    labour: float | None = None
    corrects: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    may_leave: tuple[tuple[str, float], ...] = ()
    unpriced: tuple[str, ...] = ()
    unfound: tuple[str, ...] = ()
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
    planned = maker.planned()
    options = [planned] if planned else []
    if assessment.ending.covers:
        options.append(maker.covering())
    if assessment.settled or assessment.ending.covers:
        options.append(maker.exchange(Way.EXCHANGE, ()))
        outside = [s for s in _all_steps(assessment) if assessment.book.parts[s.on].outside]
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


def _all_steps(assessment: Assessment) -> list[Step]:
    """Return what is planned, and what covers the candidates of an undetermined case."""
    return whole_work(assessment, _released(assessment), assessment.cover or ())


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
        if self.assessment.settled:
            return self.repair(Way.PLANNED, _released(self.assessment))
        why = {
            Ending.UNDETERMINED: "no origin can be named: ",
            Ending.NOT_WORTH_MORE: "more checks come first: ",
            Ending.OPEN: "more checks come first: ",
            Ending.DISPUTED: "findings disagree: ",
        }.get(self.assessment.ending)
        return Option(Way.PLANNED, refused=why + _held(self.assessment)) if why else None

    def repair(self, way: Way, steps: Sequence[Step]) -> Option:
        """Price a list of released steps, with all that they open."""
        charges = [*self._opening(steps), *self._work(steps), *self._closing(steps)]
        return self._finish(way, charges, _deeds(steps))

    def covering(self) -> Option:
        """Price the set that corrects every live candidate, and the damaged parts with it."""
        if not self.assessment.cover:
            return Option(Way.COVERING, refused="no set of corrections covers every candidate")
        return self.repair(Way.COVERING, _all_steps(self.assessment))

    def asked(self, parts: Sequence[str]) -> Option:
        """Price what the customer wants, if the gate holds none of it."""
        book, decisions = self.assessment.book, self.assessment.decisions
        for part in parts:
            decision = decisions.get(part)
            if decision is not None and not decision.released:
                title = book.parts[part].title
                return Option(Way.ASKED, refused=f"the {title} is held: {decision.because}")
        if not self.assessment.settled:
            return Option(Way.ASKED, refused="not every finding is explained by a named origin")
        steps = [
            Step(Verb.REPLACE, part, (), minutes=renewal_minutes(book, part))
            for part in dict.fromkeys(parts)
        ]
        unfound = tuple(step.on for step in steps if step.on not in decisions)
        return replace(self.repair(Way.ASKED, steps), unfound=unfound)

    def exchange(self, way: Way, outside: Sequence[Step]) -> Option:
        """Price an exchange unit, with corrections outside the unit if any."""
        unit: Exchange | None = self.prices.exchange if self.prices else None
        if self.prices and unit is None:
            return Option(way, refused="the price file has no exchange unit")
        time, price = (unit.minutes, unit.price) if unit else (None, None)
        charges = [
            Charge(UNIT, "exchange", time, price),
            *self._filled_anew(),
            *self._work(outside),
        ]
        return self._finish(way, charges, _deeds(outside), exchange=True)

    def _finish(
        self, way: Way, charges: Iterable[Charge], deeds: Sequence[Deed], exchange: bool = False
    ) -> Option:
        corrects = self._corrected(deeds, exchange)
        lines = tuple(charges)
        known = [line.minutes for line in lines if line.minutes is not None]
        minutes = sum(known) if len(known) == len(lines) else None
        missing = tuple(dict.fromkeys(line.on for line in lines if line.material is None))
        priced = self.prices is not None and not missing
        return Option(
            way,
            charges=lines,
            minutes=minutes,
            material=sum(line.material or 0.0 for line in lines) if priced else None,
            labour=self.prices.work(minutes) if self.prices and minutes is not None else None,
            corrects=tuple(corrects),
            leaves=tuple(c for c in self.assessment.origins if c not in corrects),
            may_leave=tuple((c, p) for c, p in self._live().items() if c not in corrects),
            unpriced=missing if self.prices else (),
            again=self._again(corrects, exchange),
        )

    def _corrected(self, deeds: Sequence[Deed], exchange: bool) -> list[str]:
        book, statuses = self.assessment.book, self.assessment.statuses
        return [
            cid
            for cid in book.origins
            if corrected_by(book, statuses, deeds, cid)
            or (exchange and corrected_by_exchange(book, statuses, cid))
        ]

    def _live(self) -> dict[str, float]:
        accounts = self.assessment.accounts
        return live_shares(accounts[cid] for cid in self.assessment.unexplained)

    def _again(self, corrects: Sequence[str], exchange: bool) -> ComingBack | None:
        if self.bill is None:
            return None
        if exchange:
            return self.bill.coming_back_after_exchange(corrects)
        return self.bill.coming_back(corrects)

    def _material(self, verb: Verb, part: str) -> float | None:
        return self.prices.material(verb, part) if self.prices else None

    def _work(self, steps: Iterable[Step]) -> list[Charge]:
        return [
            Charge(s.on, s.action.value, s.minutes, self._material(s.action, s.on))
            for s in steps
            if s.action
        ]

    def _opening(self, steps: Sequence[Step]) -> list[Charge]:
        """Return the way in, each removal once; what is off already was done for it as well."""
        book, off = self.assessment.book, self.assessment.stand.removed
        return [
            Charge(r, "opened" if r in off else "opening", book.removals[r].minutes, 0.0)
            for r in ways_in(self.assessment, steps)
        ]

    def _closing(self, steps: Sequence[Step]) -> list[Charge]:
        """Return the way back, each removal once, and what the job uses up."""
        book = self.assessment.book
        back = going_back(book, ways_in(self.assessment, steps))
        return [
            *(Charge(r, "closing", closing_minutes(book, r), 0.0) for r in back),
            *(self._new(renewal.part) for renewal in renewals(self.assessment, steps)),
        ]

    def _filled_anew(self) -> list[Charge]:
        """Return what every unit needs new that goes in: what the outermost removals use up."""
        book, held = self.assessment.book, self.assessment.held
        parts = self.assessment.decisions.items()
        damaged = [Step(None, part, decision.conditions) for part, decision in parts]
        first = [r for r in ways_in(self.assessment, damaged) if not book.removals[r].after]
        return [self._new(part) for part in used_up(book, first) if part not in held]

    def _new(self, part: str) -> Charge:
        """Return the line of a part that the job uses up; its minutes are in the closing."""
        return Charge(part, "renewed", 0.0, self._material(Verb.REPLACE, part))


def _deeds(steps: Iterable[Step]) -> list[Deed]:
    return [Deed(s.action, s.on, frozenset(s.corrects)) for s in steps if s.action]
