"""What the ledger tells, as records; none of them needs a data base to be read or shown."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from headwater.errors import HeadwaterError


class LedgerError(HeadwaterError):
    """A ledger that cannot be used, or something that is not in it."""


class CaseState(StrEnum):
    """How far a shop is with a case."""

    OPEN = "open"
    WAITING = "waiting"
    ORDERED = "ordered"
    IN_WORK = "in-work"
    DONE = "done"
    ARCHIVED = "archived"


@dataclass(frozen=True, slots=True)
class Hand:
    """Who writes into the ledger, and at which device."""

    who: str = ""
    device: str = ""


@dataclass(frozen=True, slots=True)
class CaseRow:
    """A case in a list. `waits_for` says for whom or what; times are those of the shop's zone."""

    case: str
    state: CaseState
    waits_for: str
    customer: str
    vehicle: str
    unit: str
    complaint: str
    findings: int
    opened: str
    changed: str


@dataclass(frozen=True, slots=True)
class CaseList:
    """Cases, the last changed first, of so many in all; `asked` is what was looked for."""

    rows: tuple[CaseRow, ...]
    of: int
    asked: str = ""


@dataclass(frozen=True, slots=True)
class HappenedRow:
    """Something that happened to a case: when, by whom, at which device, and what."""

    at: str
    who: str
    device: str
    what: str


@dataclass(frozen=True, slots=True)
class PictureRow:
    """A picture of a case; `digest` is the SHA-256 of what is kept, empty if only its name is."""

    name: str
    digest: str
    size: int


@dataclass(frozen=True, slots=True)
class CaseCard:
    """All that the ledger knows of a case, beside its findings."""

    row: CaseRow
    phone: str
    distance: str
    earlier: str
    returns: tuple[str, ...]
    told: tuple[str, ...]
    done: tuple[str, ...]
    pictures: tuple[PictureRow, ...]
    others: tuple[str, ...]
    log: tuple[HappenedRow, ...]


@dataclass(frozen=True, slots=True)
class Noted:
    """What a command did to the ledger, a line for each."""

    ledger: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OriginDone:
    """An origin of a case that is done: how surely it was named, its chance then, if corrected."""

    origin: str
    title: str
    naming: str
    chance: float
    corrected: bool


@dataclass(frozen=True, slots=True)
class Finished:
    """A case that is done, with what was done held against the plan, and its warranty (`until`)."""

    case: str
    out_on: str
    sentence: str
    origins: tuple[OriginDone, ...]
    until: str

    @property
    def left(self) -> tuple[OriginDone, ...]:
        """The named origins that nothing which was done corrects."""
        return tuple(one for one in self.origins if one.naming != "open" and not one.corrected)


@dataclass(frozen=True, slots=True)
class Returning:
    """A unit that came back: after how long and how far, and how that stands to the warranty."""

    case: str
    earlier: str
    days: int
    km: float | None
    same: bool | None
    warranty: str
    work_known: bool
