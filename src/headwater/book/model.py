"""The records of a book, as an author writes them. `doc` notes become the editor's hints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from headwater.book.chances import Common, Often, Sureness
from headwater.book.seal import Sealed
from headwater.book.shape import Reader, Ref, record_schema, schema_for
from headwater.book.tables import Drive, Nature, Seat, Sense, Verb
from headwater.book.things import (
    CautionRef,
    CheckRef,
    ConditionRef,
    GaugeRef,
    LimitRef,
    ModeRef,
    PartRef,
    ReasonRef,
    RemovalRef,
    SourceRef,
    When,
    doc,
    filled,
)
from headwater.errors import Place
from headwater.yamltext import Table, Value

OWNER = "(owner's word)"
"""The act of everything that the owner told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Something to do: an origin's correction or a damaged part's disposition."""

    action: Verb = doc("what is done")
    on: PartRef | None = doc("the part; the condition's own part by default", default=None)
    text: str = doc("the instruction, in a sentence or two")
    minutes: float = doc("labour once the unit is open", default=15.0)
    unless: tuple[ConditionRef, ...] = doc("not offered when one of these is found", default=())
    fitting: tuple[str, ...] = doc("points at fitting that prevent the comeback", default=())
    cautions: tuple[CautionRef, ...] = doc("what can hurt here", default=())
    when: When = doc("unit families that it is for: what their metal allows", default_factory=dict)
    place: Place = filled()


class Remedies(Sealed[Action]):
    """The actions that mend a condition, best first, sealed (`book.seal`)."""

    __slots__ = ()

    @classmethod
    def read_yaml(cls, reader: Reader, value: Value) -> Remedies:
        """Read one action, or a list of them."""
        return cls(reader.read(tuple[Action, ...], value))

    @classmethod
    def schema_yaml(cls) -> dict[str, Any]:
        """Return the JSON Schema."""
        return schema_for(tuple[Action, ...])


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Makes a condition an origin: it can start a chain by itself."""

    common: Common = doc("how common it is: common, occasional, rare or a number")
    corrections: Remedies = doc("what corrects it, best first")
    at_fitting: bool = doc("true when only the hand that puts it together makes it", default=False)
    by_age: bool = doc(
        "true when only long running makes it: a part renewed lately hardly ever has it",
        default=False,
    )
    usage: bool = doc(
        "true when it was done to the vehicle or befell it; else a fault that can be put right",
        default=False,
    )
    traces: tuple[ConditionRef, ...] = doc(
        "of a usage: what it leaves behind ten times likelier than any other cause does", default=()
    )
    alone: str = doc(
        "why one look at it is proof enough; never for a costly or final action", default=""
    )
    source: SourceRef | None = doc("source of a number in 'common'", default=None)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """What a condition means for driving the vehicle."""

    advice: Drive = doc("stop, parked or limp")
    likely: Drive | None = doc(
        "what it advises while it is likely and not as good as found, where that is less",
        default=None,
    )
    because: str = doc("what can happen, in the caller's words")
    limits: str = doc(
        "how slow and how far, as a caller can follow it: for limp, or while it is only possible",
        default="",
    )
    until_explained: bool = doc(
        "true when the danger is in what may be behind it: none once that is proven", default=False
    )
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A physical state of a part, or a complaint of the vehicle."""

    id: str = filled()
    title: str = doc("what it is, without naming a remedy")
    kind: Nature = doc("damage, complaint or state")
    part: PartRef | None = doc("the part it is on", default=None)
    plain: str = doc("the same in a customer's words", default="")
    said: tuple[str, ...] = doc("other words people use for it", default=())
    bring: str = doc("what a caller brings or photographs when it is suspected", default="")
    looks: str = doc("how it looks and how to tell it from its neighbours", default="")
    when: When = doc("unit families that can have it", default_factory=dict)
    origin: Origin | None = doc("when it can start a chain by itself", default=None)
    dispositions: Remedies = doc("what is done with the damaged part", default=Remedies())
    unobservable: str = doc("why no check can decide it", default="")
    danger: Danger | None = doc("what it means for driving", default=None)
    replaces: tuple[str, ...] = doc("ids it had before", default=())
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A family of causes that damage modes point to: the ring is loose, the oil film is thin."""

    id: str = filled()
    title: str = doc("what is behind the damage, in general")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """A damage mode: a named look of damage that packs share, whatever the part is called."""

    id: str = filled()
    of: Ref = doc("the list it belongs to: rolling-bearing, gear, lip-seal ...")
    title: str = doc("its name in the source, or in the trade")
    clause: str = doc("its clause or number in the source", default="")
    source: SourceRef = doc("where the name comes from, or common-practice")
    remembered: str = doc("what of name or number is from memory, not read", default="")
    looks: str = doc("how it looks, in one sentence")
    said: tuple[str, ...] = doc("what people at a bench call it", default=())
    neighbours: dict[ModeRef, str] = doc(
        "modes it is taken for -> how to tell it from them", default_factory=dict
    )
    points_to: tuple[ReasonRef, ...] = doc("the families of causes behind it")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer to a check and what it means."""

    says: str = doc("the answer in words a person would choose", default="")
    is_: Sense | None = doc(
        "sound, bad or plain; if not said: bad when it shows a state, sound when it only rules out",
        default=None,
    )
    said: tuple[str, ...] = doc("other words that mean it, spoken or in old cases", default=())
    shows: dict[ConditionRef, Sureness] = doc("conditions it shows", default_factory=dict)
    rules_out: dict[ConditionRef, Sureness] = doc(
        "conditions it speaks against", default_factory=dict
    )
    place: Place = filled()

    @property
    def sense(self) -> Sense:
        """What it comes to: said by the author, or read off what it shows and rules out."""
        if self.is_ is not None:
            return self.is_
        if self.shows:
            return Sense.BAD
        return Sense.SOUND if self.rules_out else Sense.PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class HowMeasured:
    """How a measured check gets its figure."""

    called: ClassVar[str] = "reading"

    limit: LimitRef = doc("the limit it is judged against; answers are keyed by its bands")
    gauge: GaugeRef | None = doc("what it is measured with; sets the uncertainty", default=None)
    possible: tuple[str, ...] = doc(
        "the least and the most that gauge and geometry can give: [0 mm, 6 mm]", default=()
    )
    work: str | None = doc("bench arithmetic that turns several inputs into one", default=None)
    inputs: dict[str, str] = doc("fixed inputs of that arithmetic", default_factory=dict)
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Something a person can look at, measure or ask."""

    id: str = filled()
    ask: str = doc("the question; one a person can answer")
    say: str = doc("the question worded to be read aloud on the phone", default="")
    how: str = doc("how and where to look or measure", default="")
    tool: str = doc("what is needed", default="")
    good: str = doc("what sound looks like", default="")
    bad: str = doc("what bad looks like", default="")
    means: str = doc("what a bad answer means, and what it does not", default="")
    seats: tuple[Seat, ...] = doc("call, hoist or bench")
    minutes: float = doc("time it takes once it can be reached")
    first: bool = doc("true when every caller is asked it first", default=False)
    parked: bool = doc("true when the caller can look at it beside the parked car", default=False)
    after: tuple[RemovalRef, ...] = doc("what must be off first", default=())
    before: tuple[RemovalRef, ...] = doc("too late once one of these is off", default=())
    driving: bool = doc("true when the vehicle must be driven for it", default=False)
    presumes: tuple[ConditionRef, ...] = doc(
        "asked only when one of these is found or likely: it makes no sense without", default=()
    )
    act: str = doc("a word shared by checks that one look or one reading answers", default="")
    cautions: tuple[CautionRef, ...] = doc("what can hurt here", default=())
    source: SourceRef | None = doc("source of figures in its text", default=None)
    when: When = doc("unit families it applies to", default_factory=dict)
    reading: HowMeasured | None = doc("for a measured check", default=None)
    modes: Ref | None = doc("a list of damage modes: each is an answer too", default=None)
    offers: tuple[ModeRef, ...] = doc(
        "the modes offered beside those declared; the whole list when none is named", default=()
    )
    any_mode: dict[ConditionRef, Sureness] = doc(
        "conditions that every mode of the list shows", default_factory=dict
    )
    reasons: dict[ReasonRef, dict[ConditionRef, Sureness]] = doc(
        "family of causes -> conditions shown here by the modes that point to it",
        default_factory=dict,
    )
    answers: dict[Ref, Answer] = doc("the answers, by a short word")
    told_alone: Ref | None = doc(
        "the answer that holds where the trouble is told and nobody can say more", default=None
    )
    replaces: tuple[str, ...] = doc("ids it had before", default=())
    place: Place = filled()

    def act_at(self, seat: Seat | None = None) -> str:
        """Return the act that answers it, asked at a seat: all that the owner tells is one act."""
        if seat is Seat.CALL or set(self.seats) == {Seat.CALL}:
            return OWNER
        return self.act or self.id

    def speaks_of(self) -> list[str]:
        """Return the conditions that some answer speaks of, in the order written."""
        found: dict[str, None] = {}
        for answer in self.answers.values():
            found |= dict.fromkeys(str(c) for c in (*answer.shows, *answer.rules_out))
        return list(found)

    def decides(self) -> set[str]:
        """Return the conditions that some answer decides, either way."""
        return {
            str(condition)
            for answer in self.answers.values()
            for side in (answer.shows, answer.rules_out)
            for condition, sureness in side.items()
            if sureness.decisive
        }

    def shows(self, word: str, condition: str) -> bool:
        """Say whether an answer shows a condition decisively."""
        sureness = self.answers[word].shows.get(condition)  # type: ignore[index,call-overload]
        return bool(sureness and sureness.decisive)

    def answer(self, word: str) -> Answer | None:
        """Return the answer called by a word; None where it is a special one, or none."""
        found: Answer | None = self.answers.get(word)  # type: ignore[call-overload]
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Answers of different checks that cannot all be true."""

    id: str = filled()
    answers: dict[CheckRef, str] = doc("check -> the answer of it that is meant; two or more")
    because: str = doc("why they cannot all be true")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """What an author says of one link of a chain."""

    how: str = doc("how the cause works on the effect", default="")
    often: Often | None = doc("always, usually, sometimes, rarely or a number", default=None)
    source: SourceRef | None = doc("source of a number in 'often'", default=None)
    when: When = doc("unit families in which it works", default_factory=dict)
    place: Place = filled()


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One step back in a chain: the cause, and what is said of its link to the effect."""

    cause: ConditionRef
    said: Because

    @classmethod
    def read_yaml(cls, reader: Reader, value: Value) -> ChainStep | None:
        """Read `cause: {how, often}`, or the bare cause of a link told in another chain."""
        if isinstance(value.data, str):
            return cls(Ref(value.data, value.place), Because(place=value.place))
        if isinstance(value.data, Table) and len(value.data.entries) == 1:
            key, place, item = next(iter(value.data))
            said = reader.record(Because, item)
            return cls(Ref(key, place), said) if said else None
        reader.fault(value.place, "write '- cause-id: {how: ..., often: ...}'")
        return None

    @classmethod
    def schema_yaml(cls) -> dict[str, Any]:
        """Return the JSON Schema."""
        told = {
            "type": "object",
            "minProperties": 1,
            "maxProperties": 1,
            "additionalProperties": record_schema(Because),
        }
        return {"anyOf": [{"type": "string"}, told]}


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidFigures:
    """Figures of a condition that a shop's own pack lays over those of the packs before it."""

    called: ClassVar[str] = "record of figures"
    id: str = filled()
    common: Common | None = doc("of an origin: how common it is", default=None)
    often: dict[ConditionRef, Often] = doc(
        "its causes -> how often each makes it", default_factory=dict
    )
    source: SourceRef = doc("where the figures come from, or common-practice")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tempting:
    """The repair that people try first, and where it leads; told to apprentices."""

    repair: str = doc("the tempting wrong repair")
    leads_to: str = doc("what comes of it")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A path of links, written from what is found back to why it happened."""

    chain: Ref = doc("the id of the chain; the file is named after it")
    found: ConditionRef = doc("what is found")
    because: tuple[ChainStep, ...] = doc("the causes, step by step back", default=())
    verdict: ConditionRef = doc("the origin it ends in")
    title: str = doc("a line for people", default="")
    tempting: Tempting | None = doc("the wrong repair it tempts to", default=None)
    note: str = doc("what an author wants the next one to know", default="")
    when: When = doc("unit families it applies to", default_factory=dict)
    replaces: tuple[str, ...] = doc("ids it had before", default=())
    place: Place = filled()

    @property
    def id(self) -> str:
        """The chain's id."""
        return self.chain

    def path(self) -> tuple[str, ...]:
        """Return condition ids from the origin to what is found."""
        return (*(step.cause for step in reversed(self.because)), self.found)
