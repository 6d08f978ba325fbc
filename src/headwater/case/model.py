"""The records of a case file."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import ClassVar

from headwater.book.shape import Named, Ref
from headwater.book.tables import Seat
from headwater.book.things import doc, filled
from headwater.errors import Place
from headwater.yamltext import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class BookStamp:
    """The book that a case was made with."""

    name: str = doc("the packs")
    version: str = doc("their versions")
    digest: str = doc("digest of their text")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseUnit:
    """What the unit is and what became of it."""

    called: ClassVar[str] = "unit"

    family: dict[str, str] = doc("construction attributes", default_factory=dict)
    number: str = doc("the number that stands on it", default="")
    history: str = doc("what is known of its life", default="")
    removed: tuple[Ref, ...] | None = doc("what is off; everything, if not said", default=None)
    place: Place = filled()


class ApprovedBy(StrEnum):
    """How a customer approved something."""

    PHONE = "phone"
    IN_PERSON = "in-person"
    IN_WRITING = "in-writing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Approval:
    """What the customer agreed to pay, as it was said then."""

    called: ClassVar[str] = "approval"

    amount: str = doc("how much, with its currency: 640.00 EUR")
    by: str = doc("who approved it")
    how: ApprovedBy = doc("phone, in-person or in-writing")
    on: str = doc("the day: 2026-03-02")
    quote: str = doc("the way that was quoted, with its price and price list then", default="")
    sums: dict[str, str] = doc(
        "what the quote came to, sum by sum, with its currency: {material: 512.00 EUR}",
        default_factory=dict,
    )
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class LogEntry:
    """One line of the findings: an answer to a check, a removal that was done, or what was said."""

    called: ClassVar[str] = "entry"

    check: Ref | None = doc("the check answered", default=None)
    answer: Value | None = doc("its answer", default=None)
    removed: Ref | None = doc("what was taken off", default=None)
    rest: str = doc(
        "'gone': no look not made so far can be made any more; 'not-gone' takes that back",
        default="",
    )
    accepted: Ref | None = doc(
        "a condition found, whose probable origin is taken though looks are left", default=None
    )
    told: str = doc("what somebody said, word for word", default="")
    unplaced: tuple[str, ...] = doc("of what was said: the words not placed", default=())
    means: tuple[str, ...] = doc(
        "of what was said: conditions, by id, that nobody at this seat can look at", default=()
    )
    outside: tuple[str, ...] = doc(
        "of what was said: signs of danger, trouble outside the driveline and wishes, by id",
        default=(),
    )
    struck: str = doc(
        "words not placed, or the id of a sign or trouble, left aside; 'note' says why", default=""
    )
    again: str = doc(
        "words not placed that tell no more than what was taken down, says who took it down",
        default="",
    )
    photograph: str = doc(
        "a photograph, by the name under which it is kept with the case; 'note' is its caption",
        default="",
    )
    of: int | None = doc(
        "the number of the answer that a photograph shows, counted from 1 among the answers",
        default=None,
    )
    approved: Approval | None = doc("what the customer approved", default=None)
    family: dict[str, str] = doc(
        "what the unit turned out to be, beside what stands in 'unit'", default_factory=dict
    )
    seat: Seat | None = doc("where it was answered", default=None)
    at: str = doc("when", default="")
    note: str = doc("a remark", default="")
    corrects: int | None = doc(
        "the number of the answer that this one replaces, counted from 1 among the answers",
        default=None,
    )
    sent: str = doc(
        "what a page gave an answer that waited there, so that it counts once", default=""
    )
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Something that was done to the unit."""

    action: str = doc("what was done")
    on: Named = doc("the part, by its id or in words")
    note: str = doc("a remark", default="")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierWork:
    """What is told of work that was done before the unit came in, here or elsewhere."""

    called: ClassVar[str] = "earlier work"

    told: str = doc("in the words in which it was told", default="")
    ago: str = doc("how long or how far ago: 350 miles", default="")
    done: tuple[Done, ...] = doc("what was done then, part by part", default=())
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """How it turned out."""

    comeback: bool = doc("did it come back?", default=False)
    after: str = doc("after how long or how far", default="")
    note: str = doc("a remark", default="")
    place: Place = filled()


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A case as it stands in its file."""

    case: str = doc("the name of the case")
    book: BookStamp | None = doc("the book it was made with", default=None)
    unit: CaseUnit = doc("the unit", default_factory=CaseUnit)
    seat: Seat = doc("where the person stands", default=Seat.BENCH)
    complaint: str = doc("the customer's words", default="")
    customer: str = doc("whose vehicle it is", default="")
    phone: str = doc("where the customer is reached", default="")
    vehicle: str = doc("its plate or fleet number", default="")
    distance: str = doc("how far it has run, with the unit: 84000 km", default="")
    photographs: tuple[str, ...] = doc("names of the pictures taken", default=())
    done: tuple[Done, ...] = doc("what was done", default=())
    outcome: Result | None = doc("how it turned out", default=None)
    earlier: str = doc("the file of the earlier case, for a comeback", default="")
    before: EarlierWork | None = doc("work that was done before, as it was told", default=None)
    findings: tuple[LogEntry, ...] = doc("what was found, in order", default=())
    place: Place = filled()
    earlier_case: Case | None = field(metadata={"given": True}, default=None)
    """The earlier case itself, where whoever keeps this one keeps that one too."""

    @property
    def family(self) -> dict[str, str]:
        """What the unit is, as written and as it turned out; the later word counts."""
        found = dict(self.unit.family)
        for entry in self.findings:
            found |= entry.family
        return found

    @property
    def told(self) -> tuple[str, ...]:
        """What was said, sentence by sentence, the complaint first."""
        said = [self.complaint, *(entry.told for entry in self.findings)]
        return tuple(dict.fromkeys(filter(None, said)))

    @property
    def not_placed(self) -> tuple[str, ...]:
        """What was said and neither placed nor struck; a sentence as it was heard the last time."""
        struck = {words for entry in self.findings for words in (entry.struck, entry.again)}
        last = {entry.told: entry for entry in self.findings}
        heard = (e for e in self.findings if e.told not in e.unplaced or last[e.told] is e)
        words = (word for entry in heard for word in entry.unplaced)
        return tuple(word for word in dict.fromkeys(words) if word not in struck)

    @property
    def told_again(self) -> tuple[str, ...]:
        """What was placed nowhere and tells no more than what was taken down: a person said so."""
        return tuple(dict.fromkeys(entry.again for entry in self.findings if entry.again))

    @property
    def pictures(self) -> tuple[str, ...]:
        """The names of all pictures: those told in its head, and those taken of findings."""
        taken = (entry.photograph for entry in self.findings if entry.photograph)
        return tuple(dict.fromkeys((*self.photographs, *taken)))

    @property
    def meant(self) -> tuple[str, ...]:
        """The conditions that somebody spoke of where nobody could look at them, by id."""
        return tuple(dict.fromkeys(one for entry in self.findings for one in entry.means))

    @property
    def left_aside(self) -> tuple[str, ...]:
        """What was said and not placed, and then struck: nobody knows what it told."""
        struck = {entry.struck for entry in self.findings} - set(self.told_again)
        words = (word for entry in self.findings for word in entry.unplaced)
        return tuple(word for word in dict.fromkeys(words) if word in struck)

    @property
    def outside(self) -> tuple[str, ...]:
        """The signs of danger, troubles outside and wishes that were told, not struck, by id."""
        struck = {entry.struck for entry in self.findings}
        told = dict.fromkeys(one for entry in self.findings for one in entry.outside)
        return tuple(one for one in told if one not in struck)
