"""An apprentice of a class at an exercise: one question at a time, from the first look to the plan.

What is sent may be wrong, old or sent twice: each deed says to which turn it belongs, and one of
another turn does nothing. Nothing here is written anywhere; a class is over within the hour.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from headwater.drill.desk import judgements_of
from headwater.drill.result import Debriefing
from headwater.drill.run import DrillError, Order, Run
from headwater.drill.score import Statement
from headwater.hearing.search import search_conditions
from headwater.session.parts import parts_fitting
from headwater.verdict.reach import within_reach

MOST_PARTS = 12
MOST_LOOKS = 200
"""Looks of one apprentice, at most: whoever sends more is no person."""


class Doing(StrEnum):
    """What an apprentice is asked for."""

    LOOKS = "looks"
    READING = "reading"
    ORIGINS = "origins"
    STEPS = "steps"
    PROOFS = "proofs"
    PARTS = "parts"
    DONE = "done"


NAMING = (Doing.ORIGINS, Doing.STEPS, Doing.PROOFS, Doing.PARTS)
"""What is named at the end, in this order."""


@dataclass(slots=True)
class Pupil:
    """An apprentice and their run. `turn` counts what they did, `made` is the look just made.

    `told` is the debrief, once the class is over, and `counted` whether it went into the class
    list. Whoever uses one holds its `lock`.
    """

    name: str
    run: Run
    doing: Doing = Doing.LOOKS
    named: dict[Doing, tuple[str, ...]] = field(default_factory=dict)
    turn: int = 0
    made: Order | None = None
    hinted: str = ""
    gave_up: bool = False
    told: Debriefing | None = None
    counted: bool = False
    lock: threading.RLock = field(default_factory=threading.RLock)

    @property
    def said(self) -> Statement:
        """What they have said so far; nothing where they gave up."""
        if self.gave_up:
            return Statement()
        return Statement(*(self.named.get(doing, ()) for doing in NAMING))

    @property
    def took_part(self) -> bool:
        """True where they made a look, named something, or gave up."""
        return bool(self.run.log or self.gave_up or any(self.named.values()))

    def do(self, deed: str, what: str, turn: int) -> None:
        """Do what was sent, if it belongs to this turn. Raises DrillError, CaseError."""
        if turn != self.turn or self.doing is Doing.DONE or self.told:
            return
        if (act := self._deeds().get(deed)) is None:
            raise DrillError("that is nothing that can be done here; go back, and choose again")
        act(what)
        self.turn += 1

    def _deeds(self) -> Mapping[str, Callable[[str], None]]:
        return {
            "look": self._look,
            "judge": self._judge,
            "hint": self._hint,
            "back": self._back,
            "pick": self._pick,
            "drop": self._drop,
            "go": self._go,
        }

    def options(self) -> Collection[str]:
        """Return everything that can be picked now."""
        book, run = self.run.session.book, self.run
        if self.doing is Doing.LOOKS:
            return [c.id for c in book.checks.values() if within_reach(c, run.session.stand)]
        if self.doing is Doing.READING:
            return judgements_of(book, run.orders[-1])
        if self.doing is Doing.PROOFS:
            return list(dict.fromkeys(order.check for order in run.orders))
        tables = {Doing.ORIGINS: book.origins, Doing.STEPS: book.conditions}
        return tables.get(self.doing, book.parts if self.doing is Doing.PARTS else {})

    def fitting(self, words: str) -> list[str]:
        """Return what fits some words and can be picked now, best first."""
        session = self.run.session
        if self.doing is Doing.LOOKS:
            return session.find(words)
        if self.doing is Doing.PARTS:
            return list(parts_fitting(session.book, words))[:MOST_PARTS]
        among = session.book.origins if self.doing is Doing.ORIGINS else session.book.conditions
        return search_conditions(session.open_book.index, words, among)

    def _look(self, what: str) -> None:
        if self.doing is not Doing.LOOKS or len(self.run.log) >= MOST_LOOKS:
            return
        self.made, self.hinted = self.run.order(self.run.session.check(what)), ""
        if judgements_of(self.run.session.book, self.made):
            self.doing = Doing.READING

    def _judge(self, what: str) -> None:
        if self.doing is Doing.READING:
            if what in self.options():
                self.run.judge(what)
            self.doing = Doing.LOOKS

    def _hint(self, _: str) -> None:
        if self.doing is Doing.LOOKS:
            self.hinted = self.run.hint()

    def _back(self, _: str) -> None:
        if self.doing in (Doing.LOOKS, Doing.READING):
            self.run.take_back()
            self.made, self.doing = None, Doing.LOOKS

    def _pick(self, what: str) -> None:
        if self.doing in NAMING and what in self.options():
            told = self.named.get(self.doing, ())
            self.named[self.doing] = tuple(dict.fromkeys((*told, what)))

    def _drop(self, what: str) -> None:
        if self.doing in NAMING:
            told = self.named.get(self.doing, ())
            self.named[self.doing] = tuple(one for one in told if one != what)

    def _go(self, what: str) -> None:
        """Go on: to the naming, to what is named next, back to the looks, or to the end."""
        if what == "give-up":
            self.gave_up, self.doing = True, Doing.DONE
        elif what == "looks" and self.doing in NAMING:
            self.doing = Doing.LOOKS
        elif what == "next" and self.doing is not Doing.READING:
            self.doing = self._next()

    def _next(self) -> Doing:
        if self.doing is Doing.LOOKS:
            return Doing.ORIGINS
        if self.doing is Doing.ORIGINS and not self.named.get(Doing.ORIGINS):
            return Doing.PARTS
        if self.doing is Doing.STEPS and not self.run.orders:
            return Doing.PARTS
        return [*NAMING, Doing.DONE][NAMING.index(self.doing) + 1]
