"""The commands `bench` and `hoist`: guided questions over a unit, torn down or in its vehicle."""

from __future__ import annotations

import argparse

from headwater.book.tables import Seat
from headwater.case.casestore import CaseStore
from headwater.case.read import CaseError
from headwater.case.store import Say, new_case_text
from headwater.caseplace import CasePlace, case_place, check_earlier
from headwater.cli.aside import strike
from headwater.cli.chosen import book_of
from headwater.cli.intake import STOPS, ask_for_meaning, listen
from headwater.cli.main import Terminal
from headwater.cli.prompt import EndOfInput, Prompt
from headwater.cli.seat import (
    add_family,
    ask_earlier,
    ask_family,
    ask_unit,
    kept,
    now,
    parse_family,
    pick,
)
from headwater.cli.show import say, show, status_of
from headwater.errors import HeadwaterError
from headwater.measure.answer import Judged, RawAnswer, asked_inputs
from headwater.session.again import keep_told
from headwater.session.ask import Purpose
from headwater.session.openbook import OpenBook
from headwater.session.saying import hear_answer
from headwater.session.search import find_condition
from headwater.session.session import Session, open_session
from headwater.view.asking import Asking, Doubt
from headwater.view.spoken import ReadBack

HELP = """\
Answer with the number or the word of an answer, or with a reading and its unit
(0.045 in, 1.14 mm). A finding nobody asked for: its check, a colon, the answer.
?              don't know
x              cannot check it now
gone           cannot be seen any more
back           take the last answer back; again for the one before, to the first
rest gone      nothing not looked at so far can be seen any more
later          put this question off
why            why this is asked, and what each answer would do
why CONDITION  why something is confirmed, ruled out or only suspected
find WORDS     say something you found; 'also WORDS' does the same
strike WORDS: REASON   leave aside what was told and not placed
list           what was found so far
state          chains, parts and plan as they stand
done, quit     stop here with the verdict; all is saved"""


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Hold the session; every answer is on disk before the next question."""

    book = book_of(args)
    place = case_place(args.case)
    check_earlier(place, args.earlier)
    # With --json the result alone goes to the output; the talk goes to the other stream.
    screen = terminal.side if args.json else terminal.screen
    prompt = Prompt(screen, terminal.stdin, args.answers)
    with kept(place, args.seat):
        say, new = terminal.complain, place.is_new()
        with _new_case(args, place, book, say) if new else place.open(say) as writer:
            place.name_earlier(writer, args.earlier)
            session = open_session(book, writer.case(), Seat(args.seat), writer, now)
            add_family(session, args.family)
            Bench(session, prompt).hold(new)
            screen.say()
            show(terminal, args, "verdict", session)
    screen.say()
    again = f"headwater {args.seat} {args.case}"
    screen.say(f"Saved in {place.where}. Go on with: {again}", "quiet")
    return status_of(session)


def _new_case(args: argparse.Namespace, place: CasePlace, book: OpenBook, say: Say) -> CaseStore:

    whole = book.book
    family = parse_family(whole, args.family)
    closed = () if args.closed else None
    name, seat = place.stem, Seat(args.seat)
    text = new_case_text(name, whole, family, seat, args.complaint, closed)
    return place.create(text, say)


MOST_FOUND = 6
MEANT_FROM = 0.45
"""Sureness from which words to 'find' are taken for a finding; below, a check is looked for."""
ASK = "What was found or complained of? In your own words, or Enter to be asked."
REST_GONE = ("rest gone", "rest is gone", "the rest is gone", "all gone")


class Bench:
    """The person at a guided seat: takes questions, gives answers, asks why."""

    def __init__(self, session: Session, prompt: Prompt) -> None:
        """Work a session through a prompt."""
        self.session, self.prompt, self.screen = session, prompt, prompt.screen
        self.skipped: set[str] = set()
        self.asked_again = -1  # so long was the log when what the unit is was asked once more

    def hold(self, new: bool) -> None:
        """Greet, then ask until the verdict stands or the person has had enough."""
        if self._greet(new):
            self._ask_all()

    def _greet(self, new: bool) -> bool:
        screen, session = self.screen, self.session
        screen.say()
        screen.say(f"Case {session.case.case}. {'New' if new else 'Going on'}.", "head")
        if session.stale:
            screen.say("The book has changed since the case was made; it is judged anew.", "bad")
        screen.say("'help' lists what you can type. Each answer is saved at once.", "quiet")
        if not new and (session.case.earlier or session.case.before):
            say(screen, "earlier", session)
        if session.findings or session.to_see:
            say(screen, "found", session)
            return True
        words = self._first_words()
        if words in STOPS or (words and self._hear_out(words) == "end"):
            return False
        more = ask_earlier(session, self.prompt) if new else ""
        return not more or self._hear_out(more) != "end"

    def _first_words(self) -> str:
        """Return what it is about; what is typed besides is done at once, and it is asked again.

        Words that nobody confirmed before the input ended are listed once more.
        """
        case = self.session.case
        told = {entry.told for entry in case.findings}
        broken_off = [words for words in case.told if words in case.not_placed or words not in told]
        if broken_off:
            return broken_off[0]
        self.screen.say()
        self.screen.say(ASK, "head")
        while self._command(typed := self.prompt.ask()):
            continue
        return typed

    def _hear_out(self, words: str) -> str:
        """Take words down, and once what is meant by those not understood."""
        move = self._volunteer(words)
        return move if move == "end" else self._clear_words()

    def _clear_words(self) -> str:
        """Ask what is meant by the words not understood; returns as a question does."""
        try:
            more = ask_for_meaning(self.session, self.prompt, self._command)
        except EndOfInput:
            return "end"
        if more in STOPS:
            return "end"
        return self._volunteer(more) if more else "answered"

    def _command(self, typed: str) -> bool:
        """Do what a line asks for, a command or an answer to a named check; False if it is none."""
        command, _, rest = typed.partition(" ")
        if typed == "?" or self._told(command.lower(), rest, ""):
            if typed == "?":
                self.screen.raw(HELP)
            return True
        name, colon, value = typed.partition(":")
        if colon and name.strip() in self.session.book.checks:
            self._take(name.strip(), value.strip())
            return True
        return False

    def _ask_all(self) -> None:
        put_off: set[str] = set()
        unknown: set[str] = set()  # whoever does not know does not know it in five minutes either
        swept = False
        while True:
            ask_family(self.session, self.prompt, self.skipped)
            left = [item for item in self.session.next() if item.check not in unknown]
            asked = [item for item in left if item.check not in put_off]
            if not asked and put_off:
                put_off.clear()
                continue
            if not asked:
                if self._is_all():
                    return
                continue
            if asked[0].purpose is Purpose.SWEEP:
                self._sweeps(new=not swept)
                swept = True
            check = asked[0].check
            move = self._ask(check)
            if move == "end":
                return
            if move == "later":
                put_off.add(check)
            given = self.session.answers.get(check)
            if given is not None and given.special is not None:
                unknown.add(check)

    def _sweeps(self, new: bool) -> None:
        done, of = self.session.swept
        self.screen.say()
        if new:
            self.screen.say("Every finding is explained.", "good")
            self.screen.say("Quick looks for fellow origins, while it is apart; 'done' skips them.")
        self.screen.say(f"Look {done + 1} of {of}.", "quiet")

    def _is_all(self) -> bool:
        """Say how the case stands, and take more if there is more. True when it is to be closed."""
        if self.session.case.not_placed:
            return self._clear_words() == "end"
        self.screen.say()
        say(self.screen, "end", self.session)
        typed = self.prompt.ask_if_any()
        command, _, rest = typed.partition(" ")
        if not typed or command.lower() in ("quit", "done", "end"):
            return True
        name, colon, value = typed.partition(":")
        if command.lower() == "back":
            return self._back() == "end"
        if command.lower() == "accept" and self.session.acceptable:
            self.session.accept()
            return False
        if command.lower() == "more":
            looks = self.session.not_worth_asking()
            if not looks:
                self.screen.say("Nothing is left that anybody at this seat could look at.")
            return bool(looks) and self._ask(looks[0].check) == "end"
        if colon and name.strip() in self.session.book.checks:
            self._take(name.strip(), value.strip())
        elif not self._told(command.lower(), rest, ""):
            return self._find(rest if command.lower() in ("find", "also") else typed) == "end"
        return False

    def _ask(self, check: str) -> str:
        """Put one question until it is answered. Returns 'answered', 'later' or 'end'."""

        self.screen.say()
        say(self.screen, "question", Asking(self.session, check))
        while True:
            typed = self.prompt.ask()
            command, _, rest = typed.partition(" ")
            command = command.lower()
            if self.session.check(check).answer(typed.lower()) and self._take(check, typed):
                return "answered"  # 'done' may be an answer, too
            if command in ("quit", "done", "end"):
                return "end"
            if command in ("later", "skip"):
                return "later"
            if command == "back":
                return self._back()
            if typed.lower() in REST_GONE:
                self.session.rest_is_gone()
                self.screen.say("Noted: what was not looked at so far is gone. 'back' undoes it.")
                return "answered"
            if command in ("find", "also"):
                return self._find(rest)
            if self._told(command, rest, check):
                continue
            name, colon, value = typed.partition(":")
            if colon and name.strip() in self.session.book.checks:
                if self._take(name.strip(), value.strip()):
                    return "answered"
            elif typed and self._take(check, typed):
                return "answered"
            elif not typed:
                self.screen.say("An answer, please; '?' if you do not know, 'help' for more.")

    def _told(self, command: str, rest: str, check: str) -> bool:
        """Show what a command asks for; False where the words are no such command."""

        if command == "help":
            self.screen.raw(HELP)
        elif command == "why" and rest:
            self._why(rest)
        elif command == "why" and check:
            say(self.screen, "purpose", Asking(self.session, check))
        elif command == "why":
            self.screen.say("Nothing is asked now; 'why CONDITION' tells why something is so.")
        elif command == "list":
            say(self.screen, "found", self.session)
        elif command == "strike" and rest:
            strike(self.session, self.screen, rest)
        elif command == "state":
            say(self.screen, "state", self.session)
        else:
            return False
        return True

    def _why(self, words: str) -> None:

        try:
            condition = find_condition(self.session.open_book, words, self.session.book)
        except HeadwaterError as error:
            self.screen.say(error.message)
            return
        say(self.screen, "why", Doubt(self.session, condition))

    def _back(self) -> str:
        if self._unit_again():
            return "answered"
        check = self.session.back()
        if check is None:
            self.screen.say("There is nothing to take back.")
            return "answered"
        self.screen.say(f"Taken back: {check.ask} Answer it again.")
        return self._ask(check.id)

    def _unit_again(self) -> bool:
        """Ask once more what the unit is, where that was told last; False where it was not."""
        log = self.session.case.findings
        if not log or not log[-1].family or self.asked_again == len(log):
            return False
        self.asked_again = len(log)
        self.screen.say("Taken back, if you answer it anew; Enter leaves it.")
        ask_unit(self.session, self.prompt, log[-1].family)
        return True

    def _volunteer(self, words: str) -> str:
        """Take words down; returns 'answered', 'later' or 'end' as a question does."""
        held, released = self.session.held, self.session.released
        before = set(self.session.answers)
        ask = listen(self.session, self.prompt, [words], self._command)
        taken = [check for check in self.session.answers if check not in before]
        if taken:
            say(self.screen, "effect", Asking(self.session, taken[-1], held, released))
        if ask is None:
            return "end"
        moves = [self._ask(check) for check in ask]
        keep_told(self.session, ask)
        return "end" if "end" in moves else "answered"

    def _find(self, words: str) -> str:
        """Take down what words say; where they say nothing by themselves, look for a check."""
        said = self.session.understand(words).understood if words else ()
        if any(one.sure >= MEANT_FROM for one in said):
            return self._hear_out(words)
        hits = self.session.find(words)[:MOST_FOUND] if words else []
        if not hits:
            self.screen.say("No check fits these words; try others, or answer the questions.")
            return "answered"
        self.screen.say("Which is it? The number; other words; Enter if none.")
        for number, cid in enumerate(hits, 1):
            self.screen.say(f"{number}  {self.session.check(cid).ask}", indent=2)
        while True:
            typed = self.prompt.ask()
            picked = pick(typed, hits)
            if typed.isdecimal() and not picked:
                self.screen.say(f"'{typed}' is not one of 1 to {len(hits)}; Enter if none fits.")
            elif typed.lower() in STOPS:
                return "end"
            elif picked or not typed:
                return self._ask(picked) if picked else "answered"
            elif not self._command(typed):
                return self._find(typed.removeprefix("find ").removeprefix("also "))

    def _take(self, check: str, typed: str) -> bool:
        """Take an answer; a wrong one costs one line and loses nothing."""

        heard = hear_answer(self.session, check, typed)
        if not heard.read_back:
            return self._answer(check, heard.taken or typed, heard.note)
        say(self.screen, "read-back", ReadBack(self.session.check(check), heard))
        if not (instead := self.prompt.ask()):
            return self._answer(check, heard.agreed.taken or "", heard.note)
        other = hear_answer(self.session, check, instead)
        if other.answer in self.session.check(check).answers and not other.unsure:
            return self._answer(check, other.answer or "", other.note or heard.note)
        self.prompt.keep(instead)  # a command, or words that are heard as they come
        return False

    def _answer(self, check: str, given: str | Judged, words: str) -> bool:
        held, released = self.session.held, self.session.released
        try:
            self.session.answer(check, self._given(check, given), words)
        except CaseError:
            raise
        except HeadwaterError as error:
            self.screen.say(error.message, "bad")
            return False
        say(self.screen, "effect", Asking(self.session, check, held, released))
        return True

    def _given(self, check: str, typed: str | Judged) -> RawAnswer | Judged:
        """Return what was typed as an answer; bench arithmetic is asked for input by input."""

        record = self.session.book.checks[check]
        if record.reading and isinstance(typed, str) and typed.lower() == "measure":
            return {name: self.prompt.ask(f"{name}: ") for name in asked_inputs(record)}
        return typed
