"""Reads a proposed repair: a plan file, or a bare list of parts as one hears it on the phone.

```yaml
plan: what the other workshop offers
steps:
  - {action: replace, on: range-fork}
  - {action: scrap, on: front housing half, corrects: [front-bore-worn]}
parts: [chain, input seal]       # short for 'replace'
exchange: false
```
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar, TypeVar

from headwater.book.problem import nearest
from headwater.book.records import Book
from headwater.book.shape import Named, Ref, read_whole
from headwater.book.tables import Verb
from headwater.book.things import NOWHERE
from headwater.case.model import Case, Done
from headwater.errors import HeadwaterError, Place, enough, refuse_all
from headwater.session.parts import part_hint, part_meant
from headwater.verdict.audit import Proposal, ProposedPart
from headwater.yamltext import parse, read_file

T = TypeVar("T")

_UNIT_NAMES = ("exchange unit", "rebuilt unit", "complete unit", "whole unit", "used unit")


MOST_ITEMS = 1_000
"""Parts and things done of one proposal: each is looked for among all that the book knows."""


class ProposalError(HeadwaterError):
    """A proposed repair that cannot be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedStep:
    """One step of a plan file."""

    called: ClassVar[str] = "step"

    action: Verb = field(metadata={"doc": "what is to be done"})
    on: Named = field(metadata={"doc": "the part, by id or in words"})
    corrects: tuple[Ref, ...] = field(metadata={"doc": "conditions it corrects"}, default=())
    note: str = field(metadata={"doc": "a remark"}, default="")
    place: Place = field(metadata={"given": True}, default=NOWHERE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalFile:
    """A plan file."""

    called: ClassVar[str] = "plan"

    plan: str = field(metadata={"doc": "whose plan it is, or its name"})
    steps: tuple[ProposedStep, ...] = field(metadata={"doc": "what is to be done"}, default=())
    parts: tuple[str, ...] = field(metadata={"doc": "parts to be renewed"}, default=())
    exchange: bool = field(metadata={"doc": "true for an exchange unit"}, default=False)
    place: Place = field(metadata={"given": True}, default=NOWHERE)


def read_proposal(path: Path, book: Book) -> Proposal:
    """Return the proposal in a plan file; raises ProposalError with file, line and mend."""
    return parse_proposal(read_file(path), str(path), book)


def parse_proposal(text: str, file: str, book: Book) -> Proposal:
    """Return the proposal in a text."""
    found = read_whole(ProposalFile, parse(text, file), ProposalError)
    if not (found.steps or found.parts or found.exchange):
        raise ProposalError(
            "proposes nothing; write 'steps:', 'parts:' or 'exchange: true'", found.place
        )
    items = _each(found.steps, lambda step: _step_item(book, step))
    listed = listed_parts(found.parts, book, found.place)
    return Proposal(found.plan, (*items, *listed.items), found.exchange or listed.exchange)


def _step_item(book: Book, step: ProposedStep) -> ProposedPart:
    for cid in step.corrects:
        if book.aliases.get(cid, cid) not in book.conditions:
            mend = nearest(cid, book.conditions)
            raise ProposalError(f"there is no condition '{cid}'{mend}", cid.place)
    claims = frozenset(book.aliases.get(c, str(c)) for c in step.corrects)
    part = part_meant(book, step.on, step.on.place)
    hint = "" if part else part_hint(book, step.on)
    return ProposedPart(str(step.on), part, step.action, claims, hint)


def proposal_of_words(text: str, book: Book) -> Proposal:
    """Return the proposal in a bare list: parts with commas, semicolons or 'and' between them."""
    words = [w.strip() for w in re.split(r"[,;\n]|\band\b", text) if w.strip()]
    if not words:
        raise ProposalError("no part is named; write such as 'range fork, chain'")
    listed = listed_parts(words, book)
    return Proposal("parts asked for", listed.items, listed.exchange)


def parts_asked(text: str, book: Book) -> tuple[str, ...]:
    """Return the parts of a bare list; raises ProposalError for one that the book does not know."""
    asked = []
    for item in proposal_of_words(text, book).items:
        if item.part is None:
            raise ProposalError(f"the book knows no part '{item.words}'{item.hint}")
        asked.append(item.part)
    return tuple(asked)


def listed_parts(words: Iterable[str], book: Book, place: Place | None = None) -> Proposal:
    """Return the parts of a list, each taken as one that is to be renewed."""
    items: list[ProposedPart] = []
    exchange = False
    for text in words:
        _refuse_many(items)
        if " ".join(text.lower().replace("-", " ").split()) in _UNIT_NAMES:
            exchange = True
            continue
        part = part_meant(book, text, place)
        items.append(ProposedPart(text, part, hint="" if part else part_hint(book, text)))
    return Proposal("", tuple(items), exchange)


def deeds_done(case: Case, book: Book) -> Proposal:
    """Return what was done in a case, as a proposal that can be compared with the book.

    Raises ProposalError or PartError with every fault. A part that the book does not know is kept,
    with the nearest one as its hint.
    """
    items = _each(case.done, lambda done: _deed(book, done))
    return Proposal("what was done", items)


def _deed(book: Book, done: Done) -> ProposedPart:
    verbs = [verb.value for verb in Verb]
    if done.action not in verbs:
        text = f"'{done.action}' is not something done to a part{nearest(done.action, verbs)}"
        raise ProposalError(text, done.place)
    part = part_meant(book, done.on, done.on.place)
    hint = "" if part else part_hint(book, done.on)
    return ProposedPart(str(done.on), part, Verb(done.action), hint=hint)


def _refuse_many(items: Sequence[ProposedPart]) -> None:
    if len(items) >= MOST_ITEMS:
        raise ProposalError(f"names more than {MOST_ITEMS} parts or things done; part it")


def _each(rows: Iterable[T], read: Callable[[T], ProposedPart]) -> tuple[ProposedPart, ...]:
    """Return each row as read; raises the faults of all rows at once."""
    items: list[ProposedPart] = []
    faults: list[HeadwaterError] = []
    for row in rows:
        if enough(faults):
            break
        _refuse_many(items)
        try:
            items.append(read(row))
        except HeadwaterError as fault:
            faults.append(fault)
    refuse_all(faults)
    return tuple(items)
