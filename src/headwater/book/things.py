"""What a unit is made of and what it is measured with, as an author writes it.

`doc` notes become the editor's hints.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Any

from headwater.book.shape import Kind, Ref
from headwater.book.tables import Renewed
from headwater.errors import Place

ConditionRef = Annotated[Ref, Kind("condition")]
PartRef = Annotated[Ref, Kind("part")]
CheckRef = Annotated[Ref, Kind("check")]
LimitRef = Annotated[Ref, Kind("limit")]
RemovalRef = Annotated[Ref, Kind("removal")]
CautionRef = Annotated[Ref, Kind("caution")]
SourceRef = Annotated[Ref, Kind("source")]
GaugeRef = Annotated[Ref, Kind("gauge")]
ModeRef = Annotated[Ref, Kind("mode")]
ReasonRef = Annotated[Ref, Kind("reason")]

NOWHERE = Place("(program)")


def doc(text: str, **more: Any) -> Any:
    """Return a dataclass field that carries an editor's hint; `more` goes to `field`."""
    return field(metadata={"doc": text}, **more)


def filled() -> Any:
    """Return a field that the loader fills, not the author."""
    return field(metadata={"given": True}, default=NOWHERE)


When = dict[str, tuple[str, ...]]
"""Attribute -> values under which a record applies; every attribute named must agree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a figure comes from. The id `common-practice` is always known."""

    id: str = filled()
    title: str = doc("the published work, or how the trade knows it")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A warning shown wherever a check or an action can hurt someone."""

    id: str = filled()
    text: str = doc("what can hurt, and what to do about it")
    when: When = doc("unit families that it is about", default_factory=dict)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A named piece of the unit, or of the vehicle round it."""

    id: str = filled()
    title: str = doc("what the bench calls it")
    said: tuple[str, ...] = doc("other words people use for it, wrong names too", default=())
    outside: bool = doc("true when it belongs to the vehicle, not to the unit", default=False)
    renewed: Renewed | None = doc(
        "when-removed: always renewed once it is off (seal, gasket, snap ring, fluid)", default=None
    )
    when: When = doc("unit families that have it", default_factory=dict)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """A step of disassembly that opens checks to view; paid once."""

    id: str = filled()
    title: str = doc("the state after it: 'rear half lifted off'")
    minutes: float = doc("time it takes, once what is before it is done")
    closing: float | None = doc(
        "time to put it back; as long as taking it off, if not said", default=None
    )
    consumes: tuple[PartRef, ...] = doc(
        "parts marked 'renewed' that this uses up: gasket, seal, sealant, oil", default=()
    )
    after: tuple[RemovalRef, ...] = doc("what must be off before it", default=())
    cautions: tuple[CautionRef, ...] = doc("what can hurt here", default=())
    fitting: tuple[str, ...] = doc("points when it goes back that prevent a comeback", default=())
    when: When = doc("unit families it applies to", default_factory=dict)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A measuring tool with its standard uncertainty."""

    id: str = filled()
    title: str = doc("what it is")
    u: str = doc("standard uncertainty with unit: '0.01 mm'")
    source: SourceRef = doc("source of the uncertainty, or common-practice")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One range of a limit; bands run upwards and the last has no upper edge."""

    name: Ref = doc("a word that the check answers to: 'in-limits'")
    upto: str | None = doc("upper edge with unit, inclusive; none on the last", default=None)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyLimit:
    """The bands of a limit for some unit families only."""

    when: When = doc("the unit families meant")
    bands: tuple[Band, ...] = doc("the ranges, lowest first")
    source: SourceRef = doc("source of the figures, or common-practice")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What a reading is judged against."""

    id: str = filled()
    title: str = doc("what is limited")
    dimension: str = doc("length, ratio, temperature, percent ...")
    unit: str = doc("the unit it is shown in")
    bands: tuple[Band, ...] = doc("the ranges, lowest first")
    source: SourceRef = doc("source of the figures, or common-practice")
    families: tuple[FamilyLimit, ...] = doc("other ranges for some unit families", default=())
    place: Place = filled()
