"""Signs of danger, by the things that are named together; what is over is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from headwater.book.spoken import Emergency
from headwater.hearing import english
from headwater.hearing.together import Ear, Pointer, concept, sign


def dangers_of(emergencies: Iterable[Emergency]) -> tuple[Pointer, ...]:
    """Return the signs of danger of a book, the worst first, made ready for listening."""
    return tuple(pointer for one in emergencies for pointer in _pointers(one))


def _pointers(one: Emergency) -> tuple[Pointer, Pointer]:
    """Return what tells of a sign unless something calm is beside it, and what tells surely."""
    words = {name: concept(ways) for name, ways in one.words.items()}
    told = sign(str(one.id), one.told, one.calm, words)
    return told, sign(str(one.id), one.sure, one.unless, words)


def dangers_in(signs: Iterable[Pointer], ears: Sequence[Ear]) -> list[str]:
    """Return the signs of danger that are told, worst first: as said, else with slips mended."""
    if is_over(ears):
        return []
    told = ([one.id for one in signs if ear.told(one)] for ear in ears)
    return next((found for found in told if found), [])


def is_calmed(signs: Iterable[Pointer], name: str, ears: Sequence[Ear]) -> bool:
    """Say whether words are among some that make a sign of danger harmless."""
    return is_over(ears) or any(ears[0].is_calmed(one) for one in signs if one.id == name)


def is_over(ears: Sequence[Ear]) -> bool:
    """Say whether nothing presses: it is over, or shop is talked."""
    return bool(english.OVER.search(ears[0].line.text))
