"""The photographs of a case: which finding each shows, and its caption."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from headwater.session.atseat import AtSeat
from headwater.session.findings import Finding, numbered
from headwater.session.photographs import photographs
from headwater.session.session import Session
from headwater.view.answers import answer_words
from headwater.view.paper import Block, Photograph, Section, Tone, Words, listed, say

BESIDE = "Told by name; their pictures lie with the case's file:"
CAME = "The photograph is kept with this finding."
NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class PhotographPage:
    """An answer of which a photograph may be taken now, and whether one just came."""

    number: int
    ask: str
    came: str


def photograph_page(at: AtSeat) -> PhotographPage | None:
    """Return the answer just given, or looked at again; a caller sends no picture."""
    every = dict(numbered(at.session.findings))
    just = [n for n, one in every.items() if at.done and one.check == at.done.check]
    number = at.pictured or (just[-1] if just else at.again[1] if at.again else None)
    if at.call or number not in every:
        return None
    came = CAME if at.pictured and not at.fault else ""
    return PhotographPage(number, at.session.book.checks[every[number].check].ask, came)


def photograph_sections(
    session: Session, pictures: Mapping[str, bytes] = NO_PICTURES, *, plain: bool = False
) -> Iterator[Section]:
    """Yield the photographs of a case, if it has any; `plain` leaves out what the bench says.

    `pictures` are those that the paper is to hold, by name.
    """
    blocks = [*_taken(session, pictures, plain)]
    if session.case.photographs and not plain:
        blocks += [say(Words(BESIDE, Tone.QUIET)), listed(session.case.photographs)]
    if blocks:
        yield Section("Photographs", tuple(blocks))


def _taken(session: Session, pictures: Mapping[str, bytes], plain: bool) -> Iterator[Block]:
    for entry, found in photographs(session):
        caption = tuple(_shows(session, found, plain)) if found else ()
        caption += (Words(entry.note),) if entry.note else ()
        kept = pictures.get(entry.photograph, b"")
        yield Photograph(entry.photograph, caption or (Words(entry.photograph),), kept)


def _shows(session: Session, found: Finding, plain: bool) -> Iterator[Words]:
    """Yield what was asked; for the shop also what was answered, as the report's findings do."""
    check = session.book.checks[found.check]
    yield Words(check.say or check.ask if plain else check.ask)
    if not plain:
        yield Words(f"{answer_words(session.book, found.judged)}.", Tone.STRONG)
