"""What somebody said, with what was meant by it, as a file of phrases has it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Phrase:
    """A sentence and its meaning.

    `means` has an entry for each thing that is meant: the ids of which any one will do. `danger` is
    the sign of danger in it; `elsewhere` is true where the trouble is not the driveline's.
    """

    file: str
    said: str
    seat: str
    means: tuple[tuple[str, ...], ...] = ()
    deny: tuple[str, ...] = ()
    danger: str | None = None
    elsewhere: bool = False


@dataclass(frozen=True, slots=True)
class Guess:
    """What a recogniser makes of a sentence: ids it is sure of, ids it offers, and the rest.

    Each thing understood is the set of names that it goes by.
    """

    ticked: tuple[frozenset[str], ...] = ()
    offered: tuple[frozenset[str], ...] = ()
    denied: frozenset[str] = frozenset()
    danger: str | None = None
    elsewhere: frozenset[str] = frozenset()


def read_phrases(files: Iterable[Path] = ()) -> Iterator[Phrase]:
    """Yield the phrases of files, or of all that lie here."""
    for file in files or sorted(HERE.glob("*.yaml")):
        entries = yaml.safe_load(file.read_text(encoding="utf-8"))
        if isinstance(entries, dict):
            entries = entries["phrases"]
        for entry in entries:
            yield _phrase(file.stem, entry)


def _phrase(file: str, entry: dict[str, Any]) -> Phrase:
    means = tuple(
        tuple(map(str, one)) if isinstance(one, list) else (str(one),)
        for one in entry.get("means") or ()
    )
    return Phrase(
        file,
        str(entry["said"]),
        str(entry.get("seat", "call")),
        means,
        tuple(map(str, entry.get("deny") or ())),
        entry.get("danger"),
        bool(entry.get("elsewhere", False)),
    )
