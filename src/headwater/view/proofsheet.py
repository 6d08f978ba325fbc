"""A part of the book set out to be read on paper: chains as sentences, checks with answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import PurePath

from headwater.book.chances import Sureness
from headwater.book.model import Answer, Chain, Check
from headwater.book.records import Book
from headwater.book.shape import Ref
from headwater.errors import Place
from headwater.measure.answer import limit_of
from headwater.view.answers import SEAT_WORDS, limit_words, word_words
from headwater.view.paper import (
    Block,
    Entries,
    Entry,
    Facts,
    Grid,
    Paper,
    Section,
    Tone,
    Words,
    cell,
    say,
)
from headwater.view.words import minutes_words, title


@dataclass(frozen=True, slots=True)
class PackPart:
    """A pack, or a folder of one, by name: `oil` is every folder of that name, `PACK/oil` one."""

    book: Book
    name: str

    @property
    def chains(self) -> list[Chain]:
        """The chains that stand in this part."""
        every = self.book.chains.values()
        return [c for c in every if self.name in _names(self.book, "chains", c.id, c.place)]

    @property
    def checks(self) -> list[Check]:
        """The checks that stand in this part."""
        every = self.book.checks.values()
        return [c for c in every if self.name in _names(self.book, "checks", c.id, c.place)]

    @staticmethod
    def names(book: Book) -> set[str]:
        """Return the names that some part of a book goes by."""
        chains = (_names(book, "chains", c.id, c.place) for c in book.chains.values())
        checks = (_names(book, "checks", c.id, c.place) for c in book.checks.values())
        return {name for names in (*chains, *checks) for name in names}


def _names(book: Book, kind: str, key: str, place: Place) -> tuple[str, ...]:
    """Return the names of the part in which a record stands: its pack, its folder, both."""
    pack, folder = book.owner[kind, key], PurePath(place.file).parent.name
    return (pack,) if folder in ("", pack) else (pack, folder, f"{pack}/{folder}")


def proof_paper(part: PackPart) -> Paper:
    """Return the chains of a part of the book as two sentences each, then its checks."""
    chains, checks = part.chains, part.checks
    entries = tuple(_chain_entry(part.book, chain) for chain in chains)
    counted = f"{len(chains)} chains, {len(checks)} checks"
    return Paper(
        f"{part.name}: {counted}",
        (),
        (
            Section("Chains", (Entries(entries),) if entries else ()),
            *(_check_section(part.book, check) for check in checks),
        ),
    )


def _chain_entry(book: Book, chain: Chain) -> Entry:
    return Entry((Words(chain.id, Tone.STRONG),), tuple(chain_sentences(book, chain)))


def chain_sentences(book: Book, chain: Chain) -> Iterator[str]:
    """Yield what comes of the origin step by step; then how it is told, and what misleads."""
    path = chain.path()
    steps = "; ".join(_step(book, cause, effect) for cause, effect in pairwise(path))
    began = f"It begins with: {title(book, path[0])}"
    yield f"{began}; {steps}." if steps else f"{began}, which is what is found."
    told = "; ".join(_told_by(book, path[0])) or "no look decides it"
    misled = chain.tempting
    wrong = f" Tempting is: {misled.repair}; but {misled.leads_to}" if misled else ""
    yield f"It is told by: {told}.{wrong}".rstrip(".") + "."


def _step(book: Book, cause: str, effect: str) -> str:
    link = book.links[cause, effect]
    return f"{link.often.word or link.often.p} {link.how}, so: {title(book, effect)}"


def _told_by(book: Book, condition: str) -> Iterator[str]:
    """Yield the answers that show a condition decisively."""
    for check in book.checks.values():
        for word in map(str, check.answers):
            if check.shows(word, condition):
                yield f"{check.ask} {word_words(book, check.id, word)}"


def _check_section(book: Book, check: Check) -> Section:
    seats = ", ".join(SEAT_WORDS[seat] for seat in check.seats)
    limit = limit_of(book, check.id)
    facts = {
        "Id": check.id,
        "On the phone": check.say,
        "How": check.how,
        "Tool": check.tool,
        "Good": check.good,
        "Bad": check.bad,
        "Means": check.means,
        "Limit": limit_words(limit) if limit else "",
        "Where": f"{seats}; {minutes_words(check.minutes)}",
    }
    rows = tuple((name, text) for name, text in facts.items() if text)
    answers = tuple(_answer_row(book, check, str(word), a) for word, a in check.answers.items())
    blocks: tuple[Block, ...] = (Facts(rows),)
    grid = Grid(("Answer", "Sense", "Shows", "Speaks against"), answers)
    return Section(check.ask, (*blocks, grid) if answers else (*blocks, say("It has no answers.")))


def _answer_row(
    book: Book, check: Check, word: str, answer: Answer
) -> tuple[tuple[Words, ...], ...]:
    return (
        cell(word_words(book, check.id, word)),
        cell(answer.sense.value),
        cell(*_claims(book, answer.shows)),
        cell(*_claims(book, answer.rules_out)),
    )


def _claims(book: Book, claims: Mapping[Ref, Sureness]) -> Iterable[str]:
    return [f"{title(book, str(c))}: {sure.word}" for c, sure in claims.items()]
