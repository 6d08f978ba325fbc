"""A call in progress: how many questions it has left, and why it ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from headwater.book.tables import DONT_KNOW, Seat, Sense
from headwater.hearing.answers import Heard
from headwater.session.ask import NextCheck
from headwater.session.saying import hear_answer
from headwater.session.session import Session
from headwater.session.triage import (
    MOST_MINUTES,
    MOST_QUESTIONS,
    MOST_UNPROMPTED,
    WANTS,
    call_questions,
    wants_told,
)
from headwater.session.unit import can_be, construction_told


@dataclass(slots=True)
class Call:
    """A call over a session at the seat `call`. `seconds` is a clock that only runs forward.

    `finished` is true where an earlier sitting had come to its end.
    """

    session: Session
    seconds: Callable[[], float]
    _put_off: set[str] = field(default_factory=set)
    _began: float = 0.0
    _asking: float | None = None
    _before: int = 0
    _known: frozenset[str] = frozenset()
    finished: bool = False

    def __post_init__(self) -> None:
        """Start the clock of this sitting. A call that was finished begins to count anew."""
        self._began = self.seconds()
        self._known = frozenset(self.session.case.outside)
        self.finished = bool(self._dangerous or (self.session.case.findings and self.over()))
        if self.asked >= MOST_QUESTIONS:
            self._before = self.asked

    @property
    def minutes(self) -> float:
        """Return the minutes of this sitting."""
        return (self.seconds() - self._began) / 60.0

    @property
    def asked(self) -> int:
        """Return how many questions the call has used, since it was finished last.

        What the caller told by themselves is no question.
        """
        here = [f for f in self.session.findings if f.seat is Seat.CALL]
        told = set(self.session.case.told)
        opened = {f.check for f in here if f.note in told}
        return len({f.check for f in here} - opened) - self._before

    @property
    def was_asked(self) -> bool:
        """True once a question was put, also in a sitting that came to its end."""
        return bool(self.asked or self._before)

    @property
    def notes(self) -> dict[str, str]:
        """Return the caller's own words by check, latest last."""
        return {f.check: f.note for f in self.session.findings}

    def next(self) -> NextCheck | None:
        """Return the next question, or None when the call should end."""
        if self._enough():
            return None
        if self._asking is None:
            self._asking = self.seconds()  # what it took to listen is not held against the caller
        return next(iter(self._open()), None)

    def over(self) -> str:
        """Return why the call should end, or nothing while it should go on."""
        if (enough := self._enough()) or self._open():
            return enough
        if self.session.verdict.settled:
            return "What the caller told is explained."
        return "No question that a caller can answer would change the advice."

    def _enough(self) -> str:
        """Return why nothing more is asked, whatever there is to ask."""
        if self.in_danger:
            return "First comes what to do now. Whoever is safe rings again, and the call goes on."
        if self.elsewhere:
            return "Nothing that the driveline could do was told."
        if self.asked >= MOST_QUESTIONS:
            return f"{MOST_QUESTIONS} questions were asked; more would help the shop little."
        if self.asked >= MOST_UNPROMPTED and not self._amiss:
            return "Nothing amiss was told that could be placed, and asking found nothing."
        began = self.seconds() if self._asking is None else self._asking
        if self.seconds() - began >= 60.0 * MOST_MINUTES:
            return f"{MOST_MINUTES:.0f} minutes are up; the shop goes on from here."
        return ""

    @property
    def _amiss(self) -> bool:
        """True where something is found, hinted at by an answer, spoken of, or dangerous."""
        verdict = self.session.verdict
        return bool(verdict.accounts or verdict.loose or verdict.stand.to_see or self._dangerous)

    @property
    def _dangerous(self) -> bool:
        """True when a sign of danger was told, in this sitting or before."""
        return any(one in self.session.book.emergencies for one in self.session.case.outside)

    @property
    def in_danger(self) -> bool:
        """True when a sign of danger was told in this sitting: nobody is kept on the phone."""
        signs = self.session.book.emergencies
        return any(one in signs for one in set(self.session.case.outside) - self._known)

    @property
    def elsewhere(self) -> bool:
        """True when all that was told is no trouble of the driveline, but trouble elsewhere.

        A wish is no trouble: it ends a call only where nothing else was told.
        """
        verdict = self.session.verdict
        told = bool(verdict.accounts or verdict.stand.unplaced or self._dangerous)
        every = self.session.open_book.book.elsewhere
        troubles = [one for one in verdict.stand.outside if one not in every or not every[one].wish]
        nothing_else = not self.session.findings and not verdict.stand.left_telling
        alone = bool(verdict.stand.outside) and nothing_else
        return not told and (bool(troubles) or alone)

    def _open(self) -> list[NextCheck]:
        return [q for q in call_questions(self.session.verdict) if q.check not in self._put_off]

    def want(self, words: str) -> None:
        """Take down that the caller asked for a part."""
        if words not in wants_told(self.session.case):
            self.session.tell(f"{WANTS}{words}")

    def take_history(self) -> None:
        """Answer what every caller is asked of work before from what was told of it already.

        Where that fits no answer the question is left out: nobody is asked twice. What may be
        turned round is asked all the same.
        """
        before = self.session.case.before
        verdict = self.session.verdict
        asked = before and (verdict.accounts or verdict.stand.to_see)
        checks = self.session.book.checks.values() if asked else ()
        for check in [c for c in checks if c.first and c.id not in self.session.answers]:
            heard = self.hear(check.id, before.told if before else "")
            if heard.answer is None or heard.answer == DONT_KNOW:
                self.put_off(check.id)
            elif not heard.unsure:
                self.session.answer(check.id, heard.answer, heard.note, told=True)

    def put_off(self, check: str) -> None:
        """Leave a question out of this call."""
        self._put_off.add(check)

    def tells_of_trouble(self, check: str, said: str) -> bool:
        """Say whether an answer speaks of danger, or of trouble elsewhere, that was not told yet.

        The plain words of an answer to its question speak of that alone.
        """
        if len(said.split()) < 2 or (check and not self.hear(check, said).note):
            return False
        found, book = self.session.understand(said), self.session.open_book.book
        told = [*found.signs, *found.not_driveline]
        wishes = [one for one in told if one in book.elsewhere and book.elsewhere[one].wish]
        return not {*self.session.case.outside, *wishes}.issuperset(told)

    def take(
        self, check: str, said: str, waits: Heard | None = None, corrects: int | None = None
    ) -> Heard | None:
        """Take down what a caller says to a question; return what waits for a word more, or None.

        What is vague is asked again, and then it is not known; what is unsure is read back.
        `waits` is what waited before: its words are kept with the answer that it comes to.
        """
        heard = self.hear(check, said)
        words = [one.note for one in (waits, heard) if one and one.note]
        heard = replace(heard, note="; ".join(dict.fromkeys(words)))
        if heard.taken is None and waits and waits.taken is None:
            heard = replace(heard, answer=DONT_KNOW)
        agreed = waits is not None and waits.read_back == heard.answer
        if heard.taken is None or (heard.unsure and not agreed):
            return heard
        self.take_down(check, heard, corrects)
        return None

    def take_if_sure(self, check: str, said: str, corrects: int | None = None) -> bool:
        """Take down an answer that is beyond doubt; False where there is none."""
        heard = self.hear(check, said)
        if heard.taken is None or heard.unsure:
            return False
        self.take_down(check, heard, corrects)
        return True

    def take_down(self, check: str, heard: Heard, corrects: int | None = None) -> None:
        """Take down what was heard, where it is an answer.

        Where it says how the unit is built, a question that such a one has not is left out.
        """
        told = construction_told(self.session, [heard.note])
        kept = [check] if self._tells_something_bad(check, heard) else []
        if told and can_be(self.session, told, kept):
            self.session.tell(heard.note)
            self.session.describe(told)
        if heard.taken is not None and check in self.session.book.checks:
            self.session.answer(check, heard.taken, heard.note, corrects=corrects)

    def _tells_something_bad(self, check: str, heard: Heard) -> bool:
        answer = self.session.check(check).answer(heard.answer or "")
        return heard.judged is not None or (answer is not None and answer.sense is Sense.BAD)

    def hear(self, check: str, said: str) -> Heard:
        """Return what was said, as an answer to a check."""
        return hear_answer(self.session, check, said)
