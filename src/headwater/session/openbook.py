"""An open book: loaded once, compiled once for each unit family that is met."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from headwater.book.problem import nearest
from headwater.book.records import Book, Family, applies
from headwater.book.tables import Seat
from headwater.case.model import Case
from headwater.case.read import CaseError
from headwater.errors import Place
from headwater.hearing.chat import harmless, may_tell
from headwater.verdict.assess import Reasoner, build_reasoner
from headwater.verdict.reach import Stand, torn_down

if TYPE_CHECKING:
    from headwater.hearing.index import Index

Key = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class OpenBook:
    """A book with what was compiled from it. It does not change, and threads may share it."""

    book: Book
    _compiled: dict[Key, Reasoner] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _ears: list[Index] = field(default_factory=list)

    @property
    def index(self) -> Index:
        """The book made ready for listening, when the first words are heard."""
        from headwater.hearing.index import build_index

        with self._lock:
            if not self._ears:
                self._ears.append(build_index(self.book))
            return self._ears[0]

    def which_may_tell(self, left: Iterable[str], said: Iterable[str]) -> list[str]:
        """Return those of the words placed nowhere that may tell of trouble, by what was said."""
        quiet = harmless(said, self._talk)
        return [words for words in left if may_tell(words, quiet)]

    @cached_property
    def _talk(self) -> frozenset[str]:
        return frozenset(word for talk in self.book.talk.values() for word in talk.said)

    def tells_a_state(self, words: str) -> bool:
        """Say whether words that were placed nowhere may say how something is."""
        return self.index.tells_a_state(words)

    def may_complain(self, words: str) -> bool:
        """Say whether words that were struck may have told of a complaint."""
        return self.index.may_complain(words)

    def compiled(self, family: Family) -> Reasoner:
        """Return the book compiled for a unit family."""
        return self._kept(_key(family), lambda: build_reasoner(self.book, family))

    def after_work(self, family: Family, chances: Mapping[str, float]) -> Reasoner:
        """Return the same where earlier work makes some origins likelier, each by a factor."""
        base = self.compiled(family)
        if not chances:
            return base
        return self._kept((*_key(family), *_key(chances)), lambda: base.likelier(chances))

    def _kept(self, key: Key, make: Callable[[], Reasoner]) -> Reasoner:
        with self._lock:
            if key not in self._compiled:
                self._compiled[key] = make()
            return self._compiled[key]


def _key(table: Mapping[str, object]) -> Key:
    return tuple(sorted((name, str(value)) for name, value in table.items()))


def family_of(book: Book, case: Case) -> dict[str, str]:
    """Return the unit family of a case, checked against the book's attributes.

    Attributes that the case leaves out are not assumed, but where a pack about such a unit says so.
    """
    told = checked_family(book, case.family, case.unit.place)
    family = book.assumed | told
    asked = {name for pack in book.packs if applies(pack.when, family) for name in pack.attributes}
    return {name: value for name, value in family.items() if name in asked or name in told}


def checked_family(book: Book, family: Family, place: Place) -> dict[str, str]:
    """Return a family whose attributes and values the book knows; raises CaseError at `place`."""
    for name, value in family.items():
        if name not in book.attributes:
            known = f"; known: {', '.join(book.attributes)}"
            mend = nearest(name, book.attributes) or known
            raise CaseError(f"there is no attribute '{name}'{mend}", place)
        values = book.attributes[name].values
        if value not in values:
            mend = nearest(value, values) or f"; it is one of {', '.join(values)}"
            raise CaseError(f"'{name}' cannot be '{value}'{mend}", place)
    return dict(family)


def stand_of(book: Book, case: Case) -> Stand:
    """Return where a case stands: the seat of its last answer, else its own, and what is off."""
    seats = [entry.seat for entry in case.findings if entry.seat]
    seat = seats[-1] if seats else case.seat
    if case.unit.removed is None:
        off = torn_down(book) if seat is Seat.BENCH else frozenset()
    else:
        off = frozenset(map(str, case.unit.removed))
    done = [entry.removed for entry in case.findings if entry.removed]
    for removal in (*(case.unit.removed or ()), *done):
        if removal not in book.removals:
            mend = nearest(removal, book.removals)
            raise CaseError(f"there is no removal '{removal}'{mend}", removal.place)
    accepted = frozenset(str(entry.accepted) for entry in case.findings if entry.accepted)
    return Stand(seat, off | {str(removal) for removal in done}, accepted=accepted)
