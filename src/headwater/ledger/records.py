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
    """Cases, the last changed first, of so many in all; `asked` is what was looked for.

    `more` says that there may be more than were counted.
    """

    rows: tuple[CaseRow, ...]
    of: int
    asked: str = ""
    more: bool = False


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


@dataclass(frozen=True, slots=True)
class Interval:
    """The two ends of an interval of 95 %."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class LifeStep:
    """The share of repairs that have not come back by an age, of so many followed until then."""

    age: float
    share: float
    low: float
    high: float
    at_risk: int


@dataclass(frozen=True, slots=True)
class LifeFit:
    """A Weibull curve of ages at return. `early` is the age by which a tenth have come back.

    `shape` below 1: faults of the work, ever fewer; about 1: by chance; above 1: wear.
    """

    shape: float
    shape_within: Interval
    scale: float
    scale_within: Interval
    early: float
    log_likelihood: float


FEW_OF, FEW = 20, 5
"""Of fewer cases than the first, or counted fewer times than the second, a share is said to be."""


@dataclass(frozen=True, slots=True)
class ShareRow:
    """So many of so many, with the share and the two ends of its interval of 95 % (Wilson)."""

    name: str
    count: int
    of: int
    share: float
    low: float
    high: float

    @property
    def few(self) -> bool:
        """Whether it says little, being of few."""
        return self.of < FEW_OF or self.count < FEW


@dataclass(frozen=True, slots=True)
class StatisticRow:
    """A test by its name: what was held against what, its statistic, and p, two-sided."""

    what: str
    name: str
    statistic: float
    p: float


@dataclass(frozen=True, slots=True)
class LifeTable:
    """How long repairs last, in days or km: the share not back by some ages, and a fit.

    `curve` are the steps of the share, as many as a drawing can show.
    """

    unit: str
    method: str
    returned: int
    running: int
    steps: tuple[LifeStep, ...]
    fit: LifeFit | None
    curve: tuple[LifeStep, ...] = ()


@dataclass(frozen=True, slots=True)
class CountStep:
    """The mean number of returns of a unit by some days after its first repair."""

    days: float
    mean: float
    error: float


@dataclass(frozen=True, slots=True)
class ReturnsReport:
    """What came back, as a whole and by groups, and how soon.

    `counts` are means over `units`; their errors were taken of `spread_of` of them.
    """

    whole: ShareRow
    since: str
    until: str
    never_seen: int
    gone: int
    groups: tuple[ShareRow, ...]
    origins: tuple[ShareRow, ...]
    complaints: tuple[ShareRow, ...]
    by_days: LifeTable
    by_km: LifeTable
    counts: tuple[CountStep, ...]
    tests: tuple[StatisticRow, ...]
    units: int = 0
    spread_of: int = 0


@dataclass(frozen=True, slots=True)
class TrendGroup:
    """A group of cases: origins named in it, parts damaged in it, and how many had none named."""

    name: str
    cases: int
    origins: tuple[ShareRow, ...]
    parts: tuple[ShareRow, ...]
    unnamed: ShareRow


@dataclass(frozen=True, slots=True)
class TrendsReport:
    """What was behind the cases of a period and what was damaged, by groups."""

    cases: int
    by: str
    since: str
    until: str
    groups: tuple[TrendGroup, ...]
    tests: tuple[StatisticRow, ...]


@dataclass(frozen=True, slots=True)
class FleetReport:
    """How repairs of a fleet come with distance: ever more with beta above 1, fewer below."""

    customer: str
    units: int
    repairs: int
    beta: float | None
    km_between: float | None


@dataclass(frozen=True, slots=True)
class ReliabilityRow:
    """Forecasts of one band of chances: their mean, and how many came true."""

    chance: float
    found: ShareRow


@dataclass(frozen=True, slots=True)
class CalibrationGroup:
    """Forecasts held against what turned out; both scores are better the smaller they are."""

    name: str
    forecasts: int
    brier: float
    log_loss: float
    bands: tuple[ReliabilityRow, ...]


@dataclass(frozen=True, slots=True)
class CountRow:
    """Something and how often it was counted, at which seat; of a check, the pack it is of."""

    name: str
    count: int
    seat: str = ""
    pack: str = ""


@dataclass(frozen=True, slots=True)
class IdleQuestions:
    """Questions whose answers, taken out one by one, never changed what a case came to."""

    cases: int
    answers: int
    never: tuple[CountRow, ...]


@dataclass(frozen=True, slots=True)
class CalibrationReport:
    """How right the book was in the cases that were proven, and what nobody could say in any.

    `idle` is None where it was not asked for.
    """

    cases: int
    groups: tuple[CalibrationGroup, ...]
    not_known: tuple[CountRow, ...]
    unplaced: tuple[CountRow, ...]
    idle: IdleQuestions | None = None
