"""The photographs of a case: which finding each shows, and its caption."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from headwater.session.findings import Finding
from headwater.session.photographs import photographs
from headwater.session.session import Session
from headwater.view.answers import answer_words
from headwater.view.paper import Block, Photograph, Section, Tone, Words, listed, say

BESIDE = "Told by name; their pictures lie with the case's file:"
NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})


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
