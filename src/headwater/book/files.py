"""The files of a pack: its head, files of declarations, the cases beside a chain."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.model import Check, Condition, Conflict, LaidFigures, Mode, Reason
from headwater.book.shape import Ref
from headwater.book.spoken import Elsewhere, Emergency, Hint, PartWanted, Term
from headwater.book.tables import Drive, Verb
from headwater.book.things import (
    Caution,
    CheckRef,
    ConditionRef,
    Gauge,
    Limit,
    Part,
    PartRef,
    Removal,
    Source,
    When,
    doc,
    filled,
)
from headwater.errors import Place
from headwater.yamltext import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Attribute:
    """A construction attribute of unit families."""

    ask: str = doc("the question that settles it")
    values: dict[str, str] = doc("value -> what it means")
    assume: str = doc("the value taken where a case does not say", default="")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """The head of a pack: `pack.yaml`."""

    pack: Ref = doc("the name of the pack")
    version: str = doc("its version, in quotes")
    title: str = doc("what it covers")
    about: str = doc("who wrote it, from what knowledge, and its limits", default="")
    uses: tuple[str, ...] = doc("packs that it builds on, as folders beside it", default=())
    when: When = doc("units the whole pack is about", default_factory=dict)
    attributes: dict[str, Attribute] = doc("attributes of its unit families", default_factory=dict)
    family: dict[str, str] = doc("the family its examples assume", default_factory=dict)
    retired: dict[str, str] = doc(
        "chains of other packs taken out: id -> why", default_factory=dict
    )
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sections:
    """A file of declarations; every section is optional."""

    sources: dict[Ref, Value] = doc("where figures come from", default_factory=dict)
    cautions: dict[Ref, Value] = doc("warnings", default_factory=dict)
    parts: dict[Ref, Value] = doc("named pieces", default_factory=dict)
    removals: dict[Ref, Value] = doc("steps of disassembly", default_factory=dict)
    gauges: dict[Ref, Value] = doc("measuring tools", default_factory=dict)
    limits: dict[Ref, Value] = doc("what readings are judged against", default_factory=dict)
    conditions: dict[Ref, Value] = doc("states and complaints", default_factory=dict)
    reasons: dict[Ref, Value] = doc("families of causes", default_factory=dict)
    modes: dict[Ref, Value] = doc("damage modes that packs share", default_factory=dict)
    checks: dict[Ref, Value] = doc("what to look at, measure or ask", default_factory=dict)
    conflicts: dict[Ref, Value] = doc("answers that cannot all be true", default_factory=dict)
    emergencies: dict[Ref, Value] = doc("signs of danger, the worst first", default_factory=dict)
    elsewhere: dict[Ref, Value] = doc("trouble outside the driveline", default_factory=dict)
    wanted: dict[Ref, Value] = doc("what is told who wants just a part", default_factory=dict)
    terms: dict[Ref, Value] = doc("words that mean the same", default_factory=dict)
    concepts: dict[Ref, Value] = doc("a thing -> ways to speak of it", default_factory=dict)
    hints: dict[Ref, Value] = doc("concepts that tell of something together", default_factory=dict)
    talk: dict[Ref, Value] = doc("words that tell nothing of a vehicle", default_factory=dict)
    figures: dict[Ref, Value] = doc(
        "a condition -> figures laid over those of packs before", default_factory=dict
    )


RECORDS: dict[str, type] = {
    "sources": Source,
    "cautions": Caution,
    "parts": Part,
    "removals": Removal,
    "gauges": Gauge,
    "limits": Limit,
    "conditions": Condition,
    "reasons": Reason,
    "modes": Mode,
    "checks": Check,
    "conflicts": Conflict,
    "emergencies": Emergency,
    "elsewhere": Elsewhere,
    "wanted": PartWanted,
    "terms": Term,
    "concepts": Term,
    "hints": Hint,
    "talk": Term,
    "figures": LaidFigures,
}
"""Section of a file -> the record that its entries are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expect:
    """What a sample case must come to; only what is written is compared."""

    verdict: str = doc("settled, sound, open, disputed, not-worth-more or undetermined", default="")
    origins: dict[ConditionRef, str] = doc(
        "named origins: proven or probable", default_factory=dict
    )
    not_origins: tuple[ConditionRef, ...] = doc("conditions that must not be named", default=())
    listed: tuple[ConditionRef, ...] = doc(
        "origins that must be named, or still be candidates for something found", default=()
    )
    judged: dict[CheckRef, str] = doc(
        "check -> the answer that its reading must come to, or too-close", default_factory=dict
    )
    released: dict[PartRef, Verb] = doc("parts released and their action", default_factory=dict)
    held: tuple[PartRef, ...] = doc("parts that must be held", default=())
    statuses: dict[ConditionRef, str] = doc("statuses of conditions", default_factory=dict)
    unexplained: tuple[ConditionRef, ...] = doc("findings no chain explains", default=())
    drive: Drive | None = doc("drive advice", default=None)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A small case beside a chain: what is given, what must come of it, and why."""

    name: str = doc("what it shows")
    family: dict[str, str] = doc("differs from the pack's family in", default_factory=dict)
    given: dict[CheckRef, Value] = doc("check -> answer, reading or dont-know/cannot-check/gone")
    expect: Expect = doc("what must come of it")
    why: str = doc("why it must")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFile:
    """A `*.cases.yaml` file beside its chain."""

    cases: tuple[Sample, ...] = doc("at least one that fires and one near miss")
