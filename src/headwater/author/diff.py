"""What changed in meaning between two states of a book, and which cases come out otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any

from headwater.book.chances import Chance, Sureness
from headwater.book.records import Book
from headwater.book.refs import TABLES
from headwater.book.shape import key_of
from headwater.case.read import read_case
from headwater.errors import HeadwaterError
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session


@dataclass(frozen=True, slots=True)
class Change:
    """One change: what kind of record, which, and what changed, in words."""

    kind: str
    id: str
    text: str


def book_changes(old: Book, new: Book) -> Iterator[Change]:
    """Yield every change of meaning; a text that only moved is none."""
    for kind, table in (*TABLES.items(), ("chain", "chains")):
        if kind == "figure":  # what it changes is told of its condition and its links
            continue
        before, after = old.table(table), new.table(table)
        for key in before:
            if key not in after:
                now = new.aliases.get(key)
                yield Change(kind, key, f"is now called '{now}'" if now else "is gone")
        for key, record in after.items():
            if key not in before:
                yield Change(kind, key, "is new")
            elif kind != "chain":
                for text in field_changes(before[key], record):
                    yield Change(kind, key, text)
    yield from _link_changes(old, new)


def _link_changes(old: Book, new: Book) -> Iterator[Change]:
    for ends in old.links:
        if ends not in new.links:
            yield Change("link", " -> ".join(ends), "is gone")
    for ends, link in new.links.items():
        name = " -> ".join(ends)
        if ends not in old.links:
            yield Change("link", name, f"is new ({link.often.word})")
            continue
        before = old.links[ends]
        if before.often.p != link.often.p:
            yield Change("link", name, f"was {before.often.word}, is now {link.often.word}")
        if before.how != link.how:
            yield Change("link", name, "is told in other words")
        if before.when != link.when:
            yield Change("link", name, "applies to other unit families")


def field_changes(before: Any, after: Any, path: str = "") -> Iterator[str]:
    """Yield the differences of two records, field by field, in words."""
    if is_dataclass(before) and is_dataclass(after) and type(before) is type(after):
        if isinstance(before, (Chance, Sureness)) and isinstance(after, (Chance, Sureness)):
            if before != after:
                yield f"{path}: was {before.word}, is now {after.word}"
            return
        for item in fields(before):
            if item.name in ("place", "id"):
                continue
            name = f"{path}.{key_of(item)}" if path else key_of(item)
            yield from field_changes(getattr(before, item.name), getattr(after, item.name), name)
    elif isinstance(before, dict) and isinstance(after, dict):
        for key in before.keys() | after.keys():
            name = f"{path}.{key}"
            if key not in after:
                yield f"{name} is gone"
            elif key not in before:
                yield f"{name} is new"
            else:
                yield from field_changes(before[key], after[key], name)
    elif isinstance(before, tuple) and isinstance(after, tuple):
        if len(before) == len(after):
            for index, (one, other) in enumerate(zip(before, after, strict=True), 1):
                yield from field_changes(one, other, f"{path} {index}")
        else:
            yield f"{path}: had {len(before)} entries, has {len(after)}"
    elif before != after:
        yield f"{path}: was '{_short(before)}', is now '{_short(after)}'"


def _short(value: Any) -> str:
    text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def case_changes(old: Book, new: Book, files: Iterable[Path]) -> Iterator[Change]:
    """Yield the stored cases that come out differently, and how."""
    books = (OpenBook(old), OpenBook(new))
    for path in files:
        outcomes = []
        for book in books:
            try:
                found = open_session(book, read_case(path)).verdict
                outcomes.append(
                    {
                        "verdict": found.ending.value,
                        "origins": sorted(f"{o} {n}" for o, n in found.origins.items()),
                        "held": sorted(found.held),
                        "released": sorted(
                            f"{part} {d.action}"
                            for part, d in found.decisions.items()
                            if d.released
                        ),
                    }
                )
            except HeadwaterError as error:
                outcomes.append({"verdict": f"cannot be judged: {error.message}"})
        before, after = outcomes
        for key in before.keys() | after.keys():
            if before.get(key) != after.get(key):
                was, now = _say(before.get(key)), _say(after.get(key))
                yield Change("case", str(path), f"{key}: was {was}, is now {now}")


def _say(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(value) or "none"
    return str(value or "none")
