"""What the cases of a shop make of the book's figures: how often a link fires, an origin occurs.

What is learnt from is every answer of every case, whether it ended proven or not. To count the
links of proven cases would be wrong: to be proven they had to be seen, so that all of them would
seem to fire always (`tests/ledger/test_learn.py` shows it).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from sqlalchemy import func, select

from headwater.belief.expected import Figure
from headwater.belief.learning import LINK_WORTH, ORIGIN_WORTH, CasesAlike, Learnt, learn
from headwater.belief.worlds import Factors, Network
from headwater.book.records import Book
from headwater.case.model import Case
from headwater.errors import HeadwaterError
from headwater.ledger.door import Ledger
from headwater.ledger.fits import share_believed
from headwater.ledger.kept import LedgerCase
from headwater.ledger.learned import LEVEL, PROPOSED, FigureRow, Learning, Passed
from headwater.ledger.tables import cases
from headwater.ledger.taken import Say
from headwater.session.findings import standing
from headwater.session.openbook import OpenBook
from headwater.session.session import open_session

Said = tuple[tuple[str, tuple[float, float]], ...]
"""Likelihoods by condition, in order, so that cases alike are found to be."""

LONG = 40
"""Cases unlike one another from which on it is said that their sums take a while."""


@dataclass(slots=True)
class Pile:
    """The findings of cases, those alike counted together, with the networks that they are of."""

    networks: dict[str, Network] = field(default_factory=dict)
    counts: Counter[tuple[str, Said]] = field(default_factory=Counter)

    def add(self, name: str, network: Network, factors: Factors) -> None:
        """Add a case of a network, which has a name."""
        self.networks.setdefault(name, network)
        self.counts[name, tuple(sorted(factors.items()))] += 1

    def learnt(self) -> dict[Figure, Learnt]:
        """Return what all of them make of the figures."""
        alike = [CasesAlike(name, dict(said), n) for (name, said), n in self.counts.items()]
        return learn(self.networks, alike)


def learning(ledger: Ledger, book: OpenBook, say: Say = lambda _: None) -> Learning:
    """Return what the cases of a ledger make of a book's figures; `say` is told if that is long."""
    pile, passed = Pile(), Counter[str]()
    for case in _cases(ledger):
        why = _add(pile, book, case) if case else "unreadable"
        passed[why] += bool(why)
    if len(pile.counts) >= LONG:
        say(f"{len(pile.counts)} unlike cases are summed, each several times: this takes a while")
    with ledger.reading() as connection:
        away = cases.c.source != "case"
        imported = connection.scalar(select(func.count()).where(away).select_from(cases)) or 0
        last = connection.scalar(select(func.max(cases.c.changed)).where(~away)) or ""
    return Learning(
        cases=pile.counts.total(),
        last=last[:10],
        passed=Passed(imported, passed["came back"], passed["unreadable"], passed["silent"]),
        link_worth=LINK_WORTH,
        origin_worth=ORIGIN_WORTH,
        rows=tuple(rows_of(book.book, pile.learnt())),
    )


def _cases(ledger: Ledger) -> Iterator[Case | None]:
    """Yield the cases that were seen here, and None for one that can no longer be read."""
    seen_here = (cases.c.source == "case") & (cases.c.findings > 0)
    with ledger.reading() as connection:
        names = connection.scalars(select(cases.c.name).where(seen_here).order_by(cases.c.id)).all()
    for name in names:
        try:
            yield LedgerCase(ledger, name).case()
        except HeadwaterError:
            yield None


def _add(pile: Pile, book: OpenBook, case: Case) -> str:
    """Add what a case says; return why it says nothing, if so.

    After earlier work some origins are likelier than in a unit that comes in for the first time.
    """
    try:
        session = open_session(book, case)
    except HeadwaterError:
        return "unreadable"
    reasoner = book.compiled(session.family)
    if session.reasoner is not reasoner:
        return "came back"
    told = [finding.judged for finding in standing(session.findings)]
    factors = reasoner.weighed(told, session.stand).factors
    if not any(there != absent for there, absent in factors.values()):
        return "silent"
    name = "; ".join(f"{key}={value}" for key, value in sorted(session.family.items()))
    pile.add(name, reasoner.worlds.network, factors)
    return ""


def rows_of(book: Book, learnt: Mapping[Figure, Learnt]) -> Iterable[FigureRow]:
    """Return the figures as rows, those that the cases tell most of first."""
    found = [_row(book, figure, one) for figure, one in learnt.items()]
    return sorted(found, key=lambda row: (-row.told, row.of, row.cause))


def _row(book: Book, figure: Figure, one: Learnt) -> FigureRow:
    within, wide = (share_believed(one.p, one.worth, level) for level in (LEVEL, PROPOSED))
    of, cause = figure[-1], figure[0] if len(figure) > 1 else ""
    title = book.conditions[of].title
    if cause:
        word = book.links[cause, of].often.word
        title = f"{book.conditions[cause].title} -> {title}"
    else:
        origin = book.conditions[of].origin
        word = origin.common.word if origin else ""
    return FigureRow(
        *(of, cause, title, word, one.book, one.p, within.low, within.high),
        *(one.tried, one.held, one.told, not wide.low <= one.book <= wide.high),
    )
