"""What the cases of a book exercise, and what its checks can tell apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from headwater.author.sample import SampleRunner
from headwater.book.check_weighed import lone_origins
from headwater.book.records import Book, for_family
from headwater.book.tables import POSSIBLE_AT, Seat
from headwater.rules.status import Status
from headwater.session.openbook import OpenBook
from headwater.verdict.assess import Assessment


@dataclass(slots=True)
class Exercised:
    """The conditions settled, links walked, checks answered and origins named by some case."""

    conditions: set[str] = field(default_factory=set)
    links: set[tuple[str, str]] = field(default_factory=set)
    checks: set[str] = field(default_factory=set)
    origins: set[str] = field(default_factory=set)

    def add(self, assessment: Assessment) -> None:
        """Take in what one case exercises."""
        self.checks |= set(assessment.stand.answered)
        for cid, status in assessment.statuses.items():
            if status in (Status.CONFIRMED, Status.RULED_OUT, Status.DISPUTED):
                self.conditions.add(cid)
        for account in assessment.accounts.values():
            for chain in account.chains:
                self.origins.add(chain.origin)
                self.conditions |= set(chain.path)
                self.links |= set(zip(chain.path, chain.path[1:], strict=False))


@dataclass(frozen=True, slots=True)
class CoverReport:
    """What no case exercises, which origins no check tells apart, which checks tell nothing."""

    conditions: tuple[str, ...]
    links: tuple[tuple[str, str], ...]
    checks: tuple[str, ...]
    origins: tuple[str, ...]
    alike: tuple[tuple[str, ...], ...]
    idle: tuple[str, ...]
    single: tuple[str, ...]
    hints: int

    @property
    def clean(self) -> bool:
        """True when there is nothing an author must mend."""
        return not (self.conditions or self.checks or self.origins or self.alike or self.idle)


def cover_of(open_book: OpenBook, more: Iterable[Assessment] = ()) -> CoverReport:
    """Return the cover report of a book; `more` are whole-unit cases already judged."""
    seen = Exercised()
    book, runner = open_book.book, SampleRunner(open_book)
    for samples in book.samples.values():
        for sample in samples:
            seen.add(runner.assess(sample))
    for assessment in more:
        seen.add(assessment)
    return report_of(book, seen)


def report_of(book: Book, seen: Exercised) -> CoverReport:
    """Return what is missing from what was exercised."""
    hints = [c.id for c in book.checks.values() if not c.decides() and c.speaks_of()]
    return CoverReport(
        conditions=tuple(c for c in book.conditions if c not in seen.conditions),
        links=tuple(ends for ends in book.links if ends not in seen.links),
        checks=tuple(c for c in book.checks if c not in seen.checks),
        origins=tuple(c for c in _nameable(book) if c not in seen.origins),
        alike=tuple(alike_origins(for_family(book, book.family))),
        idle=tuple(c.id for c in book.checks.values() if not c.speaks_of()),
        single=tuple(lone_origins(book)),
        hints=len(hints),
    )


def _nameable(book: Book) -> list[str]:
    """Return the origins that can ever be named: of the usages, those that leave a trace."""
    origins = ((cid, record.origin) for cid, record in book.origins.items())
    return [cid for cid, origin in origins if origin and (not origin.usage or origin.traces)]


def alike_origins(book: Book) -> list[tuple[str, ...]]:
    """Return groups of origins that no check at the bench can tell apart.

    Two origins are alike when every check within reach speaks of both in the same way and they lead
    to the same effects. An origin that is called unobservable has said so, and is left out.
    """
    near = POSSIBLE_AT[Seat.BENCH] | POSSIBLE_AT[Seat.HOIST]
    speech: dict[str, set[tuple[str, str, str, str]]] = {cid: set() for cid in book.origins}
    for check in book.checks.values():
        if not near & set(check.seats):
            continue
        for word, answer in check.answers.items():
            sides = (("shows", answer.shows), ("rules-out", answer.rules_out))
            for side, evidence in sides:
                for cid, sureness in evidence.items():
                    if cid in speech:
                        speech[str(cid)].add((check.id, str(word), side, sureness.word))
    return _groups(book, speech)


def _groups(
    book: Book, speech: Mapping[str, set[tuple[str, str, str, str]]]
) -> list[tuple[str, ...]]:
    effects: dict[str, set[str]] = {cid: set() for cid in speech}
    for cause, effect in book.links:
        if cause in effects:
            effects[cause].add(effect)
    groups: dict[tuple[frozenset[object], frozenset[str]], list[str]] = {}
    for cid in speech:
        if not book.conditions[cid].unobservable:
            key = (frozenset(speech[cid]), frozenset(effects[cid]))
            groups.setdefault(key, []).append(cid)
    return [tuple(members) for members in groups.values() if len(members) > 1]
