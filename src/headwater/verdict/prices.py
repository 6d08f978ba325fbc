"""What a shop charges. What its list does not say stays unknown: no price is ever invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from headwater.book.shape import Ref
from headwater.book.tables import RENEWED, Verb
from headwater.book.things import NOWHERE
from headwater.errors import Place

NEEDS_PART = RENEWED | {Verb.REFILL}
"""What cannot be done without buying the part itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Another unit in place of this one: its price, and the minutes to put it in."""

    price: float = field(metadata={"doc": "price of the exchange unit, old unit taken back"})
    minutes: float = field(metadata={"doc": "minutes to take the old unit out and put this one in"})
    place: Place = field(metadata={"given": True}, default=NOWHERE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What a shop charges."""

    called: ClassVar[str] = "price list"

    prices: str = field(metadata={"doc": "the name of the list"})
    currency: str = field(metadata={"doc": "the currency, as it is to be printed"})
    labour: float = field(metadata={"doc": "one hour of labour"})
    parts: dict[Ref, float] = field(
        metadata={"doc": "price of each part, by id or in the words of the plan"}
    )
    sundries: dict[str, float] = field(
        metadata={"doc": "small material, by what is done"}, default_factory=dict
    )
    exchange: Exchange | None = field(
        metadata={"doc": "an exchange unit, where the shop has one"}, default=None
    )
    valid_from: date | None = field(
        metadata={"doc": "the first day on which the list is valid: 2026-03-02"}, default=None
    )
    place: Place = field(metadata={"given": True}, default=NOWHERE)

    def material(self, verb: Verb, part: str) -> float | None:
        """Return what the material of a step costs; None where the list does not say."""
        if verb in NEEDS_PART:
            return self.parts.get(Ref(part))
        return self.sundries.get(verb.value, 0.0)

    def work(self, minutes: float) -> float:
        """Return what labour costs."""
        return self.labour * minutes / 60.0
