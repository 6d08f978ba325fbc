"""What was said, word for word, and what of it is placed nowhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from headwater.case.model import Case
from headwater.session.session import Session
from headwater.view.paper import Block, Paper, Section, Tone, Words, listed, say


def told_blocks(session: Session) -> Iterator[Block]:
    """Yield what was said in a case, each sentence by itself, and what of it nobody saw yet."""
    case, book = session.case, session.book
    yield from (say(f'"{words}"') for words in case.told)
    if session.to_see:
        meant = "; ".join(book.conditions[one].title for one in session.to_see)
        yield say(Words(f"told, to be looked at: {meant}", Tone.HELD))
    if case.not_placed:
        yield say(Words(not_placed_words(case), Tone.HELD))


def not_placed_words(case: Case) -> str:
    """Return what was told and not placed, as a line; nothing where all is placed or struck."""
    left = "; ".join(f"'{words}'" for words in case.not_placed)
    return f"told, not placed: {left}" if left else ""


@dataclass(frozen=True, slots=True)
class Leftovers:
    """Cases whose words an author wants to place."""

    cases: tuple[Case, ...]


@dataclass(frozen=True, slots=True)
class LeftoverView:
    """Words that were placed nowhere, and the cases in which they were said."""

    words: str
    cases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeftoversView:
    """All words that were placed nowhere, the most frequent first."""

    not_placed: tuple[LeftoverView, ...]


def leftovers_view(told: Leftovers) -> LeftoversView:
    """Return what was placed nowhere in some cases."""
    pairs = [
        (words.lower(), case.case)
        for case in told.cases
        for words in (*case.not_placed, *case.told_again)
    ]
    counts = Counter(words for words, _ in pairs)
    return LeftoversView(
        tuple(
            LeftoverView(words, tuple(case for said, case in pairs if said == words))
            for words, _ in sorted(counts.items(), key=lambda item: (-item[1], item[0]))
        )
    )


def leftovers_paper(told: Leftovers) -> Paper:
    """Return the same as a list."""
    rows = [f"{one.words} ({', '.join(one.cases)})" for one in leftovers_view(told).not_placed]
    head = f"told, not placed: {len(rows)}"
    return Paper("", (), (Section(head, (listed(rows),) if rows else ()),))
