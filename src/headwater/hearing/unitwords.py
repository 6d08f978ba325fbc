"""Which unit some words are about, where they name one: 'the oil of the back axle is milky'.

The words of a unit are those of the concept `ATTRIBUTE-is-VALUE`, of an attribute that is assumed
until somebody says otherwise; those of `ATTRIBUTE-is-not-VALUE` have the same words in them and
speak of something else: 'with the front axle off'.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from headwater.book.records import Book, for_family
from headwater.hearing.reading import Same, Token, stems_of


@dataclass(frozen=True, slots=True)
class UnitWords:
    """The ways to name a unit, as stems, those that do not, and ids of what others alone have."""

    family: Mapping[str, str]
    ways: tuple[frozenset[str], ...]
    unlike: tuple[frozenset[str], ...]
    not_its: frozenset[str]

    def named(self, stems: frozenset[str]) -> bool:
        """Say whether some words name it."""
        meant = any(way <= stems for way in self.ways)
        return meant and not any(way <= stems for way in self.unlike)


def unit_words(book: Book, same: Same) -> Iterator[UnitWords]:
    """Yield the units that a book has words for."""
    for name in book.assumed:
        values = book.attributes[name].values
        meant = {value: book.concepts.get(f"{name}-is-{value}") for value in values}
        own = {value: _ids(book, {name: value}) for value in values} if any(meant.values()) else {}
        for value, its in own.items():
            if not (said := meant[value]):
                continue
            # What only the whole vehicle can have is of no other unit.
            others = frozenset().union(*(ids for ids in own.values() if not its <= ids))
            unlike = book.concepts.get(f"{name}-is-not-{value}")
            ways, no_ways = (
                tuple(stems_of(way, same) for way in (one.said if one else ()))
                for one in (said, unlike)
            )
            yield UnitWords({str(name): str(value)}, ways, no_ways, others - its)


def _ids(book: Book, family: Mapping[str, str]) -> frozenset[str]:
    own = for_family(book, dict(family))
    return frozenset((*own.checks, *own.conditions))


def units_named(units: Sequence[UnitWords], tokens: Sequence[Token]) -> list[UnitWords]:
    """Return the units that some words name."""
    stems = frozenset(token.stem for token in tokens)
    return [unit for unit in units if unit.named(stems)]
