"""The book to be browsed: a condition, a check or a chain, and where each of them leads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import PurePath

from headwater.book.records import Book
from headwater.view.answers import SEAT_WORDS, limit_words
from headwater.view.words import chain_words, counted, minutes_words, part_title, plain_word, title

KINDS = ("areas", "conditions", "checks", "chains")
"""What has a leaf of its own, as it stands in an address."""


@dataclass(frozen=True, slots=True)
class Leafing:
    """A leaf of the book by kind and id; without a kind its first leaf, or what was `found`."""

    book: Book
    kind: str = ""
    id: str = ""
    found: tuple[tuple[str, str], ...] | None = None

    @property
    def is_there(self) -> bool:
        """Whether the book has such a leaf."""
        if self.kind == "areas":
            return self.id in _areas(self.book)
        return self.kind in KINDS and self.id in self.book.table(self.kind)


@dataclass(frozen=True, slots=True)
class LeafRow:
    """A line that leads to another leaf, with a note behind it."""

    words: str
    kind: str
    id: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class LeafGroup:
    """Lines under a heading."""

    heading: str
    rows: tuple[LeafRow, ...]


@dataclass(frozen=True, slots=True)
class LeafPage:
    """A leaf: what it is about, in sentences, and where it leads."""

    heading: str
    about: tuple[str, ...]
    groups: tuple[LeafGroup, ...]


def leaf_page(leafing: Leafing) -> LeafPage:
    """Return a leaf of the book."""
    makers = {
        "areas": _area,
        "conditions": _condition,
        "checks": _check,
        "chains": _chain,
    }
    if leafing.kind:
        return makers[leafing.kind](leafing.book, leafing.id)
    return _first(leafing.book) if leafing.found is None else _found(leafing.book, leafing.found)


def _areas(book: Book) -> dict[str, list[str]]:
    """Return the conditions by the folder in which their file lies."""
    found: dict[str, list[str]] = {}
    for cid, condition in book.conditions.items():
        found.setdefault(PurePath(condition.place.file).parent.name or "book", []).append(cid)
    return found


def _first(book: Book) -> LeafPage:
    areas = _areas(book)
    rows = tuple(
        LeafRow(plain_word(name), "areas", name, counted(len(areas[name]), "condition"))
        for name in sorted(areas)
    )
    about = f"{book.name} {book.version}, digest {book.digest}"
    return LeafPage("The book", (about,), (LeafGroup("Areas", rows),))


def _found(book: Book, found: tuple[tuple[str, str], ...]) -> LeafPage:
    rows = [_row(book, kind, name) for kind, name in found]
    about = () if rows else ("Nothing in the book has these words; try others.",)
    return LeafPage("Found in the book", about, tuple(_groups(book, rows)))


def _area(book: Book, name: str) -> LeafPage:
    rows = [_row(book, "conditions", cid) for cid in sorted(_areas(book)[name])]
    return LeafPage(plain_word(name), (), tuple(_groups(book, rows)))


def _groups(book: Book, rows: Iterable[LeafRow]) -> Iterator[LeafGroup]:
    """Yield lines under what they are; where a chain can begin stands before what it leads to."""
    known, begin = list(rows), book.origins
    origins = tuple(r for r in known if r.kind == "conditions" and r.id in begin)
    others = tuple(r for r in known if r.kind == "conditions" and r.id not in begin)
    checks = tuple(r for r in known if r.kind == "checks")
    heads = ("Where a chain can begin", "Conditions", "Checks")
    for heading, some in zip(heads, (origins, others, checks), strict=True):
        if some:
            yield LeafGroup(heading, some)


def _condition(book: Book, cid: str) -> LeafPage:
    record = book.conditions[cid]
    about = [part_title(book, str(record.part)) if record.part else "", record.looks]
    about.append("A chain can begin here." if cid in book.origins else "")
    about.append(f"It cannot be seen: {record.unobservable}" if record.unobservable else "")
    links = book.links.values()
    causes = [_linked(book, x.cause, x.often.word, x.how) for x in links if x.effect == cid]
    effects = [_linked(book, x.effect, x.often.word, x.how) for x in links if x.cause == cid]
    deciding = [c for c in book.checks.values() if cid in c.decides()]
    bearing = [c for c in book.checks.values() if cid in c.speaks_of() and c not in deciding]
    chains = [chain for chain in book.chains.values() if cid in chain.path()]
    groups = (
        LeafGroup("What leads to it", tuple(causes)),
        LeafGroup("What it leads to", tuple(effects)),
        LeafGroup("What decides it", tuple(_row(book, "checks", c.id) for c in deciding)),
        LeafGroup("What speaks of it", tuple(_row(book, "checks", c.id) for c in bearing)),
        LeafGroup("Chains through it", tuple(_row(book, "chains", c.id) for c in chains)),
    )
    return LeafPage(record.title, tuple(filter(None, about)), _filled(groups))


def _linked(book: Book, cid: str, often: str, how: str) -> LeafRow:
    return LeafRow(title(book, cid), "conditions", cid, f"{often}: {how}")


def _check(book: Book, name: str) -> LeafPage:
    check = book.checks[name]
    seats = ", ".join(SEAT_WORDS[seat] for seat in check.seats)
    about = [f"{minutes_words(check.minutes)}, {seats}", f"With {check.tool}" if check.tool else ""]
    texts = (("How", check.how), ("Good", check.good), ("Bad", check.bad), ("", check.means))
    about += [f"{label}: {text}" if label else text for label, text in texts if text]
    if check.reading and check.reading.limit in book.limits:
        limit = book.limits[check.reading.limit]
        about.append(f"Limit: {limit_words(limit)} ({book.sources[limit.source].title})")
    about += [f"First: {book.removals[rid].title}" for rid in check.after]
    about += [book.cautions[c].text for c in check.cautions if c in book.cautions]
    groups = []
    for word, answer in check.answers.items():
        sides = (("shows", answer.shows), ("speaks against", answer.rules_out))
        rows = tuple(
            LeafRow(title(book, cid), "conditions", str(cid), f"{verb}, {plain_word(sure.word)}")
            for verb, side in sides
            for cid, sure in side.items()
            if cid in book.conditions
        )
        groups.append(LeafGroup(answer.says or plain_word(str(word)), rows))
    return LeafPage(check.ask, tuple(filter(None, about)), tuple(groups))


def _chain(book: Book, name: str) -> LeafPage:
    chain = book.chains[name]
    path = chain.path()
    rows = [_row(book, "conditions", path[0])]
    for cause, effect in pairwise(path):
        link = book.links[cause, effect]
        rows.append(_linked(book, effect, link.often.word, link.how))
    groups = (LeafGroup("From where it begins to what is found", tuple(rows)),)
    return LeafPage(chain.title or chain_words(book, path), (), groups)


def _row(book: Book, kind: str, name: str) -> LeafRow:
    if kind == "checks":
        return LeafRow(book.checks[name].ask, kind, name)
    if kind == "chains":
        chain = book.chains[name]
        return LeafRow(chain.title or chain_words(book, chain.path()), kind, name)
    return LeafRow(title(book, name), kind, name)


def _filled(groups: Iterable[LeafGroup]) -> tuple[LeafGroup, ...]:
    return tuple(group for group in groups if group.rows)
