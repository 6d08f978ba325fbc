"""What may be meant: each condition, each answer, each sign of danger, with its phrases."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from headwater.book.model import Answer, Check, Condition
from headwater.book.records import Book
from headwater.book.tables import Drive, Nature, Sense


class Topic(StrEnum):
    """What a piece of a sentence is."""

    COMPLAINT = "complaint"
    FINDING = "finding"
    HISTORY = "history"
    EMERGENCY = "emergency"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class Record:
    """An answer to a check, as it would be taken down."""

    check: str
    answer: str


@dataclass(frozen=True, slots=True)
class Target:
    """Something that may be meant.

    `records` are the answers that would take it down, best first; a measured one is asked for.
    `phrases` are how it is said, by themselves; `about` is what they are said of, where they need
    it. A `grave` trouble elsewhere stops the vehicle, whatever else is told. Of what is `open` it
    is asked which way it is: its name alone takes down no answer.
    """

    id: str
    kind: Topic
    records: tuple[Record, ...]
    phrases: tuple[str, ...]
    about: str = ""
    check: str = ""
    shows: tuple[str, ...] = ()
    lists: bool = False
    sound: bool = False
    wish: bool = False
    grave: bool = False
    open: bool = False


def targets_of(book: Book) -> Iterator[Target]:
    """Yield everything that may be meant, conditions first."""
    showing = _showing(book)
    for condition in book.conditions.values():
        records = showing.get(str(condition.id), [])
        is_open = bool(records and book.checks[records[0].check].told_alone)
        yield replace(_of_condition(condition, records), open=is_open)
    for check in book.checks.values():
        for word, answer in check.answers.items():
            yield from _of_answer(book, check, str(word), answer)
    for emergency in book.emergencies.values():
        said = (emergency.title, *emergency.said)
        yield Target(str(emergency.id), Topic.EMERGENCY, (), said)
    for trouble in book.elsewhere.values():
        said = (trouble.title, *trouble.said)
        grave = trouble.advice is Drive.STOP
        yield Target(str(trouble.id), Topic.ELSEWHERE, (), said, wish=trouble.wish, grave=grave)


def _showing(book: Book) -> dict[str, list[Record]]:
    """Return the answers that show each condition: decisive ones first, then its own check's."""
    ranked: dict[str, list[tuple[tuple[bool, bool, bool, int, str, str], Record]]] = {}
    for check in book.checks.values():
        for word, answer in check.answers.items():
            for condition, sureness in answer.shows.items():
                rank = (
                    not sureness.decisive,
                    check.reading is not None,
                    check.id != condition,
                    len(check.speaks_of()) + len(answer.shows),
                    str(check.id),
                    str(word),
                )
                record = Record(str(check.id), str(word))
                ranked.setdefault(str(condition), []).append((rank, record))
    return {cid: [record for _, record in sorted(ways)] for cid, ways in ranked.items()}


def _of_condition(condition: Condition, records: list[Record]) -> Target:
    usage = condition.origin is not None and condition.origin.usage
    if condition.kind is Nature.COMPLAINT:
        kind = Topic.COMPLAINT
    else:
        kind = Topic.HISTORY if usage else Topic.FINDING
    name = str(condition.id).replace("-", " ")
    phrases = (condition.title, condition.plain, name, *condition.said)
    return Target(
        str(condition.id),
        kind,
        tuple(records),
        tuple(dict.fromkeys(filter(None, phrases))),
        shows=(str(condition.id),),
    )


def _of_answer(book: Book, check: Check, word: str, answer: Answer) -> Iterator[Target]:
    shown = [str(c) for c in answer.shows]
    sure = [str(c) for c, s in answer.shows.items() if s.decisive]
    alone = len(shown) == 1 and all(s.word != "weak" for s in answer.shows.values())
    one = shown[0] if alone else sure[0] if len(sure) == 1 else ""
    kind = Topic.HISTORY if answer.sense is Sense.PLAIN else Topic.FINDING
    shows = book.conditions.get(one)  # the book of a part of the vehicle has not all
    if shows is not None and shows.kind is Nature.COMPLAINT:
        kind = Topic.COMPLAINT
    phrases = (answer.says, word.replace("-", " "), *answer.said)
    name = str(check.id).replace("-", " ")
    titles = [book.conditions[c].title for c in shown if c in book.conditions]
    yield Target(
        one or f"{check.id}: {word}",
        kind,
        (Record(str(check.id), word),),
        tuple(dict.fromkeys(filter(None, phrases))),
        about=" ; ".join((check.ask, check.say, name, *titles)),
        check=str(check.id),
        shows=tuple(shown),
        lists=True,
        sound=answer.sense is Sense.SOUND,
    )
