"""One person at one seat of a case, between two pages: what comes now, and what was just done.

A terminal holds a person's place in its loop; a page has none, so it stands here: what was put off,
what nobody here knows, what the words call for, and which answers others gave meanwhile. All that
was told is in the case; this is lost without harm.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from headwater.book.model import Check
from headwater.book.tables import TAKEN_BACK, Seat
from headwater.case.read import CaseError
from headwater.errors import HeadwaterError
from headwater.hearing.answers import Heard
from headwater.measure.answer import Judged, RawAnswer
from headwater.session.again import keep_told, tells_no_more
from headwater.session.ask import NextCheck
from headwater.session.before import is_unknown, take_earlier
from headwater.session.call import Call
from headwater.session.findings import Finding, numbered, standing
from headwater.session.intake import NOBODY_KNOWS, NONE_OF_IT, Intake
from headwater.session.photographs import add_photograph
from headwater.session.saying import hear_answer
from headwater.session.sent import Sent, corrected_by, is_sent_twice, keep_as_told
from headwater.session.session import Session
from headwater.session.turn import Answered, Turn
from headwater.session.unit import attributes_that_matter


@dataclass(slots=True)
class AtSeat:
    """A person at a seat of a case. `seconds` is a clock that only runs forward.

    `wanted` are checks that words call for, with these words: they come first. `seen` counts the
    entries of the case that this person's pages have shown, `own` are those that are theirs, by
    place, and `news` those of others since their last answer; `hands` says whose these are.
    `fault` says what was wrong with what was sent last, `typed` is what that was, `misfits` are
    words that no such unit can have. `waits` is what was said to a check and is not taken yet,
    `pictured` the number of an answer of which a photograph came.
    """

    session: Session
    seconds: Callable[[], float]
    who: str = ""
    call: Call | None = None
    intake: Intake | None = None
    wanted: dict[str, str] = field(default_factory=dict)
    put_off: set[str] = field(default_factory=set)
    unknown: set[str] = field(default_factory=set)
    skipped: set[str] = field(default_factory=set)
    again: tuple[str, int | None] | None = None
    left: frozenset[str] = frozenset()
    asks_earlier: bool = False
    asks_words: bool = True
    ended: bool = False
    seen: int = 0
    own: set[int] = field(default_factory=set)
    news: list[int] = field(default_factory=list)
    fault: str = ""
    typed: str = ""
    misfits: str = ""
    waits: tuple[str, Heard] | None = None
    hands: Mapping[int, str] = field(default_factory=dict)
    done: Answered | None = None
    pictured: int | None = None

    def __post_init__(self) -> None:
        """Sit down: a call begins, and what was broken off is listened to once more."""
        case = self.session.case
        self.seen = len(case.findings)
        fresh = not (self.session.findings or any(entry.told for entry in case.findings))
        self.asks_earlier = fresh and is_unknown(self.session)
        if self.session.stand.seat is Seat.CALL:
            self.call = Call(self.session, self.seconds)
            self.ended = self.call.finished
            self.asks_earlier = not self.call.asked and is_unknown(self.session)
        if case.complaint and fresh:
            self._hear(case.complaint)

    def resume(self, session: Session, who: str = "", *, sends: bool = False) -> None:
        """Go on with the case as it stands now; what others wrote meanwhile is news.

        It is so until this person has seen it, and `sends` something once more.
        """
        self.session, self.who = session, who
        if sends:
            self.news.clear()
        if self.call:
            self.call.session = session
        if self.intake:
            self.intake.session = session
        count = len(session.case.findings)
        self.news += range(self.seen, count)
        self.seen = count

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """What is written within is this person's; faults of what was sent are kept to be shown."""
        self.fault, self.typed, self.misfits = "", "", ""
        self.done, self.pictured = None, None
        before = len(self.session.case.findings)
        try:
            yield
        finally:
            self.seen = len(self.session.case.findings)
            self.own |= set(range(before, self.seen))

    @property
    def turn(self) -> Turn:
        """What comes now."""
        if self.intake:
            return Turn.TICKS
        if self.again:
            return Turn.QUESTION
        if self.ended or (self.call and self.call.in_danger):
            return Turn.END
        if self._is_silent:
            return Turn.WORDS
        if self._wanted:
            return Turn.QUESTION
        if self.asks_earlier and not (self.call and self.call.elsewhere):
            return Turn.EARLIER
        if set(self.session.case.not_placed) - self.left:
            return Turn.UNCLEAR
        if self.attribute:
            return Turn.UNIT
        if self.item:
            return Turn.QUESTION
        return Turn.UNCLEAR if self._still_unclear else Turn.END

    @property
    def _is_silent(self) -> bool:
        """True where nothing was said or found yet, and nobody has asked to be asked."""
        case, session = self.session.case, self.session
        spoken = case.told or session.findings or session.to_see or case.outside
        return self.asks_words and not spoken

    @property
    def _still_unclear(self) -> bool:
        """True at the bench where words are left at the end: they keep the case open."""
        return bool(self.session.case.not_placed) and not self.call and not self.left

    @property
    def attribute(self) -> str:
        """The attribute of the unit that is asked for now; '' where none matters."""
        if self.call:
            return ""
        wanted = attributes_that_matter(self.session)
        return next((name for name in wanted if name not in self.skipped), "")

    @property
    def item(self) -> NextCheck | None:
        """The next look, as it is ranked; what was put off comes again when nothing else is left.

        Whoever does not know does not know it in five minutes, either.
        """
        if self.call:
            return self.call.next()
        left = [item for item in self.session.next() if item.check not in self.unknown]
        return next(
            (item for item in left if item.check not in self.put_off), next(iter(left), None)
        )

    @property
    def _wanted(self) -> str:
        """The first check that words call for, and that such a unit has."""
        return next((one for one in self.wanted if one in self.session.book.checks), "")

    @property
    def check(self) -> Check | None:
        """The check that is put now, if one is."""
        if self.again:
            return self.session.check(self.again[0])
        if self._wanted:
            return self.session.check(self._wanted)
        return self.session.check(self.item.check) if self.item else None

    # What a person does

    def tell(self, words: str) -> None:
        """Listen to words; they are taken down once what was understood is confirmed."""
        if words:
            self.ended = False
            self._hear(words)

    def _hear(self, words: str) -> None:
        self.intake = self.intake or Intake(self.session)
        self.intake.hear(words)

    def go_on(self) -> None:
        """Ask, though nothing was said, or go on with what was ended."""
        self.ended = self.asks_words = False

    def confirm(self, rows: Collection[int], signs: Collection[str], words: str = "") -> None:
        """Take what is ticked; more words are listened to first."""
        if self.intake is None:
            return
        known = set(self.intake.signs)
        self.intake.mark(rows, signs)
        if words:
            self.intake.hear(words)
        if words and known.issuperset(signs):  # a danger that was ticked comes before all else
            return
        intake, self.intake = self.intake, None
        self.wanted |= intake.take()
        self.misfits = "; ".join(intake.misfits)

    def forget(self) -> None:
        """Take back what was said and is not confirmed."""
        if self.intake:
            self.intake.forget()
            self.intake, self.asks_words = None, True

    def answer(self, given: Sent) -> None:
        """Take an answer. A second one is another look, unless it is to correct the first.

        So is one to a check that somebody else has answered meanwhile: nobody's answer is lost. The
        same form sent twice counts once. Raises CaseError where the case cannot be written.
        """
        if is_sent_twice(self.session, self.own, given):
            return
        if given.id and given.check not in self.session.book.checks:
            self.misfits = keep_as_told(self.session, given)
            return
        check = self.session.check(given.check)
        held, released = self.session.held, self.session.released
        corrects = corrected_by(self.session, self.own, given)
        try:
            taken = self._take(check, given, corrects)
        except CaseError:
            raise
        except HeadwaterError as error:
            self.fault = error.message.removeprefix(f"{check.id}: ")
            self.typed = given.reading or given.words
            return
        if taken:
            self.done = Answered(check.id, held, released)
            self._leave(check.id)

    def _take(self, check: Check, given: Sent, corrects: int | None) -> bool:
        answer: RawAnswer | Judged = given.chosen or given.inputs or given.reading
        if self.call and given.words and not answer:
            return self._hear_caller(self.call, check, given.words, corrects)
        waited, note = self.waiting(check.id), ""
        if given.words and not answer:
            heard = hear_answer(self.session, check.id, given.words)
            if heard.read_back:
                self.waits, self.typed = (check.id, heard), given.words
                return False
            answer, note = heard.taken or given.words, heard.note
        if answer:
            note = note or (waited.note if waited else "")
            self.session.answer(check.id, answer, note, corrects=corrects, sent=given.id)
        return bool(answer)

    def waiting(self, check: str) -> Heard | None:
        """Return what was said to a check and waits for a word more."""
        return self.waits[1] if self.waits and self.waits[0] == check else None

    def _hear_caller(self, call: Call, check: Check, words: str, corrects: int | None) -> bool:
        """Take what a caller says; what is vague, or may be turned round, waits for a word more."""
        if call.tells_of_trouble(check.id, words):
            taken = call.take_if_sure(check.id, words, corrects)
            self._hear(words)
            return taken
        heard = call.take(check.id, words, self.waiting(check.id), corrects)
        self.waits = (check.id, heard) if heard else None
        if heard:
            self.fault, self.typed = heard.because, words
        return heard is None

    def _leave(self, check: str) -> None:
        """Go on from a question that was put."""
        self.again = self.waits = None
        if words := self.wanted.pop(check, ""):
            keep_told(self.session, {check: words})
        judged = self.session.answers.get(check)
        if judged is not None and judged.special is not None:
            self.unknown.add(check)

    def later(self, check: str) -> None:
        """Put a question off."""
        if self.call:
            self.call.put_off(check)
        if {item.check for item in self.session.next()} <= self.put_off | self.unknown | {check}:
            self.put_off.clear()
        self.put_off.add(check)
        self._leave(check)

    def back(self) -> None:
        """Take the last answer back, and put its question again; first what was said to be gone."""
        gone = any(found.rest for found in self.session.findings)
        taken = self.session.back()
        self.again = (taken.id, None) if taken and not gone else None
        self.ended = False

    def look_again(self, number: int) -> None:
        """Put the question of an answer again, by its number: the new answer corrects it."""
        if found := self._standing(number):
            self.again = (found.check, number)

    def take_back(self, number: int) -> None:
        """Take an answer back by its number; it stays in the case."""
        if found := self._standing(number):
            self.session.answer(found.check, TAKEN_BACK, corrects=number)
        self.again = None

    def _standing(self, number: int) -> Finding | None:
        """Return the answer of a number, where it stands."""
        found = dict(numbered(self.session.findings)).get(number)
        stands = any(found is one for one in standing(self.session.findings))
        return found if stands else None

    def take_photograph(self, name: str, number: int, caption: str, fault: str = "") -> None:
        """Take down a photograph of an answer, or say what was wrong with it."""
        self.pictured, self.fault = number, fault
        if not fault:
            add_photograph(self.session, name, number, caption)

    def leave_it(self) -> None:
        """Leave an answer as it was."""
        self.again = None

    def rest_is_gone(self) -> None:
        """Say that what was not looked at so far can be seen no more."""
        self.session.rest_is_gone()
        self.wanted.clear()

    def describe(self, attribute: str, value: str) -> None:
        """Take down what the unit is in one way; without a value nobody here knows it."""
        self.skipped.add(attribute)
        try:
            if value:
                self.session.describe({attribute: value})
        except CaseError as error:
            self.fault = error.message

    def tell_earlier(self, words: str) -> None:
        """Take down what was done before, or that nobody knows of anything."""
        self.asks_earlier = False
        if more := take_earlier(self.session, words):
            self._hear(more)
        before = self.session.case.before
        if self.call and before and self.call.tells_of_trouble("", before.told):
            self._hear(before.told)
        if self.call:
            self.call.take_history()

    def clear_up(self, how: str, words: str) -> None:
        """Say what is in the words not understood: nothing of it, nobody knows, or other words."""
        self.left = frozenset(self.session.case.not_placed)
        if words:
            self._hear(words)
        elif how == "again":
            tells_no_more(self.session)
        elif how == "none":
            self.session.strike_the_rest(NONE_OF_IT)
        elif how == "unknown":
            self.session.strike_the_rest(NOBODY_KNOWS)

    def want(self, words: str) -> None:
        """Take down that a caller asks for a part."""
        if self.call and words:
            self.call.want(words)

    def more(self) -> None:
        """Make the first of the looks that would cost more than they are likely to save."""
        if looks := self.session.not_worth_asking():
            self.again = (looks[0].check, None)

    def finish(self) -> None:
        """End it here; words that nobody confirmed are kept as told and not placed."""
        if self.intake:
            self.intake.leave()
            self.intake = None
        self.again, self.ended = None, True

    @property
    def over(self) -> str:
        """Why a call has ended."""
        return (self.call.over() if self.call else "") or "Ended by you."
