"""What was understood of a sentence, for authors, tests and whoever said it."""

from __future__ import annotations

from dataclasses import dataclass

from headwater.book.records import Book
from headwater.hearing.understand import Understanding, Understood
from headwater.view.paper import Block, Entries, Entry, Facts, Paper, Words, say


@dataclass(frozen=True, slots=True)
class Overheard:
    """A sentence and what was understood of it, by a book."""

    book: Book
    text: str
    understanding: Understanding


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing understood: its id, the words it was read from, how surely, and how to record it.

    `ticked` says whether it is taken as said unless somebody objects.
    """

    id: str
    kind: str
    words: str
    sure: float
    ticked: bool
    check: str
    answer: str
    shows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeardView:
    """What a sentence says, and the words in it that were not placed.

    `signs` are all signs of danger in it, by id; `emergency` is the first of them.
    """

    text: str
    understood: tuple[Piece, ...]
    denied: tuple[str, ...]
    emergency: str | None
    signs: tuple[str, ...]
    not_driveline: tuple[str, ...]
    unplaced: tuple[str, ...]


def heard_view(told: Overheard) -> HeardView:
    """Return what was understood as a record."""
    found = told.understanding
    return HeardView(
        told.text,
        tuple(
            Piece(
                one.id,
                one.kind.value,
                one.words,
                one.sure,
                one.ticked,
                one.check,
                one.answer,
                one.shows,
            )
            for one in found.understood
        ),
        found.denied,
        found.emergency,
        found.signs,
        found.not_driveline,
        found.unplaced,
    )


def heard_paper(told: Overheard) -> Paper:
    """Return what was understood, what was denied and what was not placed."""
    book, found = told.book, told.understanding
    blocks: list[Block] = []
    for sign in (book.emergencies[one] for one in found.signs):
        blocks.append(say(f"Danger: {sign.title}", boxed=True))
    for trouble in found.not_driveline:
        blocks.append(say(f"Not the driveline: {book.elsewhere[trouble].tell}"))
    if found.understood:
        blocks.append(say("Understood:"))
        blocks.append(Entries(tuple(_entry(book, one) for one in found.understood)))
    else:
        blocks.append(say("Nothing was understood."))
    rest = []
    if found.denied:
        rest.append(("denied", "; ".join(title_of(book, one) for one in found.denied)))
    if found.unplaced:
        rest.append(("not placed", "; ".join(found.unplaced)))
    return Paper("", (*blocks, *([Facts(tuple(rest))] if rest else [])), ())


def _entry(book: Book, one: Understood) -> Entry:
    told = f"{one.kind.value}: {saying(book, one)}"
    sure = "sure" if one.ticked else "not sure"
    takes = f"{one.check}: {one.answer or 'to be asked'}" if one.check else "no check decides it"
    return Entry((Words(told),), (f"from '{one.words}', {sure} ({one.sure:.2f}); {takes}",))


def saying(book: Book, one: Understood) -> str:
    """Return what was understood in the book's words."""
    if one.id in book.conditions:
        return title_of(book, one.id)
    check = book.checks[one.check]
    answer = check.answer(one.answer)
    return f"{check.ask} {(answer and answer.says) or one.answer.replace('-', ' ')}"


def title_of(book: Book, name: str) -> str:
    """Return the title of a condition; of an answer to a check the question and the answer."""
    if name in book.conditions:
        return book.conditions[name].title
    return name.replace("-", " ")
