"""What somebody says at a seat, on its way into the case: understood, confirmed, taken down.

What was understood surely is ticked, the rest is offered; the person drops and adds, and says more.
Then each thing that is ticked is answered in its check, or its check is asked next where the words
leave the answer open. Every word is kept: what was said stands in the case as it was said, with
what of it is in no answer.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from headwater.book.tables import POSSIBLE_AT, Drive, Seat
from headwater.hearing import english
from headwater.hearing.denials import Denied
from headwater.hearing.spelling import nearest_phrase
from headwater.hearing.understand import Understanding, Understood, understand
from headwater.session.earlier import surely_tells_of_work, without_work, work_told
from headwater.session.listed import Aside, Denial, Item, Row, longest, numbers_of, signs_by_number
from headwater.session.session import Session
from headwater.session.unit import (
    can_be,
    construction_told,
    family_of_all,
    family_told,
    of_any_unit,
    of_this_unit,
    unit_told,
    widest_told,
)

ALARM = "danger"
NOT_SO = "not so, says who took it down"
NONE_OF_IT = "nothing of what is wrong, says who took it down"
NOBODY_KNOWS = "who took it down does not know what it tells"
"""Why words that were not understood are left aside."""
MOST_OFFERED = 5
"""So many things are offered that were not surely said; a longer list is not read."""


@dataclass(slots=True)
class Intake:
    """What was said so far at one prompt, and what was understood of it."""

    session: Session
    items: list[Item] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    asides: list[Aside] = field(default_factory=list)
    wishes: list[str] = field(default_factory=list)
    signs: list[str] = field(default_factory=list)
    denials: list[Denial] = field(default_factory=list)
    no_sign: str = ""
    misfits: tuple[str, ...] = ()
    """Words of what was ticked, and no unit built as told can have."""
    _left: list[str] = field(default_factory=list)

    def hear(self, words: str) -> None:
        """Listen to a sentence; what it says comes beside what was said before.

        'danger 3 5', or 'danger' and words, names signs of danger outright; what names none
        (`no_sign`) is listened to without that word, and numbers say nothing more.
        """
        head, _, rest = words.partition(" ")
        self.no_sign = ""
        if words.lower() == ALARM:
            self.session.signs_listed = False
            return
        if head.lower() == ALARM and rest.strip():
            if self._alarm(rest.strip()):
                self.said.append(words)
                return
            self.no_sign = words = rest.strip()
            if numbers_of(words):
                return
        self.said.append(words)
        found = self._understood(words)
        self._list(found.understood)
        self._add_signs(() if words in self.session.calmed else found.signs)
        known = {*self._mild, *(denial.one.id for denial in self.denials)}
        self.denials += [Denial(one) for one in found.denials if one.id not in known]
        self._left += found.unplaced
        self._hear_outside(found.not_driveline, self._is_history(words, found))

    def _list(self, understood: Iterable[Understood]) -> None:
        """Put what was heard beside what was heard before; of what is only offered the latest."""
        surest = {one.id: one for one in reversed([*understood])}
        # What was only offered, and is now said outright, was said.
        said = {one.id for one in surest.values() if one.ticked}
        self.items = [i for i in self.items if i.ticked or i.one.id not in said]
        known = {item.one.id for item in self.items}
        new = [
            Item(one, one.ticked and self._may_be_told(one))
            for one in reversed([*surest.values()])
            if one.id not in known and one.check
        ]
        ticked = [item for item in (*self.items, *new) if item.ticked]
        offered = [item for item in (*new, *self.items) if not item.ticked]
        fresh = len(new) - sum(item.ticked for item in new)
        offered[:fresh] = sorted(offered[:fresh], key=self._least_likely)
        self.items = [*ticked, *offered[:MOST_OFFERED]]

    def _least_likely(self, item: Item) -> tuple[bool, float, int]:
        """Return by what the offered are sorted: what one here can tell, surest, of most words."""
        one = item.one
        return not self._may_be_told(one), -one.sure, -len(one.words.split())

    def _is_history(self, words: str, found: Understanding) -> set[str]:
        """Return the troubles elsewhere that only words of work that was done tell of.

        'The spring was done before Christmas' tells of a spring that is mended. What would stop the
        vehicle counts all the same.
        """
        every = self.session.open_book.book.elsewhere
        mild = {oid for oid in found.not_driveline if every[oid].advice is not Drive.STOP}
        rest = without_work(words)
        if not mild or rest == words:
            return set()
        return mild.difference(self.session.understand(rest).not_driveline)

    def _add_signs(self, signs: Iterable[str]) -> None:
        """Keep signs of danger beside those told before, the worst first."""
        known = {*self.signs, *signs}
        self.signs = [one for one in self.session.open_book.book.emergencies if one in known]

    @property
    def emergency(self) -> str | None:
        """The worst sign of danger that was told."""
        return next(iter(self.signs), None)

    def _hear_outside(self, told: Iterable[str], over: Collection[str]) -> None:
        """Keep troubles elsewhere to be ticked off, and wishes, which are no trouble, apart.

        Those that are `over` are offered.
        """
        known = {*self.wishes, *(aside.id for aside in self.asides)}
        new = [oid for oid in told if oid not in known]
        wishes = [oid for oid in new if self.session.open_book.book.elsewhere[oid].wish]
        taken = not self._beside
        self.wishes += wishes
        down = {*self.session.turned_down, *over}
        self.asides += [Aside(oid, taken and oid not in down) for oid in new if oid not in wishes]

    @property
    def _mild(self) -> set[str]:
        """What it says nothing to deny: wishes, and troubles that hold nobody up."""
        every = self.session.open_book.book.elsewhere
        return {str(oid) for oid, one in every.items() if one.wish or one.advice is Drive.OK}

    @property
    def _beside(self) -> bool:
        """True where a trouble outside the driveline is a guess, and nothing is lost by leaving it.

        On the telephone it is taken all the same, for its caution.
        """
        other = any(item.ticked for item in self.items) or bool(self._left)
        return other and self.session.stand.seat is not Seat.CALL

    @property
    def outside(self) -> tuple[str, ...]:
        """The signs of danger, the troubles outside taken as said, and the wishes."""
        ticked = (aside.id for aside in self.asides if aside.ticked)
        return (*self.signs, *ticked, *self.wishes)

    def _understood(self, words: str) -> Understanding:
        """Return what words say; where only assumed, which unit it is is taken from them, too.

        Where nothing is sure, the unit that the words name is taken; where they name none, what any
        unit can have is offered: what is ticked tells the unit. A caller is offered it always.
        """
        found = self.session.understand(words)
        assumed = self.session.open_book.book.assumed.keys() - self.session.case.family.keys()
        at_unit = self.session.stand.seat is not Seat.CALL
        if found.ticked and not found.unplaced and (at_unit or not assumed):
            return found
        wider = understand(self.session.open_book.index, words)
        family = family_told(self.session, wider)
        if family and len(wider.ticked) > len(found.ticked):
            self.session.describe(family)
            return self.session.understand(words)
        told = unit_told if at_unit else widest_told
        if not found.ticked and (named := told(self.session, words)):
            self.session.describe(named)
            return self.session.understand(words)
        known = {item.one.id for item in self.items}
        nothing_new = known.issuperset(one.id for one in found.ticked)
        if nothing_new and (assumed or not at_unit):
            return of_this_unit(self.session, wider) if at_unit else wider
        return found if at_unit or not assumed else of_any_unit(found, wider)

    def _may_be_told(self, one: Understood) -> bool:
        """Say whether a word is enough: what a caller cannot see is the caller's guess."""
        check = self.session.open_book.book.checks[one.check]
        return self.session.stand.seat is not Seat.CALL or Seat.CALL in check.seats

    @property
    def signs_before(self) -> tuple[str, ...]:
        """The signs of danger that were told earlier and stand."""
        signs = self.session.open_book.book.emergencies
        return tuple(one for one in self.session.case.outside if one in signs)

    @property
    def asks_for_danger(self) -> bool:
        """True on the telephone while no sign of danger is told: words alone may hide one."""
        signs = self.session.book.emergencies
        seat = self.session.stand.seat
        spoken = bool(self.said or self.no_sign)
        return bool(signs) and seat is Seat.CALL and self.emergency is None and spoken

    def _alarm(self, words: str) -> bool:
        """Take signs of danger down, by their numbers or in words; False where none is meant."""
        signs = self.session.open_book.book.emergencies
        meant = signs_by_number(words, tuple(signs))
        if not (meant or numbers_of(words)):
            said = {text: oid for oid, sign in signs.items() for text in (sign.title, *sign.said)}
            near = words if words in said else nearest_phrase(words, said)
            heard = () if words in said else self.session.understand(words).signs
            meant = heard or ((said[near],) if near else ())
        self._add_signs(meant)
        return bool(meant)

    def calm(self, numbers: Collection[int] = ()) -> None:
        """Take signs of danger back, of those that are shown (`alarms`); the words stay.

        With `numbers` only these of them, from 1. One told earlier, and not shown, stands. Where
        none is left of these words, the same words raise none again, other words do.
        """
        shown = list(enumerate(self.alarms, 1))
        gone = {one for number, one in shown if number in numbers or not numbers}
        for sign in gone.intersection(self.signs_before):
            self.session.strike(self.session.open_book.book.emergencies[sign].title, NOT_SO)
        self.signs = [one for one in self.signs if one not in gone]
        if not self.signs:
            self.session.calmed.update(self.said)

    @property
    def alarms(self) -> tuple[str, ...]:
        """The signs of danger that are shown: those told here, else those told before."""
        return tuple(self.signs) or self.signs_before

    def forget(self) -> None:
        """Take everything back that was said at this prompt, the first words of a case, too."""
        if self.session.case.complaint in self.said:
            self.session.forget_complaint()
        self.said.clear()
        self.items.clear()
        self.asides.clear()
        self.wishes.clear()
        self._left.clear()
        self.signs.clear()
        self.denials.clear()
        self.no_sign = ""

    @property
    def empty(self) -> bool:
        """True where nothing at all was understood."""
        return not (self.rows or self.wishes or self.emergency)

    @property
    def rows(self) -> list[Row]:
        """What is listed to be ticked off, in this order, by number from 1."""
        return [*self.items, *self.asides, *self.denials]

    @property
    def takes_any(self) -> bool:
        """True where something that was said is taken as so; what is not so is nothing taken."""
        return any(item.ticked for item in self.items) or any(aside.ticked for aside in self.asides)

    def choose(self, numbers: Iterable[int]) -> None:
        """Turn ticks round, by number from 1."""
        rows = self.rows
        for number in numbers:
            rows[number - 1].ticked = not rows[number - 1].ticked

    def mark(self, numbers: Collection[int], signs: Collection[str]) -> None:
        """Tick exactly the rows named, by number from 1, and the signs of danger named, by id."""
        for number, row in enumerate(self.rows, 1):
            row.ticked = number in numbers
        self.signs.clear()
        self._add_signs(signs)

    @property
    def not_placed(self) -> tuple[str, ...]:
        """What is in nothing that is ticked: words not understood, and words of what was dropped.

        Where nothing is taken from a sentence the whole of it is left; else small talk is not.
        """
        taken = {
            word
            for item in self.items
            if item.ticked and self._finds_a_place(item.one)
            for word in item.one.words.split()
        }
        nots = [denial for denial in self.denials if denial.ticked]
        if not (taken or self.outside or nots):
            return tuple(words for words in self.said if not self._tells_of_work(words))
        taken |= english.IDLE | english.SMALL
        dropped = [
            " ".join(word for word in one.words.split() if word not in taken)
            for one in self._dropped
        ]
        ear = self.session.open_book
        return longest(ear.which_may_tell(filter(None, (*self._left, *dropped)), self.said))

    @property
    def _dropped(self) -> list[Understood | Denied]:
        kept = (i.one for i in self.items if not (i.ticked and self._finds_a_place(i.one)))
        return [*kept, *(denial.one for denial in self.denials if not denial.ticked)]

    def _finds_a_place(self, one: Understood) -> bool:
        """Say whether a thing is in an answer, is asked here, or is a state to be looked at."""
        return bool(one.answer) or self._within_reach(one.check) or self._is_state(one)

    def _is_state(self, one: Understood) -> bool:
        return one.id in self.session.open_book.book.conditions

    @property
    def _means(self) -> list[str]:
        """The ticked states that are in no answer, and that nobody here can look at."""
        ticked = (item.one for item in self.items if item.ticked)
        open_ones = (o for o in ticked if not (o.answer or self._within_reach(o.check)))
        return [one.id for one in open_ones if self._is_state(one)]

    def take(self) -> dict[str, str]:
        """Take down what is ticked and every word that was said.

        Returns the checks to be asked, with the words that call for each.

        An answer that is there already is not given again.
        """
        ask: dict[str, str] = {}
        self._fit_the_unit()
        self.session.turned_down.update(aside.id for aside in self.asides if not aside.ticked)
        answers = self.session.answers
        self._tell()
        for item in self.items:
            one = item.one
            if not item.ticked:
                continue
            if one.answer:
                given = answers.get(one.check)
                if given is None or given.settled != one.answer:
                    seen = self._within_reach(one.check)
                    self.session.answer(one.check, one.answer, self._note(one), told=not seen)
            elif self._within_reach(one.check):
                ask.setdefault(one.check, one.words)
        return ask

    def leave(self) -> None:
        """Keep every word as told and not placed, with its sign of danger: none confirmed it."""
        for words in self.said:
            self.session.tell(words, (words,), self.signs)

    def _fit_the_unit(self) -> None:
        """Take the unit to be one that can have all that is ticked; what is left is not placed."""
        ticked = [item for item in self.items if item.ticked]
        checks = [item.one.check for item in ticked]
        self._fit_construction(checks)
        if all(check in self.session.book.checks for check in checks):
            return
        if family := family_of_all(self.session, checks):
            self.session.describe(family)
        for item in ticked:
            item.ticked = item.one.check in self.session.book.checks
        self.misfits = tuple(item.one.words for item in ticked if not item.ticked)

    def _fit_construction(self, checks: Iterable[str]) -> None:
        """Take what the words name of how it is built, where all that is ticked fits it."""
        told = construction_told(self.session, self.said)
        if told and can_be(self.session, told, checks):
            self.session.describe(told)

    def _tell(self) -> None:
        left, seat = self.not_placed, self.session.stand.seat
        for number, words in enumerate(self.said):
            last = number == len(self.said) - 1
            rest = (left, self.outside, self._means) if last else ((), (), ())
            self.session.tell(words, *rest)
            if seat and not self.session.case.before and self._tells_of_work(words):
                self.session.remember(work_told(self.session.book, words))

    def _tells_of_work(self, words: str) -> bool:
        return surely_tells_of_work(self.session.book, words)

    def _note(self, one: Understood) -> str:
        """Return the words in which something was said."""
        words = set(one.words.split())
        return max(self.said, key=lambda said: len(words & set(said.lower().split())))

    def _within_reach(self, check: str) -> bool:
        record = self.session.book.checks.get(check)  # what the unit is may have come in between
        return record is not None and bool({*record.seats} & POSSIBLE_AT[self.session.stand.seat])
