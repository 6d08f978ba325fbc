"""What each look of a run was worth at the moment it was ordered, on that person's own position.

A look is useless only if no answer to it could have moved the belief in any origin in question by
more than `MOVES_FROM`, and if it could not have helped to prove one either. Each answer is tried:
belief is summed as if it had been given.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from headwater.drill.run import Order, Run
from headwater.measure.answer import Judged

MOVES_FROM = 0.02
"""Change of the probability of an origin, from which a look was worth ordering."""


@dataclass(frozen=True, slots=True)
class Move:
    """What one answer would have made of the belief in an origin, or what an answer did make."""

    origin: str
    answer: str
    before: float
    after: float

    @property
    def size(self) -> float:
        """How far the belief moves."""
        return abs(self.after - self.before)


@dataclass(frozen=True, slots=True)
class Worth:
    """A look, with the answer that could have moved most; None where no origin was in question."""

    order: Order
    most: Move | None
    proves: bool

    @property
    def moves(self) -> bool:
        """True where an answer could have moved the belief in an origin."""
        return self.most is not None and self.most.size > MOVES_FROM

    @property
    def useless(self) -> bool:
        """True where nothing that could have been answered would have changed anything."""
        return not self.moves and not self.proves


def worths(run: Run) -> list[Worth]:
    """Return what the looks of a run were worth, in the order they were made."""
    start = len(run.known) - len(run.orders)
    found = []
    for number, order in enumerate(run.orders, start):
        moves = _moves(run, run.known[:number], order)
        most = max(moves, key=lambda move: (move.size, move.origin), default=None)
        found.append(Worth(order, most, order.proves))
    return found


def _moves(run: Run, known: Sequence[Judged], order: Order) -> Iterator[Move]:
    """Yield what each answer of a look would have made of each origin in question."""
    for word in map(str, run.session.book.checks[order.check].answers):
        given = Judged(order.check, word, ((word, 1.0),), settled=word)
        after = run.believed([*known, given])
        yield from (Move(o, word, before, after[o]) for o, before in order.asked.items())


def turns(run: Run) -> dict[str, tuple[int, Move] | None]:
    """Return for each true origin the look (from 0 on) that raised it most, and how far.

    None where none of them raised it by more than `MOVES_FROM`.
    """
    opening = run.known[: len(run.known) - len(run.orders)]
    before = dict(run.believed(opening))
    best: dict[str, tuple[int, Move] | None] = dict.fromkeys(run.unit.origins)
    for number, order in enumerate(run.orders):
        for origin in run.unit.origins:
            move = Move(origin, order.answer, before[origin], order.chances[origin])
            held = best[origin]
            rise = move.after - move.before
            if rise > (held[1].after - held[1].before if held else MOVES_FROM):
                best[origin] = (number, move)
        before = dict(order.chances)
    return best
